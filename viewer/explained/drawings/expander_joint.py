"""The expander's ends butting, or over each other: its joint laid flat, and above it the rails in their groove."""

from __future__ import annotations

from math import pi
from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.mistakes.rings.expander_overlapped import OVERLAP_MM
from geometry.rings.section import oil_pack
from viewer.explained import grooved
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing
from viewer.explained.pen import INK, PAPER, RIGHT, WRONG, Ground, Pen, Xy

WIDE_MM: Final = 4.4 * OVERLAP_MM
"""Width of the frame in mm of the joint."""
SPLIT: Final = 0.60
"""Share of the half that the joint has; the groove above has the rest."""
JOINT: Final = 0.40
"""Height of the joint's middle in the half."""
PAINT_MM: Final = 0.55
"""How much of each end is painted, so that both can be seen: common practice, no source."""


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """Joint below, as seen from the wall with the rails off; the groove above, at a scale of its own."""
    oil = case.design.rings.oil
    assert oil is not None
    wide_in, high_in = pen.size_in
    tall = WIDE_MM * high_in / wide_in
    pen.frame(-WIDE_MM / 2, WIDE_MM / 2, 0.0, tall)
    middle, high = JOINT * tall, min(oil.height_mm - 2 * oil.rail_height_mm, 0.3 * tall)
    for way in (-1.0, 1.0):
        _end(pen, way, middle, high, wrong)
    if wrong:
        bite = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]]) * [OVERLAP_MM, 1.25 * high]
        pen.line(np.vstack([bite, bite[:1]]) + [0.0, middle], colour=WRONG, width=3.0, level=7.0)
    _groove(pen, case, wrong, tall)
    _words(pen, case, wrong, middle, high, tall)
    return (0.0, middle)


def _end(pen: Pen, way: float, middle: float, high: float, wrong: bool) -> None:
    """One end of the wave, from beyond the frame to where it stops; painted at its tip."""
    stop = OVERLAP_MM / 2 if wrong else -0.02
    lift = 0.16 * high * way if wrong else 0.0
    x = np.linspace(-WIDE_MM, stop, 241)
    wave = 0.36 * high * np.tanh(4.0 * np.sin(2 * pi * x / OVERLAP_MM + pi / 2)) + lift
    level = 3.0 + (0.5 if way < 0 else 0.0)
    _band(
        pen, np.column_stack([-way * x, middle + wave]), 0.07 * high, "shell" if way > 0 else "second", level
    )
    tip = x > stop - PAINT_MM
    _band(
        pen,
        np.column_stack([-way * x, middle + wave])[tip],
        0.075 * high,
        "hot" if way > 0 else "rod",
        level + 0.1,
    )


def _band(pen: Pen, line: Array, half: float, ground: Ground, level: float) -> None:
    """A strip of steel along a line."""
    along = np.gradient(line, axis=0)
    square = np.column_stack([-along[:, 1], along[:, 0]]) / np.hypot(*along.T)[:, None]
    pen.fill(np.vstack([line + half * square, (line - half * square)[::-1]]), ground, level=level)


def _groove(pen: Pen, case: MistakeCase, wrong: bool, tall: float) -> None:
    """The pack in its groove: rails out at the wall, or fallen back by what the expander lost."""
    oil, ground = case.design.rings.oil, grooved.groove(case.design, "oil")
    assert oil is not None
    room = (1.0 - SPLIT) * tall
    scale = 0.62 * room / ground.high
    at = np.array([0.12 * WIDE_MM, SPLIT * tall + 0.19 * room])
    back = back_mm(case) if wrong else 0.0
    pack = oil_pack(oil.height_mm, oil.rail_height_mm, oil.rail_wall_mm)
    low, high = SPLIT * tall, 1.2 * tall

    def put(points: Array) -> Array:
        moved: Array = points * scale + at
        return moved

    far = WIDE_MM
    pen.fill(np.array([[at[0], low], [far, low], [far, high], [at[0], high]]), "block", level=1.0)
    land, root = at[0] + scale * ground.land, at[0] + scale * ground.root
    floor, roof = at[1], at[1] + scale * ground.high
    corners = [
        [-far, low],
        [land, low],
        [land, floor],
        [root, floor],
        [root, roof],
        [land, roof],
        [land, high],
        [-far, high],
    ]
    pen.fill(np.array(corners), "piston", level=1.2)
    shift = np.array([back, 0.0])
    pen.fill(put(pack.expander - shift), "shell", level=2.5)
    for rail in (pack.upper_rail, pack.lower_rail):
        pen.fill(put(rail - shift), "ring", accent=True, level=3.0)
    slit = scale * abs(ground.land)
    for thick, top in ((0.9, low + 0.25 * room), (0.9 if wrong else 0.1, high)):
        strip = [[at[0], low], [at[0] - thick * slit, low], [at[0] - thick * slit, top], [at[0], top]]
        pen.fill(np.array(strip), "oil", level=1.1, edge=False)
    if wrong:
        x = at[0] + 0.05 * WIDE_MM
        pen.arrow((x, SPLIT * tall + 0.2 * room), (x, SPLIT * tall + 0.85 * room), colour=WRONG, width=4.0)
    rule = np.array([[-far, low], [far, low]])
    pen.line(rule, colour=PAPER, width=7.0, level=8.0)


def back_mm(case: MistakeCase) -> float:
    """How far the rails fall back from the wall: what the expander lost, or the room behind it where that is less."""
    oil, ground = case.design.rings.oil, grooved.groove(case.design, "oil")
    assert oil is not None
    inside = float(oil_pack(oil.height_mm, oil.rail_height_mm, oil.rail_wall_mm).expander[:, 0].min())
    return max(0.0, min(OVERLAP_MM / (2 * pi), inside - ground.root))


def _words(pen: Pen, case: MistakeCase, wrong: bool, middle: float, high: float, tall: float) -> None:
    colour = WRONG if wrong else RIGHT
    if wrong:
        level = middle - 0.85 * high
        text = f"overlap about {case.length(OVERLAP_MM)}, wanted none"
        pen.dimension(
            (-OVERLAP_MM / 2, level), (OVERLAP_MM / 2, level), text, (0.0, 0.06 * tall), colour=colour
        )
    else:
        pen.label(
            "ends butt, both painted ends in sight",
            (0.0, middle),
            (0.0, 0.06 * tall),
            colour=colour,
            bold=True,
        )
    pen.label("expander laid flat", (-0.36 * WIDE_MM, 0.15 * tall), colour=INK, small=True)
    room = (1.0 - SPLIT) * tall
    pen.label("piston, crown up", (-0.35 * WIDE_MM, tall - 0.14 * room), colour=INK, small=True)
    pen.label("bore wall", (0.41 * WIDE_MM, tall - 0.14 * room), colour=INK, small=True)
    text = (
        f"rails stand back\n{case.length(back_mm(case))}:\noil passes"
        if wrong
        else "rails pressed\nto the wall"
    )
    pen.label(text, (0.34 * WIDE_MM, SPLIT * tall + 0.4 * room), colour=colour, bold=True)


DRAWING = Drawing(
    "expander_joint",
    draw,
    lambda case: (
        "Below: the expander's joint seen from the wall, laid flat, its wave of a usual pitch (from memory). Above: "
        "section through the bore's axis, to scale but for the oil."
    ),
)
