"""The way of the gas past the compression rings: the ring belt laid flat, and the piston from above."""

from __future__ import annotations

from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.mistakes.rings.ring_words import clock, fitted
from geometry.rings.angles import separation_deg, signed_deg
from geometry.rings.flow import land_way_mm
from geometry.units import show
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing
from viewer.explained.pen import ACCENT, FAINT, INK, RIGHT, WRONG, Ground, Pen, Xy
from viewer.paper.clock.face import point
from viewer.paper.clock.wording import degrees_text

OPEN_DEG: Final = 11.0
"""How wide a gap is drawn: some twenty times its true width."""
WIDE: Final = 372.0
BELT_TOP: Final = 0.68
"""Upper edge of the belt by the height of the half; the piston from above stands over it."""
BANDS: Final = {"chamber": (0.575, 0.68), "top": (0.495, 0.575), "second": (0.215, 0.295)}
WAY: Final = 0.45
"""Heights of gas above the top ring, and of the rings, by the height of the half."""


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """Belt in degrees round the piston, the top ring's gap in the middle; heights not to scale."""
    wide_in, high_in = pen.size_in
    tall = WIDE * high_in / wide_in
    pen.frame(-WIDE / 2, WIDE / 2, 0.0, tall)
    angles = clock(case.side(wrong), case.place).angles_deg
    to = signed_deg(angles["second"] - angles["top"])
    pen.fill(_box(-180.0, 180.0, 0.0, BANDS["top"][0] * tall), "piston", level=1.0, hatch=False, edge=False)
    pen.fill(
        _box(-180.0, 180.0, BANDS["chamber"][0] * tall, BANDS["chamber"][1] * tall),
        "gas",
        level=1.0,
        edge=False,
    )
    rings: tuple[tuple[str, float, Ground], ...] = (("top", 0.0, "ring"), ("second", to, "second"))
    for name, at, ground in rings:
        low, high = (share * tall for share in BANDS[name])
        _ring(pen, at, low, high, ground)
    _gas(pen, to, tall, wrong)
    for side in (-180.0, 180.0):
        pen.line(np.array([[side, 0.0], [side, BELT_TOP * tall]]), colour=FAINT, style=(0, (6, 3)), width=1.0)
    _plan(pen, angles, (0.0, 0.835 * tall), 0.115 * tall, wrong)
    _words(pen, case, (angles["top"], angles["second"]), to, tall, wrong)
    return (0.0, WAY * tall)


def _box(x0: float, x1: float, y0: float, y1: float) -> Array:
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])


def _ring(pen: Pen, at: float, low: float, high: float, ground: Ground) -> None:
    """A ring laid flat, open where its gap stands."""
    pieces = [(-180.0, at - OPEN_DEG / 2), (at + OPEN_DEG / 2, 180.0)]
    for left, right in pieces:
        if right > left:
            pen.fill(_box(left, right, low, high), ground, accent=True, level=3.0)


def _gas(pen: Pen, to: float, tall: float, wrong: bool) -> None:
    """The stream: down the top gap, along the land to the other, down that; as wide as the gaps throughout."""
    half, level = OPEN_DEG / 2, WAY * tall
    pen.fill(_box(-half, half, level - half, BANDS["chamber"][0] * tall), "gas", level=2.0, edge=False)
    pen.fill(_box(to - half, to + half, 0.0, level + half), "gas", level=2.0, edge=False)
    left, right = min(0.0, to) - half, max(0.0, to) + half
    pen.fill(_box(left, right, level - half, level + half), "gas", level=2.0, edge=False)
    colour, width = (WRONG, 4.5) if wrong else (INK, 2.0)
    start = BANDS["chamber"][0] * tall + 0.05 * tall
    if wrong:
        pen.arrow((0.0, start), (0.0, 0.03 * tall), colour=colour, width=width, level=8.5)
        return
    pen.line(np.array([[0.0, start], [0.0, level], [to, level]]), colour=colour, width=width, level=8.5)
    pen.arrow((to, level), (to, 0.03 * tall), colour=colour, width=width, level=8.5)


