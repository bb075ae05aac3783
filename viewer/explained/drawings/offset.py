"""A pin out of the middle of its piston: on which side of the bore's axis it stands, and where the gas presses."""

from __future__ import annotations

import numpy as np

from geometry.kinematics.slider_crank import dead_centres
from geometry.mistakes.pistons.piston_turned import thrust_swap_deg
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing
from viewer.explained.pen import FAINT, RIGHT, WRONG, Pen, Xy
from viewer.explained.top_end import draw_block, draw_piston, pin_height_mm, top_of

SHARE = 0.24
"""The offset as drawn, by the bore's radius."""


def larger(case: MistakeCase) -> float:
    """How many times its size the offset is drawn, a whole number."""
    spec = case.right.design(case.place)
    return float(max(1, round(SHARE * spec.block.bore.diameter_mm / 2 / spec.piston.pin.offset_mm)))


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """Seen from the front at top dead centre; the pin as far off the bore's axis as the offset, drawn larger."""
    side = case.side(wrong)
    top, spec = top_of(side, case.place), side.design(case.place)
    index, radius = side.layout.index(case.place), spec.block.bore.diameter_mm / 2
    crank = float(dead_centres(side.linkage).top_deg[index])
    pin_mm, reach = pin_height_mm(side, case.place, crank), 0.74 * radius
    pen.frame(-1.3 * radius, 1.3 * radius, pin_mm - reach, pin_mm + reach)
    draw_block(pen, top, 0.0, 3.0 * radius)
    draw_piston(pen, top, 0.0, pin_mm, accent=False)
    at = -float(side.linkage.offset_mm[index]) * larger(case)
    _rod(pen, case, at, pin_mm)
    low, high = pen.axis.get_ylim()
    pen.line(np.array([[0.0, low], [0.0, high]]), style="-.", width=1.0, level=6.0)
    colour = WRONG if wrong else RIGHT
    upright = [pin_mm - 0.34 * reach, pin_mm + 0.52 * reach]
    pen.line(np.array([[at, z] for z in upright]), colour=colour, width=1.6, level=6.0)
    pen.arrow((0.0, pin_mm), (at, pin_mm), colour=colour, width=2.6)
    major = -1.0 if case.site.thrust_ring_deg == 90.0 else 1.0  # 90 on the ring clock is +y: at the left
    pen.arrow((major * 0.62 * radius, pin_mm), (major * 0.99 * radius, pin_mm), width=2.6)
    _words(pen, case, wrong, (at, upright[1]), major)
    return (0.0, pin_mm)


def _rod(pen: Pen, case: MistakeCase, at: float, pin_mm: float) -> None:
    """Small end and blade, and the pin in it."""
    spec = case.right.design(case.place)
    half, length = spec.rod.beam.width_small_mm / 2, spec.rod.length_mm
    wide = spec.rod.beam.width_big_mm / 2
    blade = np.array(
        [[at - half, pin_mm], [at + half, pin_mm], [wide, pin_mm - length], [-wide, pin_mm - length]]
    )
    pen.fill(blade, "rod", hatch=False, level=4.0)
    pen.circle((at, pin_mm), spec.rod.small_end.outside_mm / 2, "rod", hatch=False, level=4.1)
    pen.circle((at, pin_mm), spec.piston.pin.diameter_mm / 2, "bolt", accent=True, level=4.2)


def _words(pen: Pen, case: MistakeCase, wrong: bool, tip: Xy, major: float) -> None:
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    wide, tall = right - left, high - low
    pin, colour = case.right.design(case.place).piston.pin, WRONG if wrong else RIGHT
    other = {"major": "minor", "minor": "major"}[pin.offset_side]
    towards = other if wrong else pin.offset_side
    swap = thrust_swap_deg(case.side(wrong), case.place)
    when = f"{abs(swap):.1f}° {'after' if swap > 0 else 'before'} top"
    side = 1.0 if tip[0] > 0 else -1.0
    place = (side * 0.25 * wide, high - 0.13 * tall)
    pen.label(
        f"pin {case.length(pin.offset_mm)} off, {case.site.side(towards)}\npiston slaps over {when}", tip, place,
        colour=colour, bold=True,
    )  # fmt: skip
    for thrust, hand in (("major", major), ("minor", -major)):
        named = case.site.side_words(thrust).replace(" (", "\n(")
        pen.label(named, (hand * 0.33 * wide, low + 0.30 * tall), small=True)
    pen.label("bore's axis", (0.0, low + 0.05 * tall), small=True, colour=FAINT)


def said(case: MistakeCase) -> str:
    """How much larger the offset is drawn."""
    return (
        "Section through the bore's axis, seen from the front, the bore upright, top dead centre; to scale but for the "
        f"pin's offset, drawn {larger(case):.0f} times. The arrow to the wall: where the gas presses the piston."
    )


DRAWING = Drawing("offset", draw, said)
