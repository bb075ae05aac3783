"""The connecting rod without its cap: upper half of the big end, blade with its pockets, small end.

Frame: R of the rod itself, its large chamfer to the front (-x). A rod whose cheek lies behind it stands turned
round, so that the large chamfer faces the cheek.

The pieces fill what other parts fill (big-end and small-end bore with their chamfers, bolt holes, tang notch)
and the rounded corners of the pockets, by at most 0.4 of the corner's radius; outside they are the true solid.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from geometry.arrays import Array
from geometry.built import Built
from geometry.feature import Feature, Group
from geometry.kinematics.layout import BoreSite, Layout
from geometry.kinematics.poses import translation
from geometry.parts.part import Body, Part, PartType
from geometry.parts.shapes import meshing
from geometry.parts.shapes.placing import BACK_TO_FRONT, along_x
from geometry.parts.shapes.rod_measured import measured_part
from geometry.parts.shapes.rod_shape import (
    BIG_END_FITS,
    BLADE_FITS,
    SMALL_END_FITS,
    Blade,
    BladePocket,
    blade,
    boss_inner_mm,
    boss_outline,
    pocket,
    prism,
    seat_radius_mm,
    tang,
    triangles_of_corners,
)
from geometry.solids import IDENTITY, Cylinder, Hull, Mesh, Piece, Revolved, rectangle
from geometry.spec.engine import Engine
from geometry.spec.rod import Rod

if TYPE_CHECKING:
    from manifold3d import Manifold

BEYOND_MM: Final = 1.0
"""How far a cutter reaches out of the solid it cuts."""
SEAT_ROOM_MM: Final = 0.4
"""Play round head or nut where the seat is cut into the ring."""
TAPER_FROM: Final = 0.5
TAPER: Final = 0.6
BOSS_WALL_MM: Final = 1.5
"""A boss without a seat on top leans in from half its height, by this share of the seat's radius, as long as
that much wall is left beside the bolt."""
POCKET_STEPS: Final = 8


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """One rod for each bore; all of one length and housing share their part."""
    parts: dict[tuple[float, float, float], Part] = {}
    found = []
    for site in layout.bores:
        n = site.bore
        one = built.design(spec, n)
        length = one.rod.length_mm + built.bore(n).rod_length_change_mm
        key = (length, one.rod.big_end.bore_mm, one.rod.bearing.wall_mm)
        if key not in parts:
            # a rod of another length is not the one that was measured
            measured = spec.rod.mesh is not None and length == spec.rod.length_mm
            parts[key] = measured_part(spec.rod, "rod") if measured else _part(one, length)
        found.append(Body(f"rod {n}", parts[key], f"R{n}", standing(site, built), n))
    return found


def standing(site: BoreSite, built: Built) -> Array:
    """Pose of a rod's own frame in frame R: which way round it stands."""
    turned = (site.cheek_side == "rear") != built.bore(site.bore).rod_turned
    return BACK_TO_FRONT if turned else IDENTITY


def _part(spec: Engine, length_mm: float) -> Part:
    rod = spec.rod
    shape = blade(rod, length_mm)
    hole = pocket(rod, shape)
    features = (
        Feature("rod_beam", tuple(_blade_pieces(rod, shape, hole)), group=Group.ROD, runs_in=BLADE_FITS),
        Feature(
            "rod_big_end", (half_disc(rod, upper=True), *_bosses(rod)), group=Group.ROD, runs_in=BIG_END_FITS
        ),
        Feature("rod_small_end", (_small_end(rod, length_mm),), group=Group.ROD, runs_in=SMALL_END_FITS),
    )
    return Part("rod", rod.material, features, partial(_mesh, spec, length_mm, shape, hole))


def half_disc(rod: Rod, upper: bool) -> Revolved:
    """Half of the big end as a full half disc: convex, the bore filled."""
    half, radius = rod.big_end.width_mm / 2, rod.big_end.outside_mm / 2
    start = 0.0 if upper else 180.0
    return Revolved(rectangle(0.0, radius, -half, half), start, start + 180.0, along_x(0.0))


