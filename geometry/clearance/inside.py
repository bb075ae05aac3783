"""Whether a feature lies wholly within a measured solid, where no triangle of its surface is near to tell.

A piece that nowhere crosses the surface is either all inside or all outside, and stays so while it moves. So one
point of each piece, at one crank angle, decides. Inside means: the surface's triangles, seen from the point,
cover the whole sphere once. Source: A. Van Oosterom and J. Strackee, "The solid angle of a plane triangle", IEEE
Transactions on Biomedical Engineering 30 (1983) 125-126, for the angle of one triangle (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.clearance.pairs import Pair
from geometry.collision.certify import Approach
from geometry.collision.mover import Mover
from geometry.collision.support import circles_of
from geometry.solids import Mesh, Piece, Revolved

AT_ONCE: Final = 1_000_000
"""Pairs of point and triangle looked at together: enough for numpy, few enough for memory."""


def inner_point(piece: Piece) -> Array:
    """A point (3,) of a piece in the frame of its part."""
    own = np.zeros(3)
    if isinstance(piece, Revolved):
        radius, height = np.asarray(piece.profile_mm, dtype=float).mean(axis=0)
        at = np.radians((piece.start_deg + piece.end_deg) / 2)
        own = np.array([radius * np.cos(at), radius * np.sin(at), height])
        return np.asarray(piece.X_AP[:3, :3] @ own + piece.X_AP[:3, 3])
    return np.asarray(circles_of(piece).centre_mm.mean(axis=0))


def points_of(mover: Mover, crank_deg: float = 0.0) -> Array:
    """A point (n, 3) of every piece of a feature, in E."""
    points = np.array([inner_point(piece) for piece in mover.pieces])
    X = mover.law.poses(np.asarray(crank_deg))
    return np.asarray(points @ X[:3, :3].T + X[:3, 3])


def turns_about(points: Array, mesh: Mesh) -> Array:
    """How often (n,) the surface goes round points (n, 3): 1 inside, 0 outside."""
    corners = mesh.vertices[mesh.triangles]
    found = np.zeros(len(points))
    low, high = mesh.vertices.min(axis=0), mesh.vertices.max(axis=0)
    boxed = np.nonzero(((points > low) & (points < high)).all(axis=1))[0]
    step = max(1, AT_ONCE // len(corners))
    for k in range(0, boxed.size, step):
        some = boxed[k : k + step]
        found[some] = _solid_angles(points[some], corners).sum(axis=1) / (4 * np.pi)
    return found


def _solid_angles(points: Array, corners: Array) -> Array:
    """Signed solid angles (n, m) of triangles (m, 3, 3) from points (n, 3)."""
    a, b, c = (corners[None, :, k] - points[:, None] for k in range(3))
    la, lb, lc = (np.sqrt(np.einsum("nmi,nmi->nm", v, v)) for v in (a, b, c))
    dot = {
        k: np.einsum("nmi,nmi->nm", u, v) for k, (u, v) in {"ab": (a, b), "bc": (b, c), "ca": (c, a)}.items()
    }
    triple = np.einsum("nmi,nmi->nm", a, np.cross(b, c))
    return np.asarray(2 * np.arctan2(triple, la * lb * lc + dot["ab"] * lc + dot["bc"] * la + dot["ca"] * lb))


def swallowed(pairs: Sequence[Pair]) -> list[tuple[Pair, Approach]]:
    """Every feature that has a piece within a measured solid at crank angle zero.

    Returns
    -------
    For each such feature and solid, the pair with the place whose surface is nearest, and how near that is: the
    feature must be moved at least that far to come out.
    """
    alike: dict[tuple[int, int], list[Pair]] = {}
    for pair in pairs:
        for surface, other in ((pair.a, pair.b), (pair.b, pair.a)):
            if surface.surface:
                alike.setdefault((id(other), id(surface.body)), []).append(pair)
                break
    found = []
    for (mover, _), group in alike.items():
        swapped = id(group[0].a) == mover
        surface = group[0].b if swapped else group[0].a
        points = points_of(group[0].a if swapped else group[0].b)
        X_EA = surface.law.poses(np.asarray(0.0)) @ surface.body.X_FA
        own = (points - X_EA[:3, 3]) @ X_EA[:3, :3]
        within = np.nonzero(turns_about(own, surface.body.part.mesh) > 0.5)[0]
        if within.size:
            found.append(_nearest_surface(group, swapped, points[within[0]]))
    return found


def _nearest_surface(group: Sequence[Pair], swapped: bool, point: Array) -> tuple[Pair, Approach]:
    """Of pairs of one feature with places of one solid, the one whose surface is nearest to a point of it in E."""
    import trimesh  # slow to import, and hardly anything is ever swallowed

    best: tuple[float, Pair, Array] | None = None
    for pair in group:
        mover = pair.b if swapped else pair.a
        corners = np.stack([circles_of(piece).centre_mm for piece in mover.pieces])
        X = mover.law.poses(np.asarray(0.0))
        corners = corners @ X[:3, :3].T + X[:3, 3]
        near = trimesh.triangles.closest_point(  # type: ignore[no-untyped-call]
            corners, np.tile(point, (len(corners), 1))
        )
        distance = np.linalg.norm(near - point, axis=1)
        k = int(distance.argmin())
        if best is None or distance[k] < best[0]:
            best = float(distance[k]), pair, np.asarray(near[k])
    assert best is not None
    depth, pair, there = best
    at = (point, there) if swapped else (there, point)
    way = at[0] - at[1]
    direction = way / depth if depth > 0 else np.array([1.0, 0.0, 0.0])
    return pair, Approach(pair.a.name, pair.b.name, -depth, 0.0, 0.0, *at, direction, 0, 0)
