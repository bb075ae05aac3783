"""The two compression rings, each in its groove with its gap where it was set."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Final, Literal

from geometry.built import Built
from geometry.kinematics.layout import Layout
from geometry.parts.part import Body, Part, PartType
from geometry.parts.shapes.ring_shape import (
    Drawn,
    Shared,
    gap_in_bore_mm,
    groove_of,
    ring_body,
    ring_part,
    standing,
)
from geometry.rings.clocked import gap_angles
from geometry.rings.section import outline, upside_down
from geometry.spec.engine import Engine
from geometry.spec.rings import CompressionRing

PLACES: Final[tuple[tuple[Literal["top", "second"], str], ...]] = (
    ("top", "top_ring"),
    ("second", "second_ring"),
)
OTHER: Final[dict[Literal["top", "second"], Literal["top", "second"]]] = {"top": "second", "second": "top"}


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """Every compression ring that is fitted; rings exchanged lie in each other's groove."""
    found: list[Body] = []
    shared = Shared()
    for site in layout.bores:
        build, one = built.bore(site.bore), built.design(spec, site.bore)
        angles = gap_angles(spec, site, build)
        for role, name in PLACES:
            home = OTHER[role] if build.rings_exchanged else role
            groove, ring = groove_of(spec, home), _ring(one, role)
            if groove is None or ring is None or role not in angles:
                continue
            where = standing(one, site, built, groove, angles[role])
            over = build.ring(role).upside_down
            gap = gap_in_bore_mm(one, build, role, ring.gap_mm)
            drawn = Drawn(name, ring.material, where.radius_mm, gap, ring.mark, over)
            found.append(ring_body(name, shared.part((drawn,), partial(_part, ring, drawn)), where))
    return found


def _ring(spec: Engine, role: Literal["top", "second"]) -> CompressionRing | None:
    return spec.rings.top if role == "top" else spec.rings.second


def _part(ring: CompressionRing, drawn: Drawn) -> Part:
    section = outline(ring.face, ring.inside, ring.height_mm, ring.wall_mm)
    if drawn.turned_over:
        section = upside_down(section, ring.height_mm)
    return ring_part(drawn, section)


PART = PartType("ring", bodies)
