"""Two parts in each other's places: the numbers on them, seen where a builder reads them, and the way each went."""

from __future__ import annotations

import numpy as np

from geometry.kinematics.layout import BoreSite
from geometry.parts.shapes.crown import mark_place
from geometry.parts.shapes.rod_shape import boss_inner_mm, boss_outline, seat_radius_mm
from geometry.spec.engine import Engine
from viewer.explained.case import MistakeCase
from viewer.explained.crown_plan import draw_plan, front_left
from viewer.explained.drawing import Drawing
from viewer.explained.pen import RIGHT, WRONG, Pen, Xy
from viewer.explained.stamp import stamp
from viewer.explained.top_end import top_of

NUMBER = 0.94
"""Height of a rod's number as drawn, by its rib; a piston's by half its bore: much larger than stamped, to be read."""


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """Pistons from above, rods from below; the front at the left."""
    build = case.wrong.built.bore(case.place)
    rods = build.rod_from is not None
    other = build.rod_from if rods else build.piston_from
    assert other is not None
    sites = sorted((case.right.layout.site(n) for n in (case.place, other)), key=lambda site: site.x_mm)
    spec = case.right.spec
    wide = spec.rod.big_end.width_mm if rods else spec.block.bore.diameter_mm
    tall = spec.rod.bolt.spacing_mm + 2 * seat_radius_mm(spec.rod.bolt) if rods else wide
    half = 0.62 * (1.5 * wide if rods else 0.92 * wide)
    across = half + (0.6 if rods else 0.59) * wide
    pen.frame(-across, across, -0.66 * tall, 0.66 * tall)
    for k, site in enumerate(sites):
        at = ((2 * k - 1) * half, 0.0)
        stands = sites[1 - k] if wrong else site
        aside = 0.0
        if rods:
            _cap(pen, spec, at)
        else:
            _piston(pen, case, wrong, site, at)
            aside = _beside_mark(case, site)
        high = NUMBER * (spec.rod.cap.rib_width_mm if rods else 0.5 * wide)
        stamp(pen, str(stands.bore), (at[0] + aside, 0.0), high, wide=0.86 * wide - 2 * aside, level=6.0)
        _names(pen, site, stands, at[0], tall, rods)
    _ways(pen, half, tall, wrong)
    return (0.0, 0.0)


def _piston(pen: Pen, case: MistakeCase, wrong: bool, site: BoreSite, at: Xy) -> None:
    draw_plan(
        pen, top_of(case.side(wrong), site.bore), site, lambda points: np.array(at) + front_left(points), ()
    )


def _beside_mark(case: MistakeCase, site: BoreSite) -> float:
    """How far aside the number stands of a mark in the middle of the crown, mm."""
    top = top_of(case.right, site.bore)
    out = float(np.hypot(*mark_place(top.shape)[:2]))
    in_middle = top.spec.piston.front_mark != "notch" and out < 0.5 * top.shape.radius_mm
    return 0.3 * top.shape.radius_mm if in_middle else 0.0


def _cap(pen: Pen, spec: Engine, at: Xy) -> None:
    """A cap from below: both bosses with head or nut, and the rib between them."""
    rod, bolt = spec.rod, spec.rod.bolt
    inner = boss_inner_mm(rod, bolt.seat_mm)
    half, rib = rod.big_end.width_mm / 2, rod.cap.rib_width_mm / 2
    whole = boss_outline(rod, inner)
    pen.fill(np.vstack([whole, -whole]) + at, "cap", hatch=False, level=3.0)
    for side in (1.0, -1.0):
        pen.circle((at[0], at[1] + side * bolt.spacing_mm / 2), seat_radius_mm(bolt), "bolt", level=3.4)
    middle = np.array([[-half, -rib], [half, -rib], [half, rib], [-half, rib]])
    pen.fill(middle + at, "rod", hatch=False, level=3.2)


def _names(pen: Pen, site: BoreSite, stands: BoreSite, x: float, tall: float, rods: bool) -> None:
    colour = RIGHT if stands.bore == site.bore else WRONG
    level = (0.595 if rods else 0.64) * tall
    pen.label(f"bore {site.bore}", (x, -level), bold=True)
    kind = "rod" if rods else "piston"
    pen.label(f"{kind} {stands.bore}", (x, level), bold=True, colour=colour)


def _ways(pen: Pen, half: float, tall: float, wrong: bool) -> None:
    """Where each went: in red across to the other place."""
    if not wrong:
        return
    for side in (1.0, -1.0):
        turn = np.linspace(0.0, np.pi, 40)
        x = side * -0.55 * half * np.cos(turn)
        y = side * (0.36 * tall + 0.20 * tall * np.sin(turn)) * 0.9
        pen.line(np.column_stack([x, y])[:-3], colour=WRONG, width=3.0, level=8.0)
        pen.arrow((float(x[-5]), float(y[-5])), (float(x[-1]), float(y[-1])), colour=WRONG, width=3.0)


def said(case: MistakeCase) -> str:
    """What is seen."""
    rods = case.wrong.built.bore(case.place).rod_from is not None
    what = "Rod caps from below" if rods else "Crowns from above"
    return f"{what}, front at the left, side by side, to scale but for their numbers, which are drawn large."


DRAWING = Drawing("exchanged", draw, said)
