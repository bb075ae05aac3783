"""An oil ring's rail left out: the pack in its groove near the wall, and the play that the missing rail leaves."""

from __future__ import annotations

from typing import Final

import numpy as np

from geometry.mistakes.rings.ring_words import ring_fit
from geometry.rings.section import oil_pack
from viewer.explained import grooved
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing
from viewer.explained.pen import RIGHT, WRONG, Pen, Xy

BELOW, ABOVE, LEFT = 0.62, 1.06, 0.60
"""What is seen under and over the groove's bottom, by the height of the pack; where the wall stands in the frame."""
NOT_THERE: Final = (0, (5, 3))


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """Section through the bore's axis, the pack pushed up in its groove, so that its play lies open below."""
    oil = case.design.rings.oil
    assert oil is not None
    ground, side = (
        grooved.groove(case.design, "oil"),
        ring_fit(case.right, case.place, "upper_rail").groove.side_mm,
    )
    pack = oil_pack(oil.height_mm, oil.rail_height_mm, oil.rail_wall_mm)
    wide_in, high_in = pen.size_in
    wide = max((BELOW + ABOVE) * oil.height_mm * wide_in / high_in, 1.25 * abs(ground.root) / LEFT)
    tall = wide * high_in / wide_in
    pen.frame(-LEFT * wide, (1.0 - LEFT) * wide, -BELOW * oil.height_mm, tall - BELOW * oil.height_mm)
    grooved.wall(pen)
    grooved.piston(pen, ground)
    up = np.array([0.0, max(side, 0.0)])
    pen.fill(pack.expander + up, "shell", level=2.5)
    pen.fill(pack.upper_rail + up, "ring", accent=True, level=3.0)
    lower = pack.lower_rail + up
    if wrong:
        pen.line(np.vstack([lower, lower[:1]]), colour=WRONG, width=2.4, style=NOT_THERE, level=6.0)
    else:
        pen.fill(lower, "ring", accent=True, level=3.0)
    edges = [float(piece[:, 1].mean()) for piece in (lower, pack.upper_rail + up)]
    _oil(pen, ground.land, oil.rail_wall_mm, edges, wrong, tall)
    play = max(side, 0.0) + (oil.rail_height_mm if wrong else 0.0)
    _words(pen, case, wrong, play, oil.rail_wall_mm, edges)
    return (0.0, edges[0])


def _oil(pen: Pen, land: float, rail: float, edges: list[float], wrong: bool, tall: float) -> None:
    """Oil on the wall: two edges take it down in two steps, one alone leaves more above it."""
    slit = abs(land)
    held = slit * np.array(
        [0.9, 0.9 if wrong else 0.35, 0.35 if wrong else 0.08]
    )  # below, between, above the rails
    ends = [-tall, edges[0], edges[1], tall]
    for thick, low, high in zip(held, ends, ends[1:], strict=False):
        strip = np.array([[0.0, low], [-thick, low], [-thick, high], [0.0, high]])
        pen.fill(strip, "oil", level=1.1, edge=False)
    if wrong:
        empty = np.array([[0.0, 0.0], [-rail, 0.0], [-rail, 2 * edges[0]], [0.0, 2 * edges[0]]])
        pen.fill(empty, "oil", level=1.3, edge=False)
        x = 0.05 * tall
        for start, end in (
            (edges[0] - 0.1 * tall, edges[0] + 0.1 * tall),
            (edges[1], edges[1] + 0.18 * tall),
        ):
            pen.arrow((x, start), (x, end), colour=WRONG, width=4.0)


def _words(pen: Pen, case: MistakeCase, wrong: bool, play: float, rail: float, edges: list[float]) -> None:
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    wide, tall = right - left, high - low
    pen.label("piston, crown up", (left + 0.2 * wide, low + 0.05 * tall))
    pen.label("bore wall", (right - 0.14 * wide, low + 0.06 * tall))
    pen.label("upper rail", (-0.3 * rail, edges[1]), (left + 0.16 * wide, edges[1]))
    pen.label(
        "expander",
        (-0.7 * rail, 0.5 * (edges[0] + edges[1])),
        (left + 0.16 * wide, 0.5 * (edges[0] + edges[1])),
    )
    colour = WRONG if wrong else RIGHT
    named = "lower rail\nmissing" if wrong else "lower rail"
    pen.label(named, (-0.3 * rail, edges[0]), (left + 0.16 * wide, edges[0]), colour=colour, bold=True)
    x = -0.62 * rail
    text = f"play of the pack {case.length(play)}"
    pen.dimension((x, 0.0), (x, play), text, (left + 0.36 * wide, low + 0.15 * tall), colour=colour)
    text = "one edge leaves oil\non the wall" if wrong else "two edges take\noil down"
    pen.label(text, (right - 0.18 * wide, low + 0.66 * tall), colour=colour, bold=True)


DRAWING = Drawing(
    "oil_rail",
    draw,
    lambda case: (
        "Section through the bore's axis, to scale but for the oil; expander simplified; the pack pushed up in its "
        "groove."
    ),
)