def _bosses(rod: Rod) -> list[Hull]:
    """The shoulders that the bolts pass through or screw into."""
    height = rod.bolt.shoulder_mm
    inner = boss_inner_mm(rod, height)
    full = boss_outline(rod, inner)
    levels = [(full, 0.0), (full, height)]
    if rod.bolt.kind == "cap_screw":
        seat = seat_radius_mm(rod.bolt)
        leaning = boss_outline(
            rod, inner, min(TAPER * seat, max(0.0, seat - rod.bolt.diameter_mm / 2 - BOSS_WALL_MM))
        )
        levels = [(full, 0.0), (full, TAPER_FROM * height), (leaning, height)]
    return [prism(levels, side) for side in (1.0, -1.0)]


def _small_end(rod: Rod, length_mm: float) -> Cylinder:
    return Cylinder(rod.small_end.outside_mm / 2, rod.small_end.width_mm, along_x(0.0, 0.0, length_mm))


def _blade_pieces(rod: Rod, shape: Blade, hole: BladePocket | None) -> list[Piece]:
    pieces: list[Piece] = list(shape.hulls())
    k = shape.straight
    if hole is None:
        return [*pieces, shape.slice(k)]
    thick = rod.beam.thickness_mm / 2
    ends = ((float(shape.z_mm[k]), hole.low_mm), (hole.high_mm, float(shape.z_mm[k + 1])))
    for low, high in ends:
        pieces.append(_block(shape, (-thick, thick), None, low, high))
    low, high, web = hole.low_mm, hole.high_mm, rod.beam.web_mm / 2
    if rod.beam.section == "I":
        inner = (hole.half_low_mm, hole.half_high_mm)
        for side in (1.0, -1.0):
            pieces.append(_block(shape, (-thick, thick), inner, low, high, side))
        across = np.array(
            [[side * y, z] for y, z in zip(inner, (low, high), strict=True) for side in (1, -1)]
        )
        pieces.append(Hull(np.vstack([np.insert(across, 0, x, axis=1) for x in (-web, web)])))
    else:
        for side in (1.0, -1.0):
            span = (side * hole.half_low_mm, side * thick)
            pieces.append(_block(shape, span, None, low, high))
        half = hole.half_low_mm
        corners = [[x, y, z] for x in (-half, half) for y in (-web, web) for z in (low, high)]
        pieces.append(Hull(np.array(corners)))
    return [*pieces, *_corner_fillers(rod, shape, hole)]


def _block(
    shape: Blade,
    x_span_mm: tuple[float, float],
    inner_mm: tuple[float, float] | None,
    low_mm: float,
    high_mm: float,
    side: float = 1.0,
) -> Hull:
    """Part of the straight blade between two heights: across its whole width, or outside ``inner_mm``."""
    rows = []
    for k, z in enumerate((low_mm, high_mm)):
        outer = shape.half_width_mm(z)
        ys = (-outer, outer) if inner_mm is None else (side * inner_mm[k], side * outer)
        rows += [[x, y, z] for x in x_span_mm for y in ys]
    return Hull(np.array(rows))


def _corner_fillers(rod: Rod, shape: Blade, hole: BladePocket) -> list[Hull]:
    """What a pocket's rounded corners leave of its rectangle, as straight-edged wedges through both faces."""
    thick = rod.beam.thickness_mm / 2
    found = []
    for triangle in triangles_of_corners(hole):
        if rod.beam.section == "I":
            rows = [[x, y, z] for x in (-thick, thick) for y, z in triangle]
        else:
            rows = [[x, side * shape.half_width_mm(z), z] for side in (-1.0, 1.0) for x, z in triangle]
        found.append(Hull(np.array(rows)))
    return found


