"""Pushing a piston in: the rod's open end on its way down, and the crankpin out of its way or under it."""

from __future__ import annotations

from typing import Any

import numpy as np

from geometry.arrays import Array
from geometry.checks.push import PushIn, Strike, first_strike, greatest_lean_rad, open_end, push_in
from geometry.mistakes.rods.rod_pushed_down import range_words
from geometry.spec.engine import Engine
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing
from viewer.explained.pen import FAINT, INK, RIGHT, WRONG, Pen, Xy

SPOT_HIGH = 0.60
"""Where in the half the trouble stands, by its height: below it there is room for the crankpin at the bottom."""
HOSE_MM, HOSE_BEYOND_MM = 2.0, 6.0
"""Wall of the length of hose over a bolt, and how far it reaches past its end; for the eye."""
NICK = 0.022
"""Radius of the nick as drawn, by the height of the half: larger than true, to be seen."""


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """Seen from the front, the bore upright: wrong at the first touch, right with the crown flush with the deck."""
    spec, found = case.right.design(case.place), push_in(case.right, case.site)
    strike = _strike(case, found)
    throw, radius = spec.crank.stroke_mm / 2, spec.crank.pin.diameter_mm / 2
    spot = (-strike.at_mm[0], strike.at_mm[1])
    low = -throw - 0.25 * radius
    high = low + (spot[1] - low) / SPOT_HIGH
    wide = (high - low) * pen.size_in[0] / pen.size_in[1]
    pen.frame(0.5 * spot[0] - wide / 2, 0.5 * spot[0] + wide / 2, low, high)
    _bore(pen, spec)
    flush = spec.block.deck_height_mm - spec.piston.compression_height_mm
    height, lean = (strike.pin_height_mm, strike.lean_rad) if wrong else (flush, 0.0)
    _rod(pen, case, height, lean, sleeved=not wrong)
    pin = _pin(found.throw_deg if wrong else 180.0, throw)
    pen.circle((0.0, 0.0), throw, colour=FAINT, width=0.9, style="--", level=1.5)
    pen.circle(pin, radius, "crank", level=5.0)
    if wrong:
        _nick(pen, pin, spot, high - low)
    _dial(pen, found, wrong, spot[0] > 0, high - low)
    _words(pen, case, wrong, found, pin, spot)
    return spot


def _strike(case: MistakeCase, found: PushIn) -> Strike:
    """Where it is struck; where no angle is unsafe, the crankpin at the top, the crown flush with the deck."""
    spec = case.right.design(case.place)
    strike = first_strike(spec, case.site.offset_mm, found.throw_deg)
    if strike is not None:
        return strike
    flush = spec.block.deck_height_mm - spec.piston.compression_height_mm
    return Strike(flush, 0.0, (0.0, spec.crank.stroke_mm / 2 + spec.crank.pin.diameter_mm / 2))


def _pin(throw_deg: float, throw_mm: float) -> Xy:
    """The crankpin's middle as seen from the front, the engine's right at the left of the picture."""
    phi = np.radians(throw_deg)
    return float(throw_mm * np.sin(phi)), float(throw_mm * np.cos(phi))


def _bore(pen: Pen, spec: Engine) -> None:
    deck, half = spec.block.deck_height_mm, spec.block.bore.diameter_mm / 2
    bottom, wall = deck - spec.block.bore.length_mm, spec.block.bore.wall_mm
    for side in (-1.0, 1.0):
        corners = np.array([[half, deck], [half + wall, deck], [half + wall, bottom], [half, bottom]])
        pen.fill(corners * [side, 1.0], "block", level=4.5)


