"""A valve and its pocket: cut where they come nearest, and small from above which pocket lies under which valve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.clearance.limits import limit_for
from geometry.clearance.valve_rooms import valve_rooms
from geometry.kinematics.valve_lift import ValveTiming, overlap_deg, valve_timings
from geometry.parts.shapes.crown import inward_sign
from geometry.parts.valve import HEAD_MM, STEM_RADIUS_MM
from viewer.explained.case import MistakeCase
from viewer.explained.crown_plan import Over, draw_plan, front_down
from viewer.explained.drawing import Drawing, Moving
from viewer.explained.motion import arc_of, crank_said, slow_through
from viewer.explained.pen import ACCENT, CLOSE, FAINT, INK, PAPER, RIGHT, WRONG, Pen, Xy
from viewer.explained.top_end import (
    Top,
    draw_bite,
    draw_block,
    draw_piston,
    head_under_mm,
    pin_height_mm,
    top_of,
)

WIDE, NARROW = 0.80, 0.30
"""Half of what is seen across, by the valve's diameter, at most and at least."""
AROUND = 5.0
"""The same by the width of the trouble; a narrow one is seen near."""
SPOT_HIGH = 0.63
"""Where in the half the valve's face stands, by its height: below it the crown from above has room."""
GRID = 81
SAME_MM = 0.02
"""Places nearer than this to the least are as near."""


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """Where it is cut, one place for both halves.

    Attributes
    ----------
    number : of the valve in the file's list, from 1
    limit : name of its limit
    right_deg, wrong_deg : crank angles at which it is nearest, right and wrong
    x_mm : of the cut, in the bore's frame
    at : the valve's axis and the trouble in the picture's abscissa
    wide_mm : how wide the trouble is
    """

    number: int
    limit: str
    right_deg: float
    wrong_deg: float
    x_mm: float
    at: tuple[float, float]
    wide_mm: float


@lru_cache(maxsize=4)
def cut_of(right: Assembly, wrong: Assembly, bore: int) -> Cut:
    """Through the place where the valve that is nearest comes nearest, wrong; where several are, beside its axis."""
    site = wrong.layout.site(bore)
    rooms = valve_rooms(wrong, site)
    worst = min(rooms, key=lambda room: room.room_mm)
    valve = valve_timings(wrong.spec)[worst.number - 1].valve
    centre = np.array([-valve.forward_mm, inward_sign(site) * valve.inward_mm])
    steps = np.linspace(-1.0, 1.0, GRID) * valve.diameter_mm / 2
    dx, dy = (grid.ravel() for grid in np.meshgrid(steps, steps))
    inside = np.hypot(dx, dy) <= valve.diameter_mm / 2
    dx, dy = dx[inside], dy[inside]
    height = top_of(wrong, bore).crown_mm(centre[0] + dx, centre[1] + dy)
    near = height >= height.max() - SAME_MM
    x_mm = float(dx[near][np.abs(dx[near]).argmin()])
    line = near & (np.abs(dx - x_mm) < 1e-9)
    ends = float(dy[line].min()), float(dy[line].max())
    y_mm = (ends[0] + ends[1]) / 2
    right_deg = valve_rooms(right, site)[worst.number - 1].approach.crank_deg
    at = (float(-centre[1]), float(-(centre[1] + y_mm)))
    x = float(centre[0] + x_mm)
    return Cut(worst.number, worst.pair.limit, right_deg, worst.approach.crank_deg, x, at, ends[1] - ends[0])


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """Each half at the crank angle at which the valve is nearest in it."""
    cut = cut_of(case.right, case.wrong, case.place)
    return draw_at(pen, case, wrong, cut.wrong_deg if wrong else cut.right_deg)


def draw_at(pen: Pen, case: MistakeCase, wrong: bool, crank_deg: float) -> Xy:
    """Piston and valve at a crank angle."""
    cut, side, bore = cut_of(case.right, case.wrong, case.place), case.side(wrong), case.place
    timing, top = valve_timings(side.spec)[cut.number - 1], top_of(side, bore)
    face = _face_mm(case.wrong, timing, bore, cut.wrong_deg)
    spot = (cut.at[1], face)
    valve_mm = timing.valve.diameter_mm
    half = float(np.clip(AROUND * cut.wide_mm, NARROW * valve_mm, WIDE * valve_mm))
    high = 2 * half * pen.size_in[1] / pen.size_in[0]
    middle = cut.at[1] + float(np.clip((cut.at[0] - cut.at[1]) / 2, -0.25 * half, 0.25 * half))
    low = face - SPOT_HIGH * high
    pen.frame(middle - half, middle + half, low, low + high)
    draw_block(pen, top, cut.x_mm, abs(middle) + 3 * half)
    pin = pin_height_mm(side, bore, crank_deg)
    draw_piston(pen, top, cut.x_mm, pin)
    under = _face_mm(side, timing, bore, crank_deg)
    across = _valve(pen, timing, cut, under)
    crown = top.crown_mm(cut.x_mm, -across) + pin
    draw_bite(pen, across, np.full(across.size, under), np.minimum(crown, under + HEAD_MM))
    gap = float((under - crown).min())
    limit = limit_for(side.spec, cut.limit)
    colour = WRONG if gap < 0 else CLOSE if gap < limit.least_mm else RIGHT
    _inset(pen, case, wrong, cut, colour)
    here = float(np.interp(spot[0], across, crown))
    _names(pen, top, cut, under)
    if here > low + 0.2 * high:  # in a film the crown comes from below
        _words(pen, case, (spot[0], here), (spot[0], under), gap, limit.least_mm, colour)
    return spot


