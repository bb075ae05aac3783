"""A piston that stands too high: the edge of its crown against deck, gasket and head, and which part is too long."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from geometry.checks.section import Amount
from geometry.clearance.limits import limit_for
from geometry.mistakes.facts import top_deg
from geometry.parts.head import CHAMBER_SHARE, chamber
from geometry.stack import stack_of
from viewer.explained.case import MistakeCase
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

AROUND = 3.3
"""Half of what is seen upright, by the rise of the crown."""
WHITE_INSIDE = 0.09
"""A bite higher than this share of the half has its dimension inside it."""
LARGER = 8.0
"""How many times too much is drawn in the small picture of piston and rod."""


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """At top dead centre."""
    crank = top_deg(case.right.linkage, case.right.layout.index(case.place))
    return draw_at(pen, case, wrong, crank)


def draw_at(pen: Pen, case: MistakeCase, wrong: bool, crank_deg: float) -> Xy:
    """The edge of the crown on the right of the picture, where the head has a flat band."""
    side, bore = case.side(wrong), case.place
    top = top_of(side, bore)
    spot = _spot(top)
    half = AROUND * abs(_gap_mm(case, False) - _gap_mm(case, True))
    aspect = pen.size_in[0] / pen.size_in[1]
    pen.frame(spot[0] - half * aspect, spot[0] + half * aspect, spot[1] - half, spot[1] + half)
    draw_block(pen, top, 0.0, spot[0] + 3 * half)
    pin = pin_height_mm(side, bore, crank_deg)
    draw_piston(pen, top, 0.0, pin)
    across = np.linspace(spot[0] - 3 * half, top.shape.radius_mm, 400)
    draw_bite(pen, across, head_under_mm(top, 0.0, across), top.crown_mm(0.0, -across) + pin)
    _stack(pen, case, wrong)
    _words(pen, case, wrong, spot, pin + top.shape.top_mm)
    return spot


def _spot(top: Top) -> Xy:
    """The middle of the head's flat band over the crown's edge."""
    room = chamber(top.spec)
    inner = room.radius_mm if room.depth_mm > 0 else CHAMBER_SHARE * top.spec.block.bore.diameter_mm / 2
    return (inner + top.shape.radius_mm) / 2, top.face_mm


def _gap_mm(case: MistakeCase, wrong: bool) -> float:
    side = case.side(wrong)
    return stack_of(side.spec, side.layout, case.place, side.built).head_mm


def _stack(pen: Pen, case: MistakeCase, wrong: bool) -> None:
    """Crank, rod and piston, small, with what is too much in red and drawn larger than true."""
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    wide, tall = 0.24 * (right - left), 0.44 * (high - low)
    pen.axis.fill(
        left + wide * np.array([0, 1, 1, 0]), low + tall * np.array([0, 0, 1, 1]), fc=PAPER, ec=FAINT, lw=1.0,
        zorder=8.0,
    )  # fmt: skip
    spec, build = case.right.design(case.place), case.wrong.built.bore(case.place)
    rod_more, piston_more = build.rod_length_change_mm, build.compression_height_change_mm
    throw, rod, height = spec.crank.stroke_mm / 2, spec.rod.length_mm, spec.piston.compression_height_mm
    most = 2 * throw + rod + height + LARGER * max(rod_more, piston_more)
    scale = 0.86 * tall / most
    middle, base = left + wide / 2, low + 0.07 * tall + throw * scale
    rod_top = throw + rod + (LARGER * rod_more if wrong else 0.0)

    def box(half: float, z0: float, z1: float, face: str, edge: str = INK, level: float = 8.2) -> None:
        corners = np.array([[-half, z0], [half, z0], [half, z1], [-half, z1]]) * scale + [middle, base]
        pen.axis.fill(*corners.T, fc=face, ec=edge, lw=1.0, zorder=level)

    def ring(z: float, radius: float, face: str) -> None:
        turn = np.linspace(0.0, 2 * np.pi, 60)
        x, y = middle + scale * radius * np.cos(turn), base + scale * (z + radius * np.sin(turn))
        pen.axis.fill(x, y, fc=face, ec=INK, lw=1.0, zorder=8.3)

    blade, half = spec.rod.beam.width_small_mm / 2, spec.block.bore.diameter_mm / 2
    ring(0.0, throw, PAPER)
    box(half, rod_top - 0.5 * height, rod_top + height, "#eceff1")
    box(blade, throw, rod_top, ACCENT if rod_more else "#dfe6ec")
    ring(throw, spec.rod.big_end.outside_mm / 2, ACCENT if rod_more else "#dfe6ec")
    ring(rod_top, spec.piston.pin.diameter_mm / 2, "#bfc6cd")
    if piston_more:
        box(half, rod_top - 0.5 * height, rod_top + height, "none", ACCENT, 8.4)
    if wrong and rod_more:
        box(blade, throw + 0.6 * rod, throw + 0.6 * rod + LARGER * rod_more, WRONG, WRONG, 8.4)
    if wrong and piston_more:
        box(half, rod_top + height, rod_top + height + LARGER * piston_more, WRONG, WRONG, 8.4)


def _words(pen: Pen, case: MistakeCase, wrong: bool, spot: Xy, crown: float) -> None:
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    wide, tall = right - left, high - low
    if crown < low + 0.2 * tall:
        return  # in a film the crown comes from below
    gap, limit = spot[1] - crown, limit_for(case.design, "piston_to_head")
    least = case.length(limit.least_mm)
    if gap < 0:
        said, colour = f"{case.length(-gap)} into the head\n{least} free wanted", WRONG
    elif gap < limit.least_mm:
        said, colour = f"{case.length(gap)}: {case.below_assumed('too close')}\nat least {least}", CLOSE
    else:
        said, colour = f"{case.length(gap)} free\nat least {least}", RIGHT
    place = (left + 0.30 * wide, high - 0.17 * tall)
    if -gap > WHITE_INSIDE * tall:  # an arrow of the bite's own colour would not be seen on it
        pen.arrow((spot[0], spot[1]), (spot[0], crown), both=True, colour=PAPER)
        pen.label(said, (spot[0], (spot[1] + crown) / 2), place, colour=colour, bold=True)
    else:
        pen.dimension((spot[0], crown), spot, said, place, colour=colour)
    top = top_of(case.side(wrong), case.place)
    pen.label("head", (right - 0.10 * wide, high - 0.12 * tall), small=True)
    pen.label("gasket", (right - 0.10 * wide, (top.deck_mm + top.face_mm) / 2), small=True)
    pen.label("block", (right - 0.10 * wide, low + 0.12 * tall), small=True)
    pen.label("crown", (left + 0.38 * wide, low + 0.36 * tall), small=True)


def said(case: MistakeCase) -> str:
    """Scale, and what is drawn larger."""
    by = case.wrong.built.bore(case.place)
    more = Amount(max(by.rod_length_change_mm, by.compression_height_change_mm), "length", fine=True)
    return (
        "Section through the bore's axis, seen from the front, the bore upright, to scale, at top dead centre. Small: "
        f"what is too long, its {more.text(case.system)} drawn {LARGER:.0f} times."
    )


def steps(case: MistakeCase) -> Sequence[float]:
    """Up to top dead centre and over it, slow where the head is met."""
    return slow_through(arc_of(case, top_deg(case.right.linkage, case.right.layout.index(case.place))))


DRAWING = Drawing("head", draw, said, Moving(draw_at, steps, crank_said))
