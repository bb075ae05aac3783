"""From where one place of the engine is seen best: near, square to its gap, with little metal before it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.checks.troubles import Point
from geometry.kinematics.poses import transform
from viewer.scene.groups import ENCLOSING, group_of
from viewer.scene.model import CutPlane, Framing
from viewer.scene.shading import coarse

REACH_SHARE, LEAST_GAPS = 0.5, 2.5
"""What is seen around a place, either way: so much of the bore's diameter, and at least so many gaps."""
AZIMUTHS_DEG = tuple(float(a) for a in range(0, 360, 30))
ELEVATIONS_DEG = (-60.0, -30.0, -10.0, 15.0, 45.0)
"""Directions that are tried: the eye looks down where the elevation is negative."""
LIKED_DEG = (35.0, -20.0)
"""The free view's own direction, from the left front and above: of equal views the one nearest to it."""
SQUARE_COST, METAL_COST, OTHER_COST, TURN_COST = 4.0, 6.0, 0.4, 0.5
"""What a view loses by looking along the gap, by a reach of the two parts' own metal before the place, by each
other part before it, and by lying opposite to the liked direction."""
ALONG_MM = 0.02
"""Points nearer to each other than this have no line between them."""
PARALLEL, ON_EDGE_MM = 1e-12, 1e-9
COARSE_MM = 0.35
"""Meshes that serve for rays may lie off the true ones by this; the window makes them for frames in motion anyway."""


@dataclass(frozen=True, slots=True)
class Sight:
    """How one place is looked at.

    Attributes
    ----------
    at_mm, toward, up : middle of the picture, looking direction and the picture's upright, in E
    reach_mm : how far the picture reaches from its middle
    lit : names of the parts concerned, the first the one to do something about
    opened : those of them that stand around the others, cut open at the place; the rest is faded
    """

    at_mm: Point
    toward: Point
    up: Point
    reach_mm: float
    lit: tuple[str, ...]
    opened: tuple[str, ...]


@lru_cache(maxsize=64)
def sight_of(
    assembly: Assembly, bodies: tuple[str, ...], a_mm: Point, b_mm: Point, crank_deg: float
) -> Sight:
    """Where to look from at a place: tried by rays from its middle to the eye through the parts as they stand.

    Parameters
    ----------
    bodies : names of the two parts, or of the one
    a_mm, b_mm : ends of the distance between them, in E at that angle
    """
    a, b = np.array(a_mm), np.array(b_mm)
    at, gap = (a + b) / 2, b - a
    length = float(np.linalg.norm(gap))
    reach = max(REACH_SHARE * assembly.spec.block.bore.diameter_mm, LEAST_GAPS * length)
    toward = np.array([direction(az, el) for el in ELEVATIONS_DEG for az in AZIMUTHS_DEG])
    square = (toward @ (gap / length)) ** 2 if length > ALONG_MM else np.zeros(len(toward))
    away = np.arccos(np.clip(toward @ direction(*LIKED_DEG), -1.0, 1.0)) / np.pi
    cost = SQUARE_COST * square + TURN_COST * away
    for own, corners in _before(assembly, bodies, crank_deg):
        metal_mm = metal_on_rays(corners, at, -toward)
        cost += METAL_COST * np.minimum(metal_mm / reach, 1.0) if own else OTHER_COST * (metal_mm > 0.0)
    opened = tuple(name for name in bodies if group_of(assembly.body(name).part.kind) in ENCLOSING)
    best = toward[int(np.argmin(cost))]
    return Sight(_point(at), _point(best), (0.0, 0.0, 1.0), reach, bodies, opened)


def direction(azimuth_deg: float, elevation_deg: float) -> Array:
    """Unit looking direction in E: azimuth 0 looks rearward, 90 to the engine's right; elevation 90 looks up."""
    az, el = np.radians([azimuth_deg, elevation_deg])
    return np.array([np.cos(el) * np.cos(az), np.cos(el) * np.sin(az), np.sin(el)])


def framing_of(sight: Sight) -> Framing:
    """What must be in the picture: all that lies within reach of the place."""
    toward, up = np.array(sight.toward), np.array(sight.up)
    right = np.cross(toward, up)
    right /= np.linalg.norm(right)
    upright = np.cross(right, toward)
    corners = [
        np.array(sight.at_mm) + sight.reach_mm * (x * right + z * upright) for x in (-1, 1) for z in (-1, 1)
    ]
    return Framing(toward, up, np.array(corners), parallel=True, margin=0.03)


def opening(sight: Sight, groups: frozenset[str]) -> CutPlane:
    """The plane through the place, square to the line of sight, that takes away what stands before it."""
    return CutPlane(np.array(sight.at_mm), -np.array(sight.toward), groups)


def _point(at: Array) -> Point:
    return float(at[0]), float(at[1]), float(at[2])


def _before(assembly: Assembly, bodies: tuple[str, ...], crank_deg: float) -> Iterator[tuple[bool, Array]]:
    """Triangles (m, 3, 3) in E of what may stand before the place, and whether it is one of the parts themselves.

    What stands around the others is opened, and valves are drawn only where they are meant.
    """
    poses = assembly.frame_poses(crank_deg)
    for body in assembly.bodies:
        own, group = body.name in bodies, group_of(body.part.kind)
        if group not in ENCLOSING and (own or group != "valves"):
            lean = coarse(body.part.mesh, COARSE_MM)
            yield own, transform(poses[body.frame] @ body.X_FA, lean.vertices)[lean.triangles]


def metal_on_rays(corners_mm: Array, start_mm: Array, ways: Array) -> Array:
    """How much of a closed surface lies on each of some rays from one point: from every way in to the next way out.

    By the crossing test of Möller and Trumbore (Journal of Graphics Tools 2, 1997, from memory), made only for
    triangles whose round about their middle a ray comes through.

    Parameters
    ----------
    corners_mm : (m, 3, 3) float, outward by the right-hand rule
    ways : (k, 3) unit vectors

    Returns
    -------
    (k,) float, mm
    """
    middles = corners_mm.mean(axis=1)
    radius = np.linalg.norm(corners_mm - middles[:, None], axis=2).max(axis=1)
    off = middles - start_mm
    along = off @ ways.T
    near = (np.einsum("ij,ij->i", off, off)[:, None] - along**2 <= (radius**2)[:, None] + ON_EDGE_MM) & (
        along > -radius[:, None]
    )
    which, ray = np.nonzero(near)
    corner, way = corners_mm[which], ways[ray]
    edge1, edge2 = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    cross = np.cross(way, edge2)
    det = np.einsum("ij,ij->i", edge1, cross)
    safe = np.where(np.abs(det) < PARALLEL, np.inf, det)
    from_corner = start_mm - corner[:, 0]
    u = np.einsum("ij,ij->i", from_corner, cross) / safe
    around = np.cross(from_corner, edge1)
    v = np.einsum("ij,ij->i", around, way) / safe
    reached = np.einsum("ij,ij->i", edge2, around) / safe
    hit = np.isfinite(safe) & (u >= 0.0) & (v >= 0.0) & (u + v <= 1.0) & (reached > 0.0)
    # Out through a surface that looks along the ray, in through one that looks against it.
    signed = np.where(det < 0.0, reached, -reached)
    return np.asarray(np.bincount(ray[hit], signed[hit], minlength=len(ways)), dtype=float)
