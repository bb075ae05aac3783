"""Chamfer against fillet: the close-up of one corner of the big end beside its crank cheek, to scale."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from geometry.checks.fillets import side_fit
from geometry.fillet import EdgeFit, edge_fit, side_gap_needed_mm
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing, Moving
from viewer.explained.pen import INK, RIGHT, WRONG, Pen, Xy

REACH = 0.66
"""Half of what is seen across, by fillet and larger chamfer together."""


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """One corner: cheek to the left, journal below, the rod with its chamfer and the shell above, rod on the cheek."""
    return draw_at(pen, case, wrong, 0.0)


def draw_at(pen: Pen, case: MistakeCase, wrong: bool, side_gap_mm: float) -> Xy:
    """The same with the rod so far off the cheek."""
    fits = [side_fit(case.side(half), case.right.layout.site(case.place)) for half in (False, True)]
    spec, fit = case.side(wrong).design(case.place), fits[wrong]
    radius, leg = spec.crank.pin.fillet_mm, fit.chamfer_mm
    gap = (spec.rod.big_end.bore_mm - spec.crank.pin.diameter_mm) / 2
    wall, inset = spec.rod.bearing.wall_mm, (spec.rod.big_end.width_mm - spec.rod.bearing.width_mm) / 2
    reach = REACH * (max(radius, gap) + max(each.chamfer_mm for each in fits))  # one frame for both
    middle = (0.35 * radius, gap + 0.35 * radius)
    pen.frame(middle[0] - reach, middle[0] + reach, middle[1] - 0.85 * reach, middle[1] + 0.85 * reach)
    far = 4.0 * reach
    turn = np.radians(np.linspace(180.0, 270.0, 60))
    arc = np.column_stack([radius + radius * np.cos(turn), radius + radius * np.sin(turn)])
    pen.fill(
        np.vstack([[[-far, far], [0.0, far]], arc, [[far, 0.0], [far, -far], [-far, -far]]]),
        "crank",
        level=1.0,
    )
    off = side_gap_mm
    rod = np.array([[off, far], [off, gap + leg], [off + leg, gap], [far, gap], [far, far]])
    pen.fill(rod, "rod", accent=True, level=2.0)
    shell = np.array([[inset, gap - wall], [far, gap - wall], [far, gap], [inset, gap]])
    pen.fill(shell + [off, 0.0], "shell", level=3.0)
    _bite(pen, radius, gap, leg, off)
    _words(pen, case, edge_fit(radius, off, gap, leg), (radius, gap, leg), off)
    return (0.3 * radius, gap + 0.3 * radius)


def _bite(pen: Pen, radius: float, gap: float, leg: float, off: float) -> None:
    """What rod and fillet would share: the part of the rod's corner that lies in the steel outside the arc's circle."""
    along = np.linspace(min(off, radius), radius, 160)
    steel = radius - np.sqrt(
        np.maximum(0.0, radius**2 - (along - radius) ** 2)
    )  # height of the fillet over the journal
    low = np.maximum(gap, gap + leg - (along - off))
    inside = steel > low
    if inside.any():
        x = along[inside]
        pen.bite(np.vstack([np.column_stack([x, steel[inside]]), np.column_stack([x, low[inside]])[::-1]]))


def _words(pen: Pen, case: MistakeCase, edge: EdgeFit, sizes: tuple[float, float, float], off: float) -> None:
    radius, gap, leg = sizes
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    wide, tall = right - left, high - low
    pen.label("crank cheek", (left + 0.14 * wide, high - 0.10 * tall))
    pen.label("crankpin", (right - 0.2 * wide, low + 0.06 * tall))
    pen.label("big end of the rod", (right - 0.22 * wide, high - 0.10 * tall))
    pen.label("bearing shell", (right - 0.12 * wide, gap - 0.5 * case.design.rod.bearing.wall_mm), small=True)
    knee = (radius * (1 - np.cos(np.pi / 4)), radius * (1 - np.sin(np.pi / 4)))
    pen.label(f"fillet radius {case.length(radius)}", knee, (left + 0.2 * wide, low + 0.12 * tall))
    pen.label(
        f"chamfer {case.length(leg)} x 45°",
        (off + 0.5 * leg, gap + 0.5 * leg),
        (left + 0.6 * wide, high - 0.24 * tall),
    )
    corner, depth = (edge.axial_mm, edge.radial_mm), edge.clearance_mm
    if depth < -1e-6:
        said, colour = (
            f"{case.below_assumed(f'{case.length(-depth)} into the fillet')}\nmust not touch",
            WRONG,
        )
    else:
        free = f"{case.below_assumed(f'clear by {case.length(depth)}')}\nat least {case.length(0.0)}"
        said, colour = (free, RIGHT) if depth > 1e-6 else (case.below_assumed("just clears"), INK)
    place = (left + 0.20 * wide, low + 0.55 * tall)
    pen.label(
        said, corner if depth < 0 else (off + 0.5 * leg, gap + 0.5 * leg), place, colour=colour, bold=True
    )


def _met_mm(case: MistakeCase) -> float:
    """How far off the cheek the rod, wrong, meets the fillet."""
    spec = case.wrong.design(case.place)
    gap = (spec.rod.big_end.bore_mm - spec.crank.pin.diameter_mm) / 2
    leg = side_fit(case.wrong, case.wrong.layout.site(case.place)).chamfer_mm
    return side_gap_needed_mm(spec.crank.pin.fillet_mm, gap, leg)


def steps(case: MistakeCase) -> Sequence[float]:
    """Sideways by the whole side clearance up to the cheek and back, slow from where the fillet is met."""
    total = side_fit(case.right, case.right.layout.site(case.place)).total_mm
    met = min(_met_mm(case), total)
    there = np.concatenate([np.linspace(total, met, 18), np.linspace(met, 0.0, 30), np.zeros(14)])
    return [float(gap) for gap in np.concatenate([there, there[::-1]])]


def off_the_cheek(case: MistakeCase, side_gap_mm: float) -> tuple[str, bool]:
    """How far the rod is off the cheek, and whether it is in the fillet there."""
    where = f"rod {case.length(side_gap_mm)} off the cheek, at any crank angle"
    inside = side_gap_mm < _met_mm(case)
    return (f"{where}: {case.as_assumed('rides on the fillet, wrong')}" if inside else where), inside


DRAWING = Drawing(
    "fillet",
    draw,
    lambda case: "Section through the axis of the crankpin, to scale, the rod pushed against the cheek.",
    Moving(draw_at, steps, off_the_cheek),
)