def _face_mm(side: Assembly, timing: ValveTiming, bore: int, crank_deg: float) -> float:
    """The valve's lower face above the crank axis."""
    lift = float(timing.lift_mm(crank_deg - overlap_deg(side.layout, bore)))
    return top_of(side, bore).face_mm - timing.seat_below_mm - lift


def _valve(pen: Pen, timing: ValveTiming, cut: Cut, under: float) -> Array:
    """Head and stem; answers with places (n,) across the head's face in the cut."""
    valve = timing.valve
    aside = cut.x_mm + valve.forward_mm
    half = float(np.sqrt(max((valve.diameter_mm / 2) ** 2 - aside**2, 0.0)))
    stem = float(np.sqrt(max(min(STEM_RADIUS_MM, valve.diameter_mm / 4) ** 2 - aside**2, 0.0)))
    at, roof = cut.at[0], under + HEAD_MM
    outline = [[-half, under], [half, under], [half, roof]]
    outline += [[stem, roof], [stem, roof + 200.0], [-stem, roof + 200.0], [-stem, roof]] if stem else []
    pen.fill(np.array([*outline, [-half, roof]]) + [at, 0.0], "bolt", level=4.0)
    return np.asarray(at + half * np.linspace(-1.0, 1.0, 500))


def _inset(pen: Pen, case: MistakeCase, wrong: bool, cut: Cut, colour: str) -> None:
    """The crown from above, in the corner away from the trouble: pockets dark, valves as circles, where it is cut."""
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    top, site = top_of(case.side(wrong), case.place), case.site
    radius = top.spec.block.bore.diameter_mm / 2 + top.spec.block.bore.wall_mm
    scale = 0.235 * (high - low) / radius
    size = scale * radius
    x = left + 1.22 * size if cut.at[1] > (left + right) / 2 else right - 1.22 * size
    middle = np.array([x, low + 1.12 * size])
    ground = middle + 1.08 * size * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    pen.axis.fill(*ground.T, fc=PAPER, ec=FAINT, lw=1.0, zorder=6.9)
    valves = [
        Over(timing.valve, colour if timing.number == cut.number else INK, timing.number == cut.number)
        for timing in valve_timings(top.spec)
    ]
    draw_plan(pen, top, site, lambda points: middle + scale * front_down(points), valves, level=7.0)
    line = middle + scale * front_down(np.array([[cut.x_mm, -1.1 * radius], [cut.x_mm, 1.1 * radius]]))
    pen.line(line, colour=ACCENT, width=1.2, style="-.", level=8.2)
    tail, tip = middle + [0.0, -0.80 * size], middle + [0.0, -1.06 * size]
    pen.arrow((float(tail[0]), float(tail[1])), (float(tip[0]), float(tip[1])), width=1.4, level=8.4)
    pen.label("front", (float(middle[0] + 0.72 * size), float(middle[1] - 0.97 * size)), small=True)


def _words(
    pen: Pen, case: MistakeCase, crown: Xy, valve: Xy, gap: float, least_mm: float, colour: str
) -> None:
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    wide, tall = right - left, high - low
    least = case.length(least_mm)
    if gap < 0:
        said = f"valve {case.length(-gap)} into the crown\n{least} free wanted"
    else:
        said = f"{case.length(gap)} free{case.below_assumed(': too close') if gap < least_mm else ''}\nat least {least}"
    side = 1.0 if valve[0] > (left + right) / 2 else -1.0
    place = ((left + right) / 2 + side * 0.24 * wide, low + 0.17 * tall)
    pen.dimension(crown, valve, said, place, colour=colour)
    pen.label("crown", (place[0], low + 0.36 * tall), small=True)


def _names(pen: Pen, top: Top, cut: Cut, under: float) -> None:
    """Valve and head by name, where they are in the picture."""
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    wide, tall = right - left, high - low
    level = high - 0.08 * tall
    stem = left + 0.1 * wide < cut.at[0] < right - 0.1 * wide
    side = 1.0 if cut.at[0] > cut.at[1] else -1.0
    on_disc = (cut.at[1] + side * 0.2 * wide, under + HEAD_MM / 2)
    pen.label("valve", (cut.at[0], level) if stem else on_disc, small=True)
    x = right - 0.09 * wide
    if head_under_mm(top, cut.x_mm, np.array([x]))[0] < level - 0.04 * tall:
        pen.label("head", (x, level), small=True)


def said(case: MistakeCase) -> str:
    """Where and when it is cut."""
    cut = cut_of(case.right, case.wrong, case.place)
    valve = valve_timings(case.right.spec)[cut.number - 1].valve.valve
    return (
        f"Section through the {valve} valve, seen from the front, the bore upright, to scale, where it comes nearest: "
        f"crank at {cut.right_deg:.0f}° right, {cut.wrong_deg:.0f}° wrong. Small: the crown from above, front down."
    )


def steps(case: MistakeCase) -> Sequence[float]:
    """Through the angles at which the valve is nearest, slow where it is met."""
    return slow_through(arc_of(case, cut_of(case.right, case.wrong, case.place).wrong_deg))


DRAWING = Drawing("pocket", draw, said, Moving(draw_at, steps, crank_said))
