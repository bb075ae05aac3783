"""Top and second ring in each other's grooves: both grooves near the wall, the land between them broken short."""

from __future__ import annotations

from typing import Final

import numpy as np

from geometry.mistakes.rings.ring_words import ring_fit
from geometry.rings.fitted import RingFit
from geometry.spec.rings import CompressionRing
from viewer.explained import grooved
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing
from viewer.explained.pen import FAINT, INK, PAPER, RIGHT, WRONG, Ground, Pen, Xy
from viewer.paper.clock import section
from viewer.paper.clock.grooves import EXAGGERATE

BETWEEN: Final = 1.3
"""Land drawn between the two grooves, by the height of the top groove."""
LEFT: Final = 0.62
"""Where the wall stands in the frame."""


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """Section through the bore's axis: top groove above, second groove below, each ring where it went."""
    spec, rings = case.design, case.design.rings
    assert rings.second is not None
    grounds = {name: grooved.groove(spec, name) for name in ("top", "second")}
    high = grounds["top"].high
    levels = {"top": BETWEEN * high / 2, "second": -BETWEEN * high / 2 - grounds["second"].high}
    reach = 1.06 * max(abs(ground.root) for ground in grounds.values())
    wide_in, high_in = pen.size_in
    tall = max(reach / LEFT * high_in / wide_in, (BETWEEN + 3.2) * high)
    pen.frame(-reach, (1.0 - LEFT) / LEFT * reach, -tall / 2, tall / 2)
    grooved.wall(pen)
    _piston(pen, grounds, levels)
    placed: dict[str, tuple[str, CompressionRing, Ground]] = {
        "second" if wrong else "top": ("top", rings.top, "ring"),
        "top" if wrong else "second": ("second", rings.second, "second"),
    }
    edges = {}
    for where, (_, ring, ground) in placed.items():
        shape = grooved.section_of(ring) + [0.0, levels[where]]
        edges[where] = grooved.contact_mm(shape)
        pen.fill(shape, ground, accent=True, level=3.0)
        if ring.mark != "none":
            grooved.dot(pen, (-0.62 * reach, levels[where] + 0.9 * ring.height_mm), 0.09 * ring.height_mm)
    _oil(pen, case, edges, wrong, tall)
    _break(pen, grounds["top"].land)
    _words(pen, case, placed, levels, wrong)
    return (grounds["top"].land / 2, 0.0)


def _piston(pen: Pen, grounds: dict[str, section.Ground], levels: dict[str, float]) -> None:
    far, land = grooved.FAR, grounds["top"].land
    corners = [[-far, -far], [land, -far]]
    for name in ("second", "top"):
        ground, level = grounds[name], levels[name]
        corners += [
            [land, level],
            [ground.root, level],
            [ground.root, level + ground.high],
            [land, level + ground.high],
        ]
    pen.fill(np.array([*corners, [land, far], [-far, far]]), "piston", level=1.2)


def _oil(pen: Pen, case: MistakeCase, edges: dict[str, float], wrong: bool, tall: float) -> None:
    """Oil on the wall: held below the second groove by the scraping ring; past it where the top ring sits there."""
    slit = abs(grooved.groove(case.design, "top").land)
    thick, thin = grooved.THICK * slit, grooved.THIN * slit
    pen.fill(
        np.array([[0.0, edges["second"]], [-1.6 * slit, edges["second"]], [-0.95 * slit, edges["second"] - 0.2 * tall],
                  [-thick, -tall], [0.0, -tall]]), "oil", level=1.1, edge=False,
    )  # fmt: skip
    between = thick if wrong else thin
    pen.fill(
        np.array([[0.0, edges["second"]], [-between, edges["second"]], [-between, edges["top"]], [0.0, edges["top"]]]),
        "oil", level=1.1, edge=False,
    )  # fmt: skip
    x, colour = 0.07 * tall, WRONG if wrong else RIGHT
    start = edges["second"] + (0.04 if wrong else -0.04) * tall
    pen.arrow((x, start), (x, start + (0.26 if wrong else -0.26) * tall), colour=colour, width=4.0)


def _break(pen: Pen, land: float) -> None:
    """Two wavy lines across the land: it is longer than it is drawn."""
    (left, _), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    x = np.linspace(left, land, 60)
    wave, half = 0.006 * (high - low) * np.sin(np.linspace(0.0, 6 * np.pi, 60)), 0.008 * (high - low)
    band = np.vstack([np.column_stack([x, wave + half]), np.column_stack([x, wave - half])[::-1]])
    pen.axis.fill(*band.T, facecolor=PAPER, edgecolor="none", zorder=1.5)
    for side in (-half, half):
        pen.line(np.column_stack([x, wave + side]), colour=FAINT, width=0.8, level=1.6)


def _words(
    pen: Pen, case: MistakeCase, placed: dict[str, tuple[str, CompressionRing, Ground]], levels: dict[str, float],
    wrong: bool,
) -> None:  # fmt: skip
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    wide, tall = right - left, high - low
    pen.label("piston, crown up", (left + 0.2 * wide, low + 0.94 * tall))
    pen.label("bore wall", (right - 0.12 * wide, low + 0.06 * tall))
    for where, (name, ring, _) in placed.items():
        fit = ring_fit(case.side(wrong), case.place, name)
        middle = (-0.45 * ring.wall_mm, levels[where] + 0.42 * ring.height_mm)
        pen.label(f"{name} ring", middle, bold=True, colour=WRONG if wrong else INK)
        place = (left + 0.25 * wide, low + (0.555 if where == "top" else 0.08) * tall)
        pen.label(f"{where} groove: side clearance {_side(case, fit)}", place, small=True)
    text = "oil passes\nthe top ring" if wrong else "second ring\nscrapes oil\ndown"
    pen.label(
        text,
        (right - 0.14 * wide, low + (0.48 if wrong else 0.24) * tall),
        colour=WRONG if wrong else RIGHT,
        bold=True,
    )


def _side(case: MistakeCase, fit: RingFit) -> str:
    limits, state = fit.side_limits, case.as_assumed(str(fit.side))
    return f"{case.length(fit.groove.side_mm)}\n({case.length(limits.min_mm)} to {case.length(limits.max_mm)}: {state})"


DRAWING = Drawing(
    "ring_grooves",
    draw,
    lambda case: (
        "Section through the bore's axis near the wall, the land between the grooves broken short; to scale but "
        f"for barrel and taper of the faces ({EXAGGERATE:g} times as large) and the oil."
    ),
)