def _rod(pen: Pen, case: MistakeCase, height: float, lean: float, sleeved: bool) -> None:
    """The open end where it stands, and dotted how far it may lean."""
    spec = case.right.design(case.place)
    most = float(greatest_lean_rad(spec, np.array([height]))[0])
    for share in (-1.0, 1.0):
        for shape in rod_shapes(case, height, share * most):
            pen.line(np.vstack([shape, shape[:1]]), colour=FAINT, width=0.8, style=":", level=1.6)
    shapes = rod_shapes(case, height, lean)
    for shape in shapes:  # the outline of all as one: edges first, then the grounds over what lies inside
        pen.fill(shape, "rod", accent=True, hatch=False, level=4.0)
    for shape in shapes:
        pen.fill(shape, "rod", hatch=False, edge=False, level=4.1)
    if sleeved and spec.rod.bolt.kind == "bolt_and_nut":
        for hose in _hoses(case, height, lean):
            pen.fill(hose, "tool", level=4.3)


def _nick(pen: Pen, pin: Xy, spot: Xy, high: float) -> None:
    """A dent in the crankpin's edge, and short strokes round it."""
    out = np.array(spot) - np.array(pin)
    out /= np.hypot(*out)
    across = np.array([-out[1], out[0]])
    size = NICK * high
    turn = np.linspace(0.0, 2 * np.pi, 61)
    pen.bite(np.array(spot) + size * np.column_stack([np.cos(turn), np.sin(turn)]), level=7.0)
    for angle in np.radians([-70.0, -35.0, 35.0, 70.0]):
        way = np.cos(angle) * out + np.sin(angle) * across
        pen.line(np.array(spot) + np.outer([1.7 * size, 3.4 * size], way), colour=WRONG, width=2.2, level=7.0)


def _dial(pen: Pen, found: PushIn, wrong: bool, spot_right: bool, high: float) -> None:
    """The crank's whole turn, small: safe angles as a green ring, and where the crankpin stands."""
    (left, right), (low, _) = pen.axis.get_xlim(), pen.axis.get_ylim()
    size = 0.105 * high
    middle = np.array([left + 1.55 * size if spot_right else right - 1.55 * size, low + 1.5 * size])

    def at(share: Any, after_deg: Any) -> Array:
        # degrees after top as the throw has them here: from the front, clockwise where the engine turns so
        phi = np.radians(np.asarray(after_deg, dtype=float) * np.sign(_sense(found)))
        return np.asarray(middle + size * np.column_stack([share * np.sin(phi), share * np.cos(phi)]))

    pen.circle((float(middle[0]), float(middle[1])), 1.0 * size, colour=FAINT, width=1.0, level=6.0)
    for start, end in found.safe_after_top_deg:
        arc = np.linspace(start, end, 90)
        band = np.vstack([at(1.0, arc), at(0.72, arc)[::-1]])
        pen.axis.fill(*band.T, facecolor=RIGHT, edgecolor="none", alpha=0.45, zorder=6.1)
    here = np.array([found.unsafe_after_top_deg if wrong else 180.0])
    colour = WRONG if wrong else RIGHT
    tip = at(0.86, here)[0]
    pen.line(np.vstack([middle, tip]), colour=INK, width=2.0, level=6.2)
    turn = np.linspace(0.0, 2 * np.pi, 49)
    dot = tip + 0.17 * size * np.column_stack([np.cos(turn), np.sin(turn)])
    pen.axis.fill(*dot.T, facecolor=colour, edgecolor=INK, lw=0.8, zorder=6.3)
    pen.label("safe", tuple(at(0.4, [180.0])[0]), small=True, colour=RIGHT)


def _sense(found: PushIn) -> float:
    """+1 where the crank turns clockwise seen from the front: the throw then leans to -y after top dead centre."""
    throw = (found.throw_deg + 180.0) % 360.0 - 180.0
    return -1.0 if throw < 0.0 else 1.0