def _plan(pen: Pen, angles: dict[str, float], at: Xy, radius: float, wrong: bool) -> None:
    """The piston from above, front up: both rings with their gaps, and the way from one to the other."""
    pen.circle(at, radius * 1.12, "piston", hatch=False, level=2.0)
    for role, share, width in (("top", 1.0, 4.0), ("second", 0.78, 4.0)):
        turn = np.linspace(angles[role] + 9.0 / share, angles[role] + 360.0 - 9.0 / share, 200)
        pen.line(np.array([point(angle, radius * share) for angle in turn]) + at,
                 colour=ACCENT if role == "top" else FAINT, width=width, level=4.0)  # fmt: skip
    sweep = signed_deg(angles["second"] - angles["top"])
    way = (
        np.array([point(angles["top"] + share * sweep, radius * 0.89) for share in np.linspace(0.0, 1.0, 60)])
        + at
    )
    ends = [np.array([point(angles[role], radius * share) for share in pair]) + at
            for role, pair in (("top", (1.3, 0.89)), ("second", (0.89, 0.6)))]  # fmt: skip
    colour, width = (WRONG, 3.0) if wrong else (INK, 1.6)
    pen.line(np.vstack([ends[0], way, ends[1]]), colour=colour, width=width, level=6.0)
    tip = np.array(point(angles["second"], radius * 0.42)) + at
    pen.arrow(
        (float(ends[1][1, 0]), float(ends[1][1, 1])),
        (float(tip[0]), float(tip[1])),
        colour=colour,
        width=width,
    )
    pen.arrow(
        (at[0] - 1.9 * radius, at[1] - 0.3 * radius), (at[0] - 1.9 * radius, at[1] + 0.7 * radius), width=2.0
    )


def _words(
    pen: Pen, case: MistakeCase, gaps: tuple[float, float], to: float, tall: float, wrong: bool
) -> None:
    (left, right), colour = pen.axis.get_xlim(), WRONG if wrong else RIGHT
    wide = right - left
    near = clock(case.right, case.place).rules.near
    apart = separation_deg(*gaps)
    pen.label("front", (-1.9 * 0.115 * tall, 0.77 * tall), small=True)
    pen.label("piston from above", (left + 0.15 * wide, 0.96 * tall), small=True)
    verdict = "in line" if wrong else "kept"
    text = f"gaps {degrees_text(apart)} apart\n(at least {degrees_text(near.deg)}: {verdict})"
    pen.label(text, (right - 0.2 * wide, 0.86 * tall), colour=colour, bold=True)
    pen.label("gas, chamber above", (left + 0.19 * wide, 0.63 * tall), small=True)
    pen.label("top ring", (left + 0.12 * wide, 0.535 * tall), small=True)
    pen.label(
        "second ring", (right - 0.13 * wide if to < 0 else left + 0.13 * wide, 0.255 * tall), small=True
    )
    spec = case.design
    land = spec.block.bore.diameter_mm - spec.piston.land_clearance_mm
    way = land_way_mm(*gaps, land)
    if wrong:
        pen.label(
            "straight through", (0.0, WAY * tall), (right - 0.2 * wide, WAY * tall), colour=colour, bold=True
        )
    else:
        round_it = f"{show(way, 'length', case.system)}\nround the piston"
        level = 0.41 * tall
        pen.dimension((0.0, level), (to, level), round_it, (to / 2, 0.348 * tall), colour=colour)
    area = fitted(case.side(wrong), case.place).series_area_mm2 or 0.0
    where = right - 0.22 * wide if to <= 0 else left + 0.22 * wide
    opening = show(area, "area", case.system, fine=True)
    pen.label(f"opening of both in turn {opening}", (where, 0.06 * tall), small=True)


DRAWING = Drawing(
    "gas_path",
    draw,
    lambda case: (
        "The ring belt laid flat, seen from the wall, the top ring's gap in the middle; gaps drawn some twenty times "
        "as wide as they are, heights not to scale."
    ),
)
