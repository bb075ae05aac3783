"""Curves over the turn in the window: distance of the chosen pair, and the motion of the chosen piston."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.checks.close_places import Close
from geometry.kinematics.slider_crank import at_speed, state
from geometry.units import System, show
from viewer.looks import LOOKS, Colour
from viewer.scene.lettering import PAPER, Measure
from viewer.scene.placing import Rectangle
from viewer.window.hud import BAR_HEIGHT, CAUTION_HEIGHT, INK, PALE, SOFT, Panel, unit_of

STEP_DEG = 2.0
METRES_PER_FOOT = 0.3048
WIDTH, HEIGHT, GAP = 470.0, 190.0, 12.0
MOTION_LOOKS: tuple[Colour, ...] = (LOOKS["mark"].colour, LOOKS["clear"].colour, LOOKS["close"].colour)


@dataclass(frozen=True, slots=True, eq=False)
class ChartCurve:
    """One quantity over the turn.

    Attributes
    ----------
    name : as written beside its value
    values : (m,) at the angles of its chart
    write : a value in words, with its unit
    colour, dashed : of its line; dashes tell curves apart without colour
    """

    name: str
    values: Array
    write: Callable[[float], str]
    colour: Colour
    dashed: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Chart:
    """Curves over the same angles. Each has its own scale, unless ``shared``; ``limit`` belongs to the first."""

    title: str
    crank_deg: Array
    curves: tuple[ChartCurve, ...]
    limit: float | None = None
    limit_words: str = ""


def distance_chart(close: Close, units: System) -> Chart | None:
    """Distance of the chosen pair with its limit."""
    if close.curve is None:
        return None

    def write(mm: float) -> str:
        return show(mm, "length", units, fine=True)

    curve = ChartCurve("distance", close.curve.distance_mm, write, LOOKS["ink"].colour)
    words = f"least {write(close.limit_mm)}"
    title = f"{close.words[0]} to {close.words[1]}"
    return Chart(title, close.curve.crank_deg, (curve,), close.limit_mm, words)


def motion_chart(assembly: Assembly, bore: int, units: System) -> Chart:
    """Piston position, speed and acceleration of a bore at the engine's speed."""
    angles = np.arange(0.0, 720.0 + 1e-9, STEP_DEG)
    index = assembly.layout.index(bore)
    motion = state(assembly.linkage, angles)
    rpm = assembly.spec.engine.speed_rpm
    speed = at_speed(motion, rpm)
    height = motion.pin_height_mm[:, index]

    def length(mm: float) -> str:
        return show(mm, "length", units)

    def pace(m_s: float) -> str:
        return show(m_s, "speed", units)

    def acceleration(m_s2: float) -> str:
        return f"{m_s2 / METRES_PER_FOOT:.0f} ft/s²" if units == "in" else f"{m_s2:.0f} m/s²"

    curves = (
        ChartCurve("below top", height.max() - height, length, MOTION_LOOKS[0]),
        ChartCurve("speed", speed.velocity_m_s[:, index], pace, MOTION_LOOKS[1], dashed=True),
        ChartCurve("acceleration", speed.acceleration_m_s2[:, index], acceleration, MOTION_LOOKS[2]),
    )
    return Chart(f"piston {bore} at {rpm:.0f} rpm", angles, curves)


def chart_boxes(size_px: tuple[int, int], count: int) -> list[Rectangle]:
    """Where charts stand: one above the other at the lower left."""
    unit, low = unit_of(size_px), BAR_HEIGHT + CAUTION_HEIGHT
    bottoms = [(low + n * (HEIGHT + GAP)) * unit for n in range(count)]
    return [Rectangle(16.0 * unit, bottom, WIDTH * unit, HEIGHT * unit) for bottom in bottoms]


def _plot(box: Rectangle, unit: float) -> Rectangle:
    return Rectangle(
        box.left + 14.0 * unit, box.bottom + 30.0 * unit, box.width - 28.0 * unit, box.height - 86.0 * unit
    )


def _heights(
    chart: Chart, curve: ChartCurve, plot: Rectangle
) -> tuple[Callable[[float], float], float, float]:
    """From a value to a height in px, and the span that is drawn."""
    low, high = float(curve.values.min()), float(curve.values.max())
    if chart.limit is not None:
        low, high = min(low, chart.limit, 0.0), max(high, chart.limit)
    span = max(high - low, 1e-9)
    return (lambda value: plot.bottom + (value - low) / span * plot.height), low, high


def chart_ground(chart: Chart, box: Rectangle, cycle_deg: float, unit: float, measure: Measure) -> Panel:
    """The still part of a chart: axes, curves, limit."""
    panel, plot = Panel(measure=measure), _plot(box, unit)
    panel.plate(box)
    top = box.bottom + box.height - 20 * unit
    panel.write(chart.title, box.left + 14 * unit, top, 15.5 * unit, bold=True)
    for angle in np.arange(0.0, cycle_deg + 1.0, 90.0 if cycle_deg <= 360 else 180.0):
        x = plot.left + angle / cycle_deg * plot.width
        panel.stroke([(x, plot.bottom), (x, plot.bottom + plot.height)], PALE, 1.5 * unit)
        panel.centred(f"{angle:.0f}°", x, plot.bottom - 14.0 * unit, 12.5 * unit, SOFT)
    for curve in chart.curves:
        place, _, _ = _heights(chart, curve, plot)
        angles = np.arange(0.0, cycle_deg + 1e-9, 2.0 * STEP_DEG)
        values = np.interp(angles % chart.crank_deg[-1], chart.crank_deg, curve.values)
        points = np.column_stack([plot.left + angles / cycle_deg * plot.width, [place(v) for v in values]])
        panel.stroke(points, curve.colour, (3.0 if not curve.dashed else 1.8) * unit)
    if chart.limit is not None:
        place, low, _ = _heights(chart, chart.curves[0], plot)
        for value, colour, dashed in (
            (chart.limit, LOOKS["close"].colour, True),
            (0.0, LOOKS["touches"].colour, False),
        ):
            if value >= low:
                ends = [(x, place(value)) for x in (plot.left, plot.left + plot.width)]
                panel.stroke(ends, colour, 1.8 * unit, dashed=dashed)
    return panel


def chart_cursor(
    chart: Chart, box: Rectangle, crank_deg: float, cycle_deg: float, unit: float, measure: Measure
) -> Panel:
    """The moving part: a line at the crank angle, a dot on each curve, and the values there."""
    panel, plot = Panel(measure=measure), _plot(box, unit)
    angle = crank_deg % cycle_deg
    x = plot.left + angle / cycle_deg * plot.width
    panel.stroke([(x, plot.bottom), (x, plot.bottom + plot.height)], INK, 1.5 * unit)
    left, middle = box.left + 14.0 * unit, box.bottom + box.height - 42.0 * unit
    for curve in chart.curves:
        place, _, _ = _heights(chart, curve, plot)
        value = float(np.interp(angle % chart.crank_deg[-1], chart.crank_deg, curve.values))
        panel.dot((x, place(value)), 5.5 * unit, PAPER)
        panel.dot((x, place(value)), 4.0 * unit, curve.colour)
        text = f"{curve.name} {curve.write(value)}"
        left += panel.write(text, left, middle, 13.5 * unit, curve.colour, bold=True) + 16.0 * unit
    if chart.limit is not None:
        panel.write(chart.limit_words, left, middle, 13.5 * unit, LOOKS["close"].colour)
    return panel
