"""One clock face: the rings of one piston seen from above, front up, every gap named in words.

A ring angle runs clockwise from the front, so on paper it points to (sin, cos): 90 degrees is to the right.
Every gap carries an id, ``bores-1-3-5-7-top-gap``, that a vector file keeps.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from geometry.rings.angles import separation_deg, signed_deg
from geometry.rings.clocked import BoreClock
from viewer.paper.clock.callouts import REACH, FaceLabel, placed
from viewer.paper.clock.looks import (
    EDGE,
    FAINT,
    LOOKS,
    PIN_DASHES,
    POCKET_HATCH,
    THRUST_PT,
    WHITE,
    marker_style,
)
from viewer.paper.clock.plans import ClockPlan
from viewer.paper.clock.wording import degrees_text
from viewer.paper.lettering import FAMILY, line_in, width_in
from viewer.paper.page import HATCH, INK, LIGHT, arrow

if TYPE_CHECKING:
    from matplotlib.axes import Axes

LOW, HIGH = -1.33, 1.52
"""Lower and upper edge of a face with its labels; the top ring has radius 1."""
LABEL_AT: Final = 1.40
SMALL_PT: Final = 6.3
UNIT_IN: Final = 0.57
"""Radius of the top ring on paper at scale 1."""
_OPEN_DEG: Final = 7.5
"""Half of the opening drawn for a gap: much wider than the gap, so that it is seen."""
_LEADER_TO: Final = REACH
_CLOSEST_AT: Final = 0.34


@dataclass(frozen=True, slots=True)
class FaceLine:
    """One line of a label beside a face: words, their size on paper in points, whether bold."""

    text: str
    size_pt: float
    bold: bool = False

    @property
    def wide_in(self) -> float:
        """Its width on paper, inches."""
        return width_in(self.text, self.size_pt, self.bold)


Words = Mapping[str, tuple[FaceLine, ...]]
"""Lines of the label of every ring, and of ``thrust``, by name."""


def point(ring_deg: float, radius: float) -> tuple[float, float]:
    """Where a ring angle lies on paper."""
    angle = np.radians(ring_deg)
    return float(radius * np.sin(angle)), float(radius * np.cos(angle))


def thrust_lines(clock: BoreClock, size_pt: float) -> tuple[FaceLine, ...]:
    """What stands at the major thrust side."""
    return FaceLine(clock.thrust_words.upper(), size_pt, True), FaceLine("(major thrust)", size_pt, True)


def room_in(words: Words) -> float:
    """Width that labels take on either side, inches; both sides alike, so that the face stands in the middle."""
    return max(line.wide_in for lines in words.values() for line in lines)


def extent(clock: BoreClock, words: Words, unit_in: float) -> tuple[float, float]:
    """Lowest and highest of face and labels, the top ring having radius 1."""
    labels = _face_labels(clock, words, unit_in)
    where = placed(labels)
    half = {label.key: label.height / 2 for label in labels}
    low = min(level - half[key] for key, (_, level) in where.items())
    high = max(level + half[key] for key, (_, level) in where.items())
    return min(LOW, low), max(HIGH, high)


def draw_face(axis: Axes, plan: ClockPlan, words: Words, scale: float) -> None:
    """Draw the clock of one plan into an empty axis, whose unit is ``UNIT_IN * scale`` on paper.

    Parameters
    ----------
    words : what stands beside each gap, in points on paper
    """
    clock, planned_deg, turned = plan.clock, plan.planned_deg, plan.turned
    axis.set_aspect("equal")
    axis.set_axis_off()
    _still_places(axis, plan)
    for role, angle in clock.angles_deg.items():
        _ring(axis, role, angle, scale)
    for role, planned in planned_deg.items():
        found = clock.angles_deg.get(role)
        if found is not None and separation_deg(found, planned) > 0.5:
            spot = point(planned, LOOKS[role].radius)
            axis.plot(*spot, **marker_style(role, 3.4 * scale, LIGHT), zorder=5, gid=f"{role}-planned")
    for role, angle in clock.angles_deg.items():
        spot = point(angle, LOOKS[role].radius)
        gid = f"bores-{plan.key}-{role}-gap"
        axis.plot(*spot, **marker_style(role, 4.2 * scale), zorder=7, gid=gid)
    _front(axis, turned, scale)
    _closest(axis, clock, scale)
    _labels(axis, clock, words, scale)


def _arc(axis: Axes, radius: float, start_deg: float, end_deg: float, **look: Any) -> None:
    angles = np.radians(np.linspace(start_deg, end_deg, 181))
    axis.plot(radius * np.sin(angles), radius * np.cos(angles), solid_capstyle="butt", **look)


def _ring(axis: Axes, role: str, gap_deg: float, scale: float) -> None:
    look = LOOKS[role]
    half = _OPEN_DEG / look.radius
    span = (gap_deg + half, gap_deg + 360.0 - half)
    _arc(axis, look.radius, *span, color=INK, lw=look.width_pt * scale, ls=look.dashes, zorder=3)
    if look.hollow:
        _arc(axis, look.radius, *span, color=WHITE, lw=look.width_pt * 0.42 * scale, zorder=3)
    for end in span:
        line = np.array([point(end, look.radius - 0.035), point(end, look.radius + 0.035)])
        axis.plot(line[:, 0], line[:, 1], color=INK, lw=0.9 * scale, zorder=3)


def _still_places(axis: Axes, plan: ClockPlan) -> None:
    """Pin bosses and valve pockets, faintly; the pin axis; thrust and anti-thrust marks."""
    clock = plan.clock
    from matplotlib.patches import Wedge

    for boss in clock.places.bosses:
        middle, half = 90.0 - boss.centre_deg, boss.half_deg
        axis.add_patch(Wedge((0, 0), 1.06, middle - half, middle + half, width=0.68, fc=FAINT, ec="none"))
    for pocket in clock.places.pockets:
        middle, half = 90.0 - pocket.centre_deg, pocket.half_deg
        hatch = POCKET_HATCH.get(pocket.valve)
        axis.add_patch(
            Wedge((0, 0), 1.14, middle - half, middle + half, width=0.08, fc=WHITE, ec=EDGE, lw=0.6, hatch=hatch)
        )  # fmt: skip
    axis.plot([0, 0], [-1.12, 1.12], color=HATCH, lw=0.7, ls=PIN_DASHES, zorder=1)
    for which, angle in (("major", clock.thrust_deg), ("minor", clock.thrust_deg + 180.0)):
        _arc(
            axis, 1.18, angle - 12.0, angle + 12.0, color=INK, lw=THRUST_PT[which],
            gid=f"bores-{plan.key}-{which}-thrust",
        )  # fmt: skip


def _front(axis: Axes, turned: bool, scale: float) -> None:
    """The way to the engine's front, and the piston's own front mark on its crown."""
    arrow(axis, (0, 1.28), (0, 1.51), size=scale, lw=1.5)
    axis.text(
        0.10, 1.40, "FRONT", ha="left", va="center", fontsize=7.2 * scale, weight="bold", color=INK, family=FAMILY
    )  # fmt: skip
    way = -1.0 if turned else 1.0
    axis.fill([-0.055, 0.0, 0.055], [0.16 * way, 0.27 * way, 0.16 * way], fc=WHITE, ec=INK, lw=0.8, zorder=6)


def _closest(axis: Axes, clock: BoreClock, scale: float) -> None:
    """The smallest distance between two ring gaps, as a dimension in the middle of the crown."""
    pair, apart = clock.verdict.smallest_pair, clock.verdict.smallest_deg
    if pair is None or apart is None:
        return
    first, second = (clock.angles_deg[role] for role in pair)
    sweep = signed_deg(second - first)
    _arc(axis, _CLOSEST_AT, first, first + sweep, color=INK, lw=0.9 * scale, zorder=4)
    for end in (first, second):
        line = np.array([point(end, _CLOSEST_AT - 0.05), point(end, _CLOSEST_AT + 0.05)])
        axis.plot(line[:, 0], line[:, 1], color=INK, lw=0.9 * scale, zorder=4)
    axis.text(
        0, 0, degrees_text(apart), ha="center", va="center", fontsize=SMALL_PT * scale, color=INK, zorder=5,
        family=FAMILY, bbox={"boxstyle": "square,pad=0.08", "fc": WHITE, "ec": "none"},
    )  # fmt: skip


def _face_labels(clock: BoreClock, words: Words, unit_in: float) -> list[FaceLabel]:
    def height(role: str) -> float:
        return (sum(line_in(line.size_pt) for line in words[role]) + 0.02) / unit_in

    labels = [FaceLabel(role, angle, height(role)) for role, angle in clock.angles_deg.items()]
    return [*labels, FaceLabel("thrust", clock.thrust_deg, height("thrust"), fixed=True)]


def _labels(axis: Axes, clock: BoreClock, words: Words, scale: float) -> None:
    unit_in = UNIT_IN * scale
    labels = _face_labels(clock, words, unit_in)
    where = placed(labels)
    for label in labels:
        side, level = where[label.key]
        top, role = level + label.height / 2 - 0.01 / unit_in, label.key
        first = top - line_in(words[role][0].size_pt) / unit_in / 2
        if role != "thrust":
            start, elbow = point(label.angle_deg, LOOKS[role].radius), point(label.angle_deg, _LEADER_TO)
            ways = np.array([start, elbow, (side * (LABEL_AT - 0.06), first)])
            axis.plot(ways[:, 0], ways[:, 1], color=HATCH, lw=0.6 * scale, zorder=4)
            axis.plot(side * LABEL_AT, first, **marker_style(role, 3.8 * scale), zorder=7)
        x = side * (LABEL_AT + (0.09 if role != "thrust" else -0.06))
        for line in words[role]:
            high = line_in(line.size_pt) / unit_in
            axis.text(
                x, top - high / 2, line.text, va="center", ha="left" if side > 0 else "right", fontsize=line.size_pt,
                weight="bold" if line.bold else "normal", color=INK, family=FAMILY,
            )  # fmt: skip
            top -= high
