"""Curves over the turn in the window: distance of the chosen pair, and the motion of the chosen piston."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.checks.close_places import Close
from geometry.checks.section import Nearby
from geometry.kinematics.slider_crank import at_speed, state
from geometry.units import System, show
from viewer.looks import LOOKS, Colour
from viewer.scene.flat import PAPER, Measure
from viewer.scene.placing import Rectangle, place_labels
from viewer.window.hud import BAR_HEIGHT, CAUTION_HEIGHT, INK, PALE, SOFT, Panel, unit_of

STEP_DEG = 2.0
STANDARD_GRAVITY_M_S2 = 9.80665
"""Exact by definition (NIST SP 811, appendix B); a shop speaks of acceleration in multiples of it."""
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
    """Curves over the same angles, each on its own scale; ``limit`` and ``least`` belong to the first.

    ``least`` is the least point: crank angle and value, as certified, and how it is marked.
    """

    title: str
    crank_deg: Array
    curves: tuple[ChartCurve, ...]
    limit: float | None = None
    limit_words: str = ""
    least: tuple[float, float, Nearby] | None = None


def distance_chart(close: Close, units: System) -> Chart | None:
    """Distance of the chosen pair with its limit."""
    if close.curve is None:
        return None

    def write(mm: float) -> str:
        return show(mm, "length", units, fine=True)

    curve = ChartCurve("distance", close.curve.distance_mm, write, LOOKS["ink"].colour)
    words = f"limit {write(close.limit_mm)}"
    title = f"{close.words[0]} to {close.words[1]}"
    least = (close.crank_deg, close.min_mm, close.verdict)
    return Chart(title, close.curve.crank_deg, (curve,), close.limit_mm, words, least)


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
        return f"{m_s2 / STANDARD_GRAVITY_M_S2:.0f} g"

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
    panel.fitted(chart.title, box.left + 14 * unit, top, 15.5 * unit, box.width - 28 * unit, bold=True)
    for angle in np.arange(0.0, cycle_deg + 1.0, 90.0 if cycle_deg <= 360 else 180.0):
        x = plot.left + angle / cycle_deg * plot.width
        panel.stroke([(x, plot.bottom), (x, plot.bottom + plot.height)], PALE, 1.5 * unit)
        _inside(panel, box, f"{angle:.0f}°", x, plot.bottom - 14.0 * unit, 12.5 * unit, SOFT)
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
    _least(panel, chart, plot, cycle_deg, unit)
    return panel


def _inside(
    panel: Panel,
    box: Rectangle,
    text: str,
    x: float,
    middle: float,
    size: float,
    colour: Colour,
    bold: bool = False,
) -> None:
    """Write about a point, moved so far that it stays within a box."""
    half, edge = panel.width(text, size, bold) / 2, 0.3 * size
    x = min(max(x, box.left + half + edge), box.left + box.width - half - edge)
    panel.centred(text, x, middle, size, colour, bold)


def _least(panel: Panel, chart: Chart, plot: Rectangle, cycle_deg: float, unit: float) -> None:
    """The least point of the first curve, with its value and where it is, beside it in the trough."""
    if chart.least is None:
        return
    angle, value, verdict = chart.least
    place, _, _ = _heights(chart, chart.curves[0], plot)
    x, y = plot.left + angle % cycle_deg / cycle_deg * plot.width, place(value)
    colour = LOOKS[verdict].colour
    panel.dot((x, y), 6.0 * unit, PAPER)
    panel.dot((x, y), 4.5 * unit, colour)
    size, said = 13.0 * unit, f"least {chart.curves[0].write(value)}"
    for text in (f"{said} at {angle % cycle_deg:.1f}°", said):
        box = _beside_curve(panel, plot, (x, y), (panel.width(text, size, True), 1.2 * size))
        if box is not None:
            nearest = np.clip((x, y), (box.left, box.bottom), (box.left + box.width, box.bottom + box.height))
            panel.stroke(np.array([nearest, (x, y)]), colour, 1.2 * unit)
            panel.write(text, box.left, box.centre[1], size, colour, bold=True)
            return


def _beside_curve(
    panel: Panel, plot: Rectangle, at: tuple[float, float], size: tuple[float, float]
) -> Rectangle | None:
    """The place for words in a plot that is nearest to a point and crosses neither the curve nor the limit."""
    corner = np.array([plot.left, plot.bottom])
    found = []
    for line in (line.points_px for line in panel.lines if not line.filled):
        for start, end in itertools.pairwise(line):
            low, high = np.minimum(start, end) - corner, np.maximum(start, end) - corner
            if (
                abs(start[0] - end[0]) > 0.5
            ):  # but for the upright lines of the degrees, which words may cross
                found.append(Rectangle(low[0], low[1] - 1.0, high[0] - low[0], high[1] - low[1] + 2.0))
    dot = np.array(at) - corner
    (free,) = place_labels(dot[None, :], [size], (plot.width, plot.height), found, 2.0)
    return (
        None
        if free is None
        else Rectangle(free.left + plot.left, free.bottom + plot.bottom, free.width, free.height)
    )


def chart_cursor(
    chart: Chart, box: Rectangle, crank_deg: float, cycle_deg: float, unit: float, measure: Measure
) -> Panel:
    """The moving part: a line at the crank angle, a dot on each curve, and the values there."""
    panel, plot = Panel(measure=measure), _plot(box, unit)
    angle = crank_deg % cycle_deg
    x = plot.left + angle / cycle_deg * plot.width
    panel.stroke([(x, plot.bottom), (x, plot.bottom + plot.height)], INK, 1.5 * unit)
    middle, found = box.bottom + box.height - 42.0 * unit, []
    for curve in chart.curves:
        place, _, _ = _heights(chart, curve, plot)
        value = float(np.interp(angle % chart.crank_deg[-1], chart.crank_deg, curve.values))
        panel.dot((x, place(value)), 5.5 * unit, PAPER)
        panel.dot((x, place(value)), 4.0 * unit, curve.colour)
        found.append((f"{curve.name} {curve.write(value)}", curve.colour, True))
    if chart.limit is not None:
        found.append((chart.limit_words, LOOKS["close"].colour, False))
    _words_in_line(panel, found, box.left + 14.0 * unit, middle, 13.5 * unit, box.width - 28.0 * unit)
    return panel


def _words_in_line(
    panel: Panel,
    found: Sequence[tuple[str, Colour, bool]],
    left: float,
    middle: float,
    size: float,
    room: float,
) -> None:
    """Write beside one another, all smaller where the room asks for it."""
    gap = 1.2 * size
    width = sum(panel.width(text, size, bold) for text, _, bold in found) + gap * (len(found) - 1)
    share = min(1.0, 0.98 * room / width)
    for text, colour, bold in found:
        left += panel.write(text, left, middle, size * share, colour, bold) + gap * share
