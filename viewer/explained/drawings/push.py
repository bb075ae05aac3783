"""Pushing a piston in: bore, rod with its open end, and the crankpin at a safe and at an unsafe crank angle."""

from __future__ import annotations

from typing import Any

import numpy as np

from geometry.mistakes.rods.push import greatest_lean_rad, open_end, push_in
from geometry.mistakes.rods.rod_pushed_down import range_words
from geometry.spec.engine import Engine
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing
from viewer.explained.pen import FAINT, WRONG, Pen, Xy

UNSAFE_SHARE = 0.6
"""Where between top dead centre and the first safe angle the wrong position is drawn."""


def pin_deg(case: MistakeCase, wrong: bool) -> float:
    """Crankpin after top dead centre, as drawn: bottom dead centre is safe."""
    if not wrong:
        return 180.0
    safe = push_in(case.right, case.site).safe_after_top_deg
    return UNSAFE_SHARE * (safe[0][0] if safe else 90.0)


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """Seen along the crank, crown flush with the deck."""
    spec = case.side(False).design(case.place)
    deck, flush = spec.block.deck_height_mm, spec.block.deck_height_mm - spec.piston.compression_height_mm
    half, wall = spec.block.bore.diameter_mm / 2, 2.5 * spec.block.bore.wall_mm
    bottom = deck - spec.block.bore.length_mm
    throw, radius = spec.crank.stroke_mm / 2, spec.crank.pin.diameter_mm / 2
    pen.frame(-half - 2.2 * wall, half + 2.2 * wall, -throw - radius - 6.0, deck + 6.0)
    for side in (-1.0, 1.0):
        corners = np.array([[half, deck], [half + wall, deck], [half + wall, bottom], [half, bottom]])
        pen.fill(corners * [side, 1.0], "block", level=1.0)
    _piston(pen, spec, flush)
    lean = float(greatest_lean_rad(spec, np.array([flush]))[0])
    for share in (-1.0, 1.0):
        for shape in rod_shapes(case, flush, share * lean):
            pen.line(np.vstack([shape, shape[:1]]), colour=FAINT, width=0.8, style=":", level=3.0)
    for shape in rod_shapes(case, flush, 0.0):
        pen.fill(shape, "rod", accent=True, hatch=False, level=4.0)
    phi = np.radians(pin_deg(case, wrong))
    pin = (float(-throw * np.sin(phi)), float(throw * np.cos(phi)))
    pen.circle((0.0, 0.0), throw, colour=FAINT, width=0.9, style="--", level=1.5)
    pen.circle(pin, radius, "crank", level=5.0)
    if wrong:
        pen.circle(pin, radius, colour=WRONG, width=3.0, level=5.5)
    pen.line(np.array([[-6.0, 0.0], [6.0, 0.0]]))
    pen.line(np.array([[0.0, -6.0], [0.0, 6.0]]))
    _words(pen, case, wrong, pin, half + wall / 2, 0.5 * (deck + bottom))
    return (0.0, flush - spec.rod.length_mm)


def _words(pen: Pen, case: MistakeCase, wrong: bool, pin: Xy, wall_x: float, level: float) -> None:
    pen.label("crankpin", pin, small=True)
    pen.label("bore", (wall_x, level), small=True)
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    place = (left + 0.16 * (right - left), low + 0.3 * (high - low))
    if wrong:
        pen.label(
            f"crankpin {pin_deg(case, True):.0f}° after\ntop dead centre", pin, place, colour=WRONG, bold=True
        )
    else:
        pen.label("crankpin at bottom\ndead centre", pin, place)


def _piston(pen: Pen, spec: Engine, height: float) -> None:
    half = spec.block.bore.diameter_mm / 2 - 0.6
    top, low = height + spec.piston.compression_height_mm, height - spec.piston.skirt.bottom_mm
    thick = spec.piston.skirt.thickness_mm
    under = top - spec.piston.grooves[-1].from_crown_mm - spec.piston.grooves[-1].height_mm
    outline = [
        [-half, top], [half, top], [half, low], [half - thick, low], [half - thick, under], [-half + thick, under],
        [-half + thick, low], [-half, low],
    ]  # fmt: skip
    pen.fill(np.array(outline), "piston", level=2.0)


def rod_shapes(case: MistakeCase, height: float, lean: float) -> list[Any]:
    """The rod hanging from its pin, (n, 2) each in the bore's frame: half ring, blade, small end, legs and bolts."""
    spec = case.right.design(case.place)
    end, length = open_end(spec), spec.rod.length_mm
    turn = np.array([[np.cos(lean), -np.sin(lean)], [np.sin(lean), np.cos(lean)]])
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
    return [(shape - [0.0, length]) @ turn.T + [case.site.offset_mm, height] for shape in shapes]


def said(case: MistakeCase) -> str:
    """Which crank angles are safe."""
    safe = range_words(push_in(case.right, case.site).safe_after_top_deg)
    return f"Seen along the crank, to scale; dotted: how far the rod may lean. Safe: {safe} after top dead centre."


DRAWING = Drawing("push", draw, said)
