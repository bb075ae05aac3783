"""A shell's tang and its notch: the joint of the cap seen from the rod, one end of the shell close up."""

from __future__ import annotations

import numpy as np

from geometry.built import TANG_OUT_MM
from geometry.checks.fits import oil_clearance_mm, rod_oil_fit
from geometry.mistakes.bearings.bearing_words import oil_left
from geometry.parts.shapes.rod_shape import tang
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing
from viewer.explained.pen import RIGHT, WRONG, Pen, Xy
from viewer.explained.plane import box, share

PLAY = 0.08
"""Of the tang in its notch, either side, by its width; for the eye."""
WIDE = 3.6
"""Width of what is seen, by the width of a tang."""
FAR_MM = 400.0


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """Crank axis across, away from the crankpin upwards, both measured from the middle of the notch at the bore's edge.

    Lifted, the tang lies beside its notch and holds its end of the shell off the seat.
    """
    design, lift = case.design, case.side(wrong).built.bore(case.place).shell_proud_mm
    wide, wall, clearance = tang(design.rod).width_mm, design.rod.bearing.wall_mm, oil_clearance_mm(design)
    depth = case.wrong.built.bore(case.place).shell_proud_mm or TANG_OUT_MM
    aside = 1.05 * wide if lift else 0.0
    pen.frame(
        -0.5 * WIDE * wide + 0.3 * wide, 0.5 * WIDE * wide + 0.3 * wide, -wall - 1.6 * depth, 2.4 * depth
    )
    room = wide * (0.5 + PLAY)
    seat = [[-FAR_MM, 0.0], [-room, 0.0], [-room, depth], [room, depth], [room, 0.0], [FAR_MM, 0.0]]
    pen.fill(np.array([*seat, [FAR_MM, FAR_MM], [-FAR_MM, FAR_MM]]), "cap", level=1.0)
    shaft = -wall - clearance / 2
    pen.fill(box(-FAR_MM, FAR_MM, -FAR_MM, shaft), "crank", level=1.0)
    half = wide / 2
    shell = [
        [-FAR_MM, -wall], [FAR_MM, -wall], [FAR_MM, 0.0], [aside + half, 0.0], [aside + half, 0.97 * depth],
        [aside - half, 0.97 * depth], [aside - half, 0.0], [-FAR_MM, 0.0],
    ]  # fmt: skip
    pen.fill(np.array(shell) - [0.0, lift], "shell", accent=True, level=2.0)
    if lift > clearance:
        pen.bite(box(-FAR_MM, FAR_MM, -wall - lift, shaft), level=3.0)
    _words(pen, case, lift, (wide, wall, depth, aside))
    return (0.3 * wide, 0.0)


def _words(pen: Pen, case: MistakeCase, lift: float, sizes: tuple[float, float, float, float]) -> None:
    wide, wall, depth, aside = sizes
    pen.label("cap, its joint face", share(pen, 0.18, 0.93), small=True)
    pen.label("crankpin", share(pen, 0.12, 0.07), small=True)
    pen.label(
        "notch", (0.0, 0.5 * depth if lift else 0.97 * depth), share(pen, 0.4, 0.86) if not lift else None
    )
    pen.label("tang", (aside, 0.45 * depth - lift), small=True)
    pen.label("shell", (-1.3 * wide, -wall / 2 - lift), small=True)
    has_mm = oil_clearance_mm(case.design)
    verdict = case.below_assumed(oil_left(has_mm - lift, rod_oil_fit(case.design), "off its seat").words)
    clearance, taken = (case.length(value) for value in (has_mm, min(lift, has_mm)))
    if not lift:
        pen.label(
            "tang in its notch,\nshell on its seat",
            (0.9 * wide, 0.0),
            share(pen, 0.8, 0.86),
            colour=RIGHT,
            bold=True,
        )
        pen.label(
            f"oil clearance {clearance} on diameter",
            (0.9 * wide, -wall),
            share(pen, 0.68, 0.08),
            colour=RIGHT,
            bold=True,
        )
        return
    at = -1.0 * wide
    pen.dimension(
        (at, -lift),
        (at, 0.0),
        f"off its seat {case.length(lift)},\nzero allowed",
        share(pen, 0.2, 0.72),
        colour=WRONG,
    )
    pen.label(
        f"oil clearance {clearance} on diameter,\n{taken} of it taken: {verdict}", (0.9 * wide, -wall - 0.5 * lift),
        share(pen, 0.68, 0.1), colour=WRONG, bold=True,
    )  # fmt: skip


DRAWING = Drawing(
    "tang",
    draw,
    lambda case: (
        "The cap's joint seen from the rod, drawn large, one scale both ways. How deep a notch is and how far "
        "the tang lifts the shell is from memory, no source: about 1 mm."
    ),
)
