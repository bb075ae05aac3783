"""How much of two features shares the same space at one crank angle: volume, and depth into a bore wall."""

from __future__ import annotations

from dataclasses import dataclass

import manifold3d
import numpy as np

from geometry.arrays import Array
from geometry.collision.mover import Mover
from geometry.collision.support import inner_chain
from geometry.solids import Box, Cylinder, Hull, Lobe, Piece, Revolved

SEGMENTS = 256
BEYOND_MM = 100.0
"""How far beyond its own thickness a bore wall counts as solid when the radial depth is taken."""


@dataclass(frozen=True, slots=True, eq=False)
class Overlap:
    """What two features share.

    Attributes
    ----------
    volume_mm3 : volume of the shared solid
    radial_mm : how far the body reaches beyond the inner radius of a bore wall, measured square to the bore
        axis at each height; nan when neither side is a bore wall
    vertices_mm, triangles : surface of the shared solid in E, (n, 3) and (k, 3)
    """

    volume_mm3: float
    radial_mm: float
    vertices_mm: Array
    triangles: Array


def overlap(a: Mover, b: Mover, crank_deg: float) -> Overlap:
    """The solid that two features share at one crank angle; volume zero when they are clear."""
    X = [m.law.poses(np.asarray(crank_deg)) for m in (a, b)]
    solids = [solid_of(m.pieces, pose) for m, pose in zip((a, b), X, strict=True)]
    shared = solids[0] ^ solids[1]
    mesh = shared.to_mesh64()
    volume, radial = float(shared.volume()), float("nan")
    for k, wall in enumerate((a, b)):
        for piece in wall.pieces:
            if isinstance(piece, Revolved) and piece.outward:
                found = _radial_depth(piece, X[k], solids[1 - k]) if volume > 0 else 0.0
                radial = found if np.isnan(radial) else max(radial, found)
    vertices = np.asarray(mesh.vert_properties, dtype=float)[:, :3]
    return Overlap(volume, radial, vertices, np.asarray(mesh.tri_verts))


def _radial_depth(piece: Revolved, X_EA: Array, body: manifold3d.Manifold) -> float:
    """How far a body reaches beyond the inner radius at the height of each of its points, mm."""
    shared = body ^ solid_of((piece,), X_EA, beyond_mm=BEYOND_MM)
    vertices = np.asarray(shared.to_mesh64().vert_properties, dtype=float)[:, :3]
    if not len(vertices):
        return 0.0
    X = X_EA @ piece.X_AP
    own = (vertices - X[:3, 3]) @ X[:3, :3]
    chain = inner_chain(np.asarray(piece.profile_mm, dtype=float))
    inner = np.interp(own[:, 2], chain[:, 1], chain[:, 0])
    return float(max(0.0, (np.hypot(own[:, 0], own[:, 1]) - inner).max()))


def solid_of(
    pieces: tuple[Piece, ...], X_EA: Array, segments: int = SEGMENTS, beyond_mm: float = 0.0
) -> manifold3d.Manifold:
    """Pieces as one watertight solid in E; round ones as polygons with corners on the true circle."""
    solids = [manifold_of(piece, segments, beyond_mm).transform((X_EA @ piece.X_AP)[:3]) for piece in pieces]
    return manifold3d.Manifold.batch_boolean(solids, manifold3d.OpType.Add)


def manifold_of(piece: Piece, segments: int = SEGMENTS, beyond_mm: float = 0.0) -> manifold3d.Manifold:
    """One piece in its own frame; a bore wall reaches ``beyond_mm`` farther out than its profile."""
    if isinstance(piece, Cylinder):
        return manifold3d.Manifold.cylinder(
            piece.length_mm, piece.radius_mm, circular_segments=segments, center=True
        )
    if isinstance(piece, Box):
        return manifold3d.Manifold.cube(piece.size_mm, center=True)
    if isinstance(piece, Hull):
        return manifold3d.Manifold.hull_points(np.asarray(piece.points_mm, dtype=float))
    if isinstance(piece, Lobe):
        small = manifold3d.Manifold.cylinder(
            piece.length_mm, piece.nose_radius_mm, circular_segments=segments, center=True
        ).translate((0.0, piece.distance_mm, 0.0))
        large = manifold3d.Manifold.cylinder(
            piece.length_mm, piece.radius_mm, circular_segments=segments, center=True
        )
        return manifold3d.Manifold.batch_hull([large, small])
    return _turned(piece, segments, beyond_mm)


def _turned(piece: Revolved, segments: int, beyond_mm: float) -> manifold3d.Manifold:
    profile = np.asarray(piece.profile_mm, dtype=float).copy()
    if piece.outward:
        facing = {tuple(corner) for corner in inner_chain(profile).tolist()}
        profile[:, 0] += [0.0 if tuple(corner) in facing else beyond_mm for corner in profile.tolist()]
    section = manifold3d.CrossSection([profile], manifold3d.FillRule.NonZero)
    if section.area() < 1e-12:
        section = manifold3d.CrossSection([profile[::-1]], manifold3d.FillRule.NonZero)
    span = piece.end_deg - piece.start_deg
    count = segments if span >= 360 - 1e-9 else max(3, round(segments * span / 360.0))
    solid = section.revolve(circular_segments=count, revolve_degrees=min(span, 360.0))
    return solid.rotate((0.0, 0.0, piece.start_deg))
