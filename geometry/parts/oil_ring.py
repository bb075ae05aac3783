"""The three-piece oil ring: two rails and the corrugated expander between them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from geometry.built import Built
from geometry.feature import Feature, Fit, Group, seats
from geometry.kinematics.layout import Layout
from geometry.kinematics.poses import translation
from geometry.parts.part import Body, Part, PartType
from geometry.parts.shapes import meshing
from geometry.parts.shapes.placing import about_z_deg
from geometry.parts.shapes.ring_shape import (
    FRONT_DEG,
    Drawn,
    Shared,
    gap_half_deg,
    gap_in_bore_mm,
    groove_of,
    ring_body,
    ring_part,
    standing,
)
from geometry.rings.clocked import gap_angles
from geometry.rings.section import oil_pack
from geometry.solids import Mesh, Revolved, rectangle
from geometry.spec.engine import Engine
from geometry.spec.rings import OilRing

if TYPE_CHECKING:
    from manifold3d import Manifold

JOINT_MM: Final = 0.4
"""Seam between the butted ends of the expander, wide enough to be seen."""
STRIP_MM: Final = 0.5
"""Thickness of the expander's strip; only for the eye."""
WAVES: Final = 36
LAP_DEG: Final = 8.0
"""Overlapped ends pass each other by this much to either side of the joint; it ends where a wave stands inward."""
STEP_DEG: Final = 1.0
LAP_CLEAR_MM: Final = 0.1
"""Length of the step by which one end passes behind the other, and the room left between them."""


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """Rails and expander of every bore, as far as they are fitted."""
    oil, groove = spec.rings.oil, groove_of(spec, "oil")
    if oil is None or groove is None:
        return []
    found: list[Body] = []
    shared = Shared()
    for site in layout.bores:
        build, one = built.bore(site.bore), built.design(spec, site.bore)
        oil = one.rings.oil or oil
        angles = gap_angles(spec, site, build)
        for role in ("upper_rail", "expander", "lower_rail"):
            if role not in angles:
                continue
            where = standing(one, site, built, groove, angles[role])
            if role == "expander":
                overlapped = build.ring(role).overlapped
                key: tuple[object, ...] = (role, overlapped, where.radius_mm)
                make = partial(_expander, oil, where.radius_mm, overlapped)
            else:
                gap = gap_in_bore_mm(one, build, role, oil.rail_gap_mm)
                rail = Drawn(role, "steel", where.radius_mm, gap)
                key, make = (rail,), partial(_rail, oil, rail)
            found.append(ring_body(role, shared.part(key, make), where))
    return found


def _rail(oil: OilRing, rail: Drawn) -> Part:
    pack = oil_pack(oil.height_mm, oil.rail_height_mm, oil.rail_wall_mm)
    return ring_part(rail, pack.upper_rail if rail.kind == "upper_rail" else pack.lower_rail)


def _expander(oil: OilRing, radius_mm: float, overlapped: bool) -> Part:
    """A strip that waves in and out between the rails; overlapped ends pass each other behind the joint."""
    low, high = oil.rail_height_mm, oil.height_mm - oil.rail_height_mm
    outer, inner = radius_mm - 0.35 * oil.rail_wall_mm, radius_mm - oil.rail_wall_mm
    box = rectangle(inner, outer, low, high)
    pieces: tuple[Revolved, ...]
    if overlapped:
        behind = rectangle(inner - LAP_CLEAR_MM - STRIP_MM, inner, low, high)
        pieces = (Revolved(box), Revolved(behind, FRONT_DEG - LAP_DEG, FRONT_DEG + LAP_DEG))
    else:
        half = gap_half_deg(JOINT_MM, outer)
        pieces = (Revolved(box, FRONT_DEG + half, FRONT_DEG + 360.0 - half),)
    mesh = partial(_expander_mesh, inner, outer, low, high, overlapped)
    feature = Feature("expander", pieces, group=Group.RING, runs_in=seats(Fit.BORE))
    return Part("expander", "steel", (feature,), mesh)


def _expander_mesh(inner: float, outer: float, low: float, high: float, overlapped: bool) -> Mesh:
    angle = np.linspace(0.0, 2 * np.pi, 16 * WAVES, endpoint=False)
    middle, swing = (inner + outer) / 2, (outer - inner - STRIP_MM) / 2
    wave = middle + swing * np.tanh(3.0 * np.sin(WAVES * angle)) / np.tanh(3.0)
    round_it = np.column_stack([np.cos(angle), np.sin(angle)])
    rims = [(wave + side * STRIP_MM / 2)[:, None] * round_it for side in (1, -1)]
    strip = meshing.difference(
        meshing.extrude(rims[0], low, high), [meshing.extrude(rims[1], low - 1, high + 1)]
    )
    if overlapped:
        return meshing.to_mesh(_lapped(strip, inner, outer, low, high))
    width = outer - inner + 2.0
    slot = meshing.box(
        (width, JOINT_MM, high - low + 2.0),
        about_z_deg(FRONT_DEG) @ translation([middle, 0.0, (low + high) / 2]),
    )
    return meshing.to_mesh(meshing.difference(strip, [slot]))


def _lapped(strip: Manifold, inner: float, outer: float, low: float, high: float) -> Manifold:
    """The strip with one end cut off square, and the other stepped inward to pass behind it."""
    step = FRONT_DEG + LAP_DEG - STEP_DEG
    behind = inner - LAP_CLEAR_MM
    room = rectangle(inner - LAP_CLEAR_MM / 2, outer + 1.0, low - 1.0, high + 1.0)
    cut = meshing.revolve(room, step - 2 * gap_half_deg(JOINT_MM, outer), step)
    passing = meshing.revolve(
        rectangle(behind - STRIP_MM, behind, low, high), FRONT_DEG - LAP_DEG, FRONT_DEG + LAP_DEG
    )
    joined = meshing.revolve(rectangle(behind - STRIP_MM, inner + STRIP_MM, low, high), step, step + STEP_DEG)
    return meshing.union([meshing.difference(strip, [cut]), passing, joined])


PART = PartType("oil_ring", bodies)