def _mesh(spec: Engine, length_mm: float, shape: Blade, hole: BladePocket | None) -> Mesh:
    rod = spec.rod
    whole: list[Piece] = [half_disc(rod, upper=True), *_bosses(rod), _small_end(rod, length_mm)]
    whole += [*shape.hulls(), shape.slice(shape.straight)]
    solids = [meshing.piece_solid(piece) for piece in whole]
    pin = along_x(0.0, 0.0, length_mm)
    cutters = [
        bore_cutter(rod),
        meshing.cylinder(spec.piston.pin.diameter_mm / 2, rod.small_end.width_mm + 2 * BEYOND_MM, pin),
        *bolt_holes(rod),
        notch_cutter(rod),
        *(_pocket_cutters(rod, shape, hole) if hole else []),
    ]
    if rod.bolt.kind == "bolt_and_nut":
        cutters += seat_cutters(rod, rod.bolt.shoulder_mm, 1.0)
    return meshing.to_mesh(meshing.difference(meshing.union(solids), cutters))


def bore_cutter(rod: Rod) -> Manifold:
    """The big-end bore with its two chamfers, the large one to the front (-x)."""
    radius, half = rod.big_end.bore_mm / 2, rod.big_end.width_mm / 2
    large, small = rod.chamfer.cheek_mm, rod.chamfer.other_mm
    profile = [
        (0.0, -half - BEYOND_MM),
        (radius + large + BEYOND_MM, -half - BEYOND_MM),
        (radius, large - half),
        (radius, half - small),
        (radius + small + BEYOND_MM, half + BEYOND_MM),
        (0.0, half + BEYOND_MM),
    ]
    return meshing.transform(meshing.revolve(profile), along_x(0.0))


def bolt_holes(rod: Rod) -> list[Manifold]:
    """Both bolt holes, through rod and cap."""
    bolt = rod.bolt
    low = -bolt.seat_mm - BEYOND_MM
    high = bolt.shoulder_mm + BEYOND_MM
    if bolt.kind == "cap_screw":  # threaded from below, and blind where the shoulder is higher than the bolt
        high = min(high, bolt.length_mm - bolt.seat_mm + 2 * BEYOND_MM)
    middle = (low + high) / 2
    return [
        meshing.cylinder(
            bolt.diameter_mm / 2, high - low, translation([0.0, side * bolt.spacing_mm / 2, middle])
        )
        for side in (1.0, -1.0)
    ]


def seat_cutters(rod: Rod, seat_mm: float, direction: float) -> list[Manifold]:
    """Room for head or nut beyond its seat, where the ring stands in its way."""
    radius, reach = seat_radius_mm(rod.bolt) + SEAT_ROOM_MM, rod.big_end.outside_mm
    middle = seat_mm + direction * reach / 2
    return [
        meshing.cylinder(radius, reach, translation([0.0, side * rod.bolt.spacing_mm / 2, middle]))
        for side in (1.0, -1.0)
    ]


def notch_cutter(rod: Rod) -> Manifold:
    """The notch for the upper shell's tang; turned about +y it is the cap's."""
    lug = tang(rod)
    size = (lug.width_mm, lug.outer_mm - lug.inner_mm, lug.height_mm + BEYOND_MM)
    middle = [lug.x_mm, (lug.outer_mm + lug.inner_mm) / 2, (lug.height_mm - BEYOND_MM) / 2]
    return meshing.box(size, translation(middle))


def _pocket_cutters(rod: Rod, shape: Blade, hole: BladePocket) -> list[Manifold]:
    outline = hole.outline(POCKET_STEPS)
    floor = rod.beam.web_mm / 2
    if rod.beam.section == "I":
        face = rod.beam.thickness_mm / 2 + BEYOND_MM
        cut = meshing.extrude(outline, floor, face)
        return [meshing.transform(cut, X) for X in (along_x(0.0), BACK_TO_FRONT @ along_x(0.0))]
    face = float(shape.half_y_mm.max()) + BEYOND_MM
    cut = meshing.transform(meshing.extrude(outline, floor, face), ALONG_MINUS_Y)
    return [cut, meshing.transform(cut, BACK_TO_FRONT)]


ALONG_MINUS_Y: Final[Array] = np.array(
    [[1.0, 0.0, 0.0, 0.0], [0.0, 0.0, -1.0, 0.0], [0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]]
)
"""Pose of an outline drawn in x and z and pulled towards -y."""


PART = PartType("rod", bodies)