def _words(pen: Pen, case: MistakeCase, wrong: bool, found: PushIn, pin: Xy, spot: Xy) -> None:
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    wide, tall = right - left, high - low
    pen.label(
        "crankpin",
        (pin[0], pin[1] - (0.0 if wrong else -0.35) * case.design.crank.pin.diameter_mm),
        small=True,
    )
    side = 1.0 if spot[0] > 0 else -1.0
    beside = (0.5 * (left + right) + side * 0.31 * wide, low + 0.20 * tall)
    if wrong:
        said = f"crankpin {found.unsafe_after_top_deg:.0f}° after\ntop dead centre: {case.below_assumed('struck')}"
        pen.label(said, spot, beside, colour=WRONG, bold=True)
        return
    top = (0.0, pin[1] + case.design.crank.pin.diameter_mm / 2)
    clear = f"{case.below_assumed(f'clear by {case.length(found.at_bottom_mm)}')}\nmust not touch"
    pen.label(clear, top, (beside[0], low + 0.36 * tall), colour=RIGHT, bold=True)
    pen.label("crankpin at bottom\ndead centre", (beside[0], low + 0.12 * tall))
    if case.design.rod.bolt.kind == "bolt_and_nut":
        hose = _hoses(case, case.design.block.deck_height_mm - case.design.piston.compression_height_mm, 0.0)
        tip = max((corner for shape in hose for corner in shape), key=lambda c: side * c[0] - 0.1 * c[1])
        pen.label(
            "hose over\nthe bolt", (float(tip[0]), float(tip[1])), (beside[0], low + 0.62 * tall), small=True
        )


def _seen(case: MistakeCase, shapes: list[Any], height: float, lean: float) -> list[Any]:
    """Outlines of the rod's plane, big-end centre at the origin, hung from the piston pin and seen from the front."""
    turn = np.array([[np.cos(lean), -np.sin(lean)], [np.sin(lean), np.cos(lean)]])
    length = case.right.design(case.place).rod.length_mm
    hung = [(shape - [0.0, length]) @ turn.T + [case.site.offset_mm, height] for shape in shapes]
    return [shape * [-1.0, 1.0] for shape in hung]


def rod_shapes(case: MistakeCase, height: float, lean: float) -> list[Any]:
    """The rod hanging from its pin, (n, 2) each, seen from the front: half ring, blade, small end, legs and bolts."""
    spec = case.right.design(case.place)
    end, length = open_end(spec), spec.rod.length_mm
    arc = np.radians(np.linspace(0.0, 180.0, 61))
    outer = np.column_stack([end.outer_mm * np.cos(arc), end.outer_mm * np.sin(arc)])
    inner = np.column_stack([end.inner_mm * np.cos(arc[::-1]), end.inner_mm * np.sin(arc[::-1])])
    low, high = spec.rod.beam.width_big_mm / 2, spec.rod.beam.width_small_mm / 2
    small = np.radians(np.linspace(0.0, 360.0, 91))
    shapes = [
        np.vstack([outer, inner]),
        np.array([[-low, end.outer_mm * 0.9], [low, end.outer_mm * 0.9], [high, length], [-high, length]]),
        np.column_stack([np.cos(small), np.sin(small)]) * spec.rod.small_end.outside_mm / 2 + [0.0, length],
    ]
    shapes += [np.array([[y0, z0], [y1, z0], [y1, z1], [y0, z1]]) for y0, y1, z0, z1 in end.boxes_mm]
    return _seen(case, shapes, height, lean)


def _hoses(case: MistakeCase, height: float, lean: float) -> list[Any]:
    """Lengths of hose over the bolts that stand out of the rod."""
    boxes = [box for box in open_end(case.right.design(case.place)).boxes_mm if box[2] < 0.0]
    shapes = [
        np.array([[y0 - HOSE_MM, z0 - HOSE_BEYOND_MM], [y1 + HOSE_MM, z0 - HOSE_BEYOND_MM], [y1 + HOSE_MM, 0.0],
                  [y0 - HOSE_MM, 0.0]])
        for y0, y1, z0, _ in boxes
    ]  # fmt: skip
    return _seen(case, shapes, height, lean)


def said(case: MistakeCase) -> str:
    """Which crank angles are safe."""
    safe = range_words(push_in(case.right, case.site).safe_after_top_deg)
    return (
        "Seen from the front, the bore upright, to scale but for the nick; dotted: how far the rod may lean. "
        f"Safe: {safe} after top dead centre."
    )


DRAWING = Drawing("push", draw, said)
