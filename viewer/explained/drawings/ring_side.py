"""A ring upside down: its section in the groove near the wall, and which way its edge takes the oil."""

from __future__ import annotations

from typing import Final

import numpy as np

from geometry.mistakes.rings.ring_upside_down import ring_of
from geometry.mistakes.rings.ring_words import ring_fit
from geometry.rings.schemes import ROLE_WORDS
from geometry.rings.section import twisted, upside_down
from geometry.spec.rings import CompressionRing
from viewer.explained import grooved
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing
from viewer.explained.pen import INK, RIGHT, WRONG, Pen, Xy
from viewer.paper.clock.grooves import EXAGGERATE
from viewer.paper.clock.section import LEAN_DEG

HIGH: Final = 3.05
"""Height of the frame by that of the ring: both its edges stay in the middle third."""
LEFT: Final = 0.64
"""Where the wall stands in the frame."""


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """Section through the bore's axis; the ring lies on the bottom of its groove."""
    name, ring = ring_here(case)
    ground, high = grooved.groove(case.design, name), ring.height_mm
    wide_in, high_in = pen.size_in
    reach = LEFT * HIGH * high * wide_in / high_in
    if ring.inside != "plain":
        reach = max(reach, 1.05 * abs(ground.root))  # the inner edge makes the twist: it must be seen
    tall = reach / LEFT * high_in / wide_in
    low, top = high / 2 - tall / 2, high / 2 + tall / 2
    pen.frame(-reach, (1.0 - LEFT) / LEFT * reach, low, top)
    shape = grooved.section_of(ring)
    if wrong:
        shape = upside_down(shape, high)
    way = ring_fit(case.right, case.place, name).way
    assert way is not None
    twist = way.twist_upside_down if wrong else way.twist
    leant = None
    if twist != "none":
        leant = twisted(shape, LEAN_DEG if twist == "positive" else -LEAN_DEG)
        leant[:, 1] += shape[:, 1].mean() - leant[:, 1].mean()
    edge = grooved.contact_mm(shape if leant is None else leant)
    grooved.wall(pen)
    grooved.piston(pen, ground)
    grooved.film(pen, ground, edge, low, top, down=not wrong)
    pen.fill(shape, "ring", accent=True, level=3.0)
    if leant is not None:
        pen.line(np.vstack([leant, leant[:1]]), style=(0, (4, 2)), level=5.0)
    mark = (-0.62 * reach, high - 0.09 * high if not wrong else 0.09 * high)
    if ring.mark != "none":
        grooved.dot(pen, mark, 0.09 * high)
    _oil_arrow(pen, edge, high, wrong)
    _words(pen, case, wrong, mark, edge)
    return (0.0, edge)


def ring_here(case: MistakeCase) -> tuple[str, CompressionRing]:
    """The ring that is upside down."""
    name = ring_of(case.right)
    rings = case.design.rings
    ring = rings.top if name == "top" else rings.second
    assert name is not None
    assert ring is not None
    return name, ring


def _oil_arrow(pen: Pen, edge: float, high: float, wrong: bool) -> None:
    """The way of the oil in front of the scraping edge."""
    way = 1.0 if wrong else -1.0
    x = 0.17 * high
    pen.arrow(
        (x, edge + 0.1 * way * high),
        (x, edge + 0.85 * way * high),
        colour=WRONG if wrong else RIGHT,
        width=4.0,
    )


def _words(pen: Pen, case: MistakeCase, wrong: bool, mark: Xy, edge: float) -> None:
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    wide, tall = right - left, high - low
    colour = WRONG if wrong else RIGHT
    pen.label("piston, crown up", (left + 0.2 * wide, low + 0.93 * tall))
    pen.label("bore wall", (right - 0.13 * wide, low + 0.06 * tall))
    name, body = ring_here(case)
    pen.label(ROLE_WORDS[name], (left + 0.36 * wide, low + 0.5 * tall), bold=True)
    if body.mark != "none":
        said = "dot" if body.mark == "dot" else "word (TOP)"
        place = (left + 0.22 * wide, low + (0.1 if wrong else 0.8) * tall)
        text = f"{said} DOWN:\nit must face the crown" if wrong else f"{said} up"
        pen.label(text, mark, place, colour=colour, bold=True)
    text = "carries oil up\nto the chamber" if wrong else "scrapes oil\ndown"
    pen.label(text, (right - 0.155 * wide, low + (0.7 if wrong else 0.3) * tall), colour=colour, bold=True)
    pen.label("oil on the wall", (0.0, low + (0.1 if wrong else 0.9) * tall),
              (right - 0.17 * wide, low + (0.2 if wrong else 0.8) * tall), colour=INK, small=True)  # fmt: skip


def said(case: MistakeCase) -> str:
    """Scale, and what is larger than true."""
    return (
        f"Section through the bore's axis near the wall, to scale but for barrel and taper of the face "
        f"({EXAGGERATE:g} times as large), the lean of a ring that twists (dashed, {LEAN_DEG:g}°) and the oil."
    )


DRAWING = Drawing("ring_side", draw, said)
