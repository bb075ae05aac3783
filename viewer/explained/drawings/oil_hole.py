"""The oil hole of a rod over the shell that lies there: met by the hole of the shell, or covered by its back."""

from __future__ import annotations

import numpy as np

from geometry.parts.bearing_shell import OIL_HOLE
from geometry.parts.shapes.convex import region
from viewer.explained.bearing_face import FAR_MM
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing
from viewer.explained.pen import INK, PAPER, RIGHT, WRONG, Pen, Xy
from viewer.explained.plane import box, circle, disc, half_plane, outlines, share

WIDE = 5.2
"""Width of what is seen, by the hole's diameter."""
FILM = 0.12
"""The film of oil on the shaft as drawn, by the hole's diameter."""


def hole_in_rod(case: MistakeCase, wrong: bool) -> bool:
    """Whether the shell with the hole lies in the rod."""
    return not case.side(wrong).built.bore(case.place).shells_exchanged


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """Section along the crank through the middle of the rod: shaft, film, shell and rod; and both shells small."""
    design, met = case.design, hole_in_rod(case, wrong)
    hole, wall = OIL_HOLE * design.rod.bearing.width_mm, design.rod.bearing.wall_mm
    film, half = FILM * hole, hole / 2
    pen.frame(-0.5 * WIDE * hole, 0.5 * WIDE * hole, -0.4 * WIDE * hole, 0.4 * WIDE * hole)
    pen.fill(box(-FAR_MM, FAR_MM, -FAR_MM, -wall - film), "crank", level=1.0)
    pen.fill(box(-FAR_MM, FAR_MM, -wall - film, -wall), "oil", edge=False, level=1.2)
    for side in (-1.0, 1.0):
        corners = np.array([[half, 0.0], [FAR_MM, 0.0], [FAR_MM, FAR_MM], [half, FAR_MM]])
        pen.fill(corners * [side, 1.0], "rod", level=2.0)
        if met:
            shell = np.array([[half, -wall], [FAR_MM, -wall], [FAR_MM, 0.0], [half, 0.0]])
            pen.fill(shell * [side, 1.0], "shell", accent=True, level=2.5)
    if met:
        pen.fill(box(-half, half, -wall - film, FAR_MM), "oil", edge=False, level=1.5)
        pen.arrow((0.0, -wall - film), (0.0, 1.5 * hole), colour=RIGHT, width=4.0)
    else:
        pen.fill(box(-FAR_MM, FAR_MM, -wall, 0.0), "shell", accent=True, level=2.5)
        pen.bite(box(-half, half, -wall, 0.0))
        pen.arrow((-1.9 * hole, -wall - film / 2), (-1.1 * hole, -wall - film / 2), colour=INK, width=2.0)
    _both_shells(pen, case, met)
    _words(pen, case, met, hole, wall)
    return (0.0, 0.0)


def _both_shells(pen: Pen, case: MistakeCase, met: bool) -> None:
    """From the front, small, in a corner: which of the two halves bears the hole."""
    bore, wall = case.design.rod.big_end.bore_mm / 2, case.design.rod.bearing.wall_mm
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    radius = 0.15 * (high - low)
    at = np.array([left + 0.82 * (right - left), low + 0.24 * (high - low)])
    outer, inner = radius, radius * (1.0 - 2.5 * wall / bore)
    pen.axis.fill(
        *circle(1.35 * radius, (float(at[0]), float(at[1]))).T, facecolor=PAPER, edgecolor=INK, zorder=6.5
    )
    slot = box(-0.12 * radius, 0.12 * radius, 0.0, 2 * radius) * [1.0, 1.0 if met else -1.0]
    pen.fill(box(-0.3 * radius, 0.3 * radius, 0.9 * outer, 1.25 * radius) + at, "rod", hatch=False, level=6.8)
    pen.circle((float(at[0]), float(at[1])), 0.97 * inner, "crank", hatch=False, level=6.8)
    for upper in (True, False):
        shell = (disc(outer) - disc(inner)) ^ half_plane(0.0, upper, FAR_MM)
        for outline in outlines(shell - region(slot)):
            pen.fill(outline + at, "shell", accent=upper == met, level=7.0)


def _words(pen: Pen, case: MistakeCase, met: bool, hole: float, wall: float) -> None:
    pen.label("rod", share(pen, 0.1, 0.72), small=True)
    pen.label("shell", share(pen, 0.1, 0.5 - 0.5 * wall / (0.8 * WIDE * hole)), small=True)
    pen.label("crankpin", share(pen, 0.1, 0.12), small=True)
    pen.label("oil hole of the rod,\nwhere it has one", (0.3 * hole, 1.2 * hole), share(pen, 0.81, 0.9))
    edge = (-0.5 * hole, -0.5 * wall)
    if met:
        pen.label("hole on hole:\nopen", edge, share(pen, 0.22, 0.9), colour=RIGHT, bold=True)
        pen.label("the half with the hole\nlies in the rod", share(pen, 0.46, 0.1), small=True)
        return
    pen.label(
        "covered by the\nplain half; must be open", edge, share(pen, 0.22, 0.9), colour=WRONG, bold=True
    )
    pen.label("the half with the hole\nlies in the cap", share(pen, 0.46, 0.1), small=True)


DRAWING = Drawing(
    "oil_hole",
    draw,
    lambda case: (
        "Section along the crank through the middle of the rod, the small picture from the front. The size of the "
        "holes and the film are drawn for the eye: the engine file has none."
    ),
)
