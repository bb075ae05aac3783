"""The big-end cap: lower half of the ring, bosses down to the bolts' seats, and the rib.

Frame: R of the rod it belongs to, so that its large chamfer lies to the front (-x) as the rod's does. The pieces
fill bore, bolt holes and tang notch, and the hollow that the seat leaves in the ring around head or nut.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from geometry.arrays import Array
from geometry.built import Built
from geometry.feature import Feature, Group
from geometry.kinematics.layout import BoreSite, Layout
from geometry.parts.part import Body, Part, PartType
from geometry.parts.rod import bolt_holes, bore_cutter, half_disc, notch_cutter, seat_cutters, standing
from geometry.parts.shapes import meshing
from geometry.parts.shapes.placing import BACK_TO_FRONT, TUMBLED, along_x
from geometry.parts.shapes.rod_measured import measured_part
from geometry.parts.shapes.rod_shape import BIG_END_FITS, boss_inner_mm, boss_outline, prism
from geometry.solids import Hull, Mesh, Piece, Revolved
from geometry.spec.engine import Engine
from geometry.spec.rod import Rod

RIB_EDGE = 0.15
"""Chamfer of the rib's lower edges, by its width."""


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """One cap for each rod; all of one housing share their part."""
    parts: dict[tuple[float, float], Part] = {}
    found = []
    for site in layout.bores:
        n = site.bore
        one = built.design(spec, n)
        key = (one.rod.big_end.bore_mm, one.rod.bearing.wall_mm)
        if key not in parts:
            parts[key] = _part(one) if spec.rod.mesh is None else measured_part(spec.rod, "rod_cap")
        found.append(Body(f"rod_cap {n}", parts[key], f"R{n}", cap_standing(site, built), n))
    return found


def cap_standing(site: BoreSite, built: Built) -> Array:
    """Pose of a cap's own frame in frame R: as its rod stands, unless it was put on the other way round."""
    X_RA = standing(site, built)
    return X_RA @ BACK_TO_FRONT if built.bore(site.bore).cap_turned else X_RA


def _part(spec: Engine) -> Part:
    rod = spec.rod
    pieces: list[Piece] = [*_ring(rod), *_bosses(rod), *_rib(rod)]
    features = (Feature("rod_cap", tuple(pieces), group=Group.ROD, runs_in=BIG_END_FITS),)

    def build() -> Mesh:
        whole = meshing.union([meshing.piece_solid(piece) for piece in pieces])
        notch = meshing.transform(notch_cutter(rod), TUMBLED)
        seats = seat_cutters(rod, -rod.bolt.seat_mm, -1.0)
        cutters = [bore_cutter(rod), *bolt_holes(rod), notch, *seats]
        return meshing.to_mesh(meshing.difference(whole, cutters))

    return Part("rod_cap", rod.material, features, build)


def _ring(rod: Rod) -> list[Piece]:
    """The half ring; where the cap is lower than the ring is round, its bottom is cut flat."""
    radius, height = rod.big_end.outside_mm / 2, rod.cap.height_mm
    whole = half_disc(rod, upper=False)
    if height >= radius:
        return [whole]
    half_flat = float(np.degrees(np.arccos(height / radius)))
    sides = [
        Revolved(whole.profile_mm, start, end, along_x(0.0))
        for start, end in ((180.0, 270.0 - half_flat), (270.0 + half_flat, 360.0))
    ]
    chord, half = float(np.sqrt(radius**2 - height**2)), rod.big_end.width_mm / 2
    wedge = [[x, y, z] for x in (-half, half) for y, z in ((0.0, 0.0), (chord, -height), (-chord, -height))]
    return [*sides, Hull(np.array(wedge))]


def _bosses(rod: Rod) -> list[Hull]:
    """The bosses that head or nut bears on."""
    outline = boss_outline(rod, boss_inner_mm(rod, rod.bolt.seat_mm))
    return [prism([(outline, -rod.bolt.seat_mm), (outline, 0.0)], side) for side in (1.0, -1.0)]


def _rib(rod: Rod) -> list[Hull]:
    """The rib across the bottom, from inside the ring down, its lower edges broken."""
    radius, height, half = rod.big_end.outside_mm / 2, rod.cap.height_mm, rod.big_end.width_mm / 2
    if height <= radius:
        return []
    side = rod.cap.rib_width_mm / 2
    top = -0.5 * float(np.sqrt(max(radius**2 - side**2, 0.0)))
    edge = min(RIB_EDGE * rod.cap.rib_width_mm, height + top)
    corners = ((side, top), (side, edge - height), (side - edge, -height))
    rows = [[x, s * y, z] for x in (-half, half) for s in (1.0, -1.0) for y, z in corners]
    return [Hull(np.array(rows))]


PART = PartType("rod_cap", bodies)
