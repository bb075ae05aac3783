"""The space that a body sweeps over its period, as a watertight mesh that contains the true sweep.

What slides goes straight: each convex piece is hulled between its two dead centres, exactly. What spins full turns is
turned as on a lathe from the outline of each piece (``lathe.py``). What swings is hulled between consecutive poses.
Between two poses a step apart a point leaves its chord by at most b = a step^2 / 8 (a its largest acceleration),
always square to the crank axis; every point is given a square of that half-width around it, which holds the circle.
Round pieces become polygons around the true circles.

Excess of a hull between two poses
----------------------------------
A point of it is (1 - s) X0 p + s X1 q with p, q in the piece. With c = (1 - s) p + s q, also in the piece,

    (1 - s) X0 p + s X1 q = [(1 - s) X0 c + s X1 c] + s (1 - s) (R0 - R1)(p - q)

The bracket lies on the chord of c, within b of a true place of c; the rest is at most D |dpsi| / 4, D the largest
extent of the piece square to the crank axis and dpsi the turn of the body in the step. The square adds sqrt(2) b.

The union is then simplified by a tolerance and its corners are put on the numbers of a mesh file (float32); every
piece is grown by twice the one and by the other beforehand. ``inflation_mm`` adds all of it up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import manifold3d
import numpy as np

from geometry.arrays import Array
from geometry.collision.lathe import turned
from geometry.collision.mover import Mover
from geometry.collision.piece_pairs import Items
from geometry.collision.support import Circles
from geometry.collision.watertight import Share, closed_mesh
from geometry.kinematics.laws import Law
from geometry.solids import Mesh, Piece

EXCESS_MM = 0.2
LEAST_EXCESS_MM, MOST_EXCESS_MM = 0.1, 2.0
FINE = 1440
"""Steps a turn in which the swing of a body is looked at before its poses are chosen."""

Moving: TypeAlias = tuple[Law, Sequence[Piece]]


@dataclass(frozen=True, slots=True, eq=False)
class Envelope:
    """A swept solid in E.

    Attributes
    ----------
    mesh : watertight and outward, without a degenerate triangle, also when its corners are written as float32
    inflation_mm : no point of the mesh is farther than this from the swept pieces, apart from ``chord_mm``
    chord_mm : how far a hollow piece's inside may be filled
    volume_mm3 : of the mesh
    """

    mesh: Mesh
    inflation_mm: float
    chord_mm: float
    volume_mm3: float


def swept_envelope(bodies: Sequence[Moving], excess_mm: float = EXCESS_MM) -> Envelope:
    """What the pieces of some bodies sweep together over their periods.

    Parameters
    ----------
    bodies : the motion of each body and its pieces
    excess_mm : how far the mesh may exceed the true sweep; the number of its triangles goes with it

    Raises
    ------
    ValueError
        When the excess is none that can be kept.
    GeometryError
        When the solid does not close.
    """
    if not LEAST_EXCESS_MM <= excess_mm <= MOST_EXCESS_MM:
        raise ValueError(f"an envelope may exceed the sweep by {LEAST_EXCESS_MM} to {MOST_EXCESS_MM} mm")
    share = Share(excess_mm)
    solids: list[manifold3d.Manifold] = []
    inflations, chords = [], [0.0]
    for law, pieces in bodies:
        items = Items([Mover("swept", law, tuple(pieces))])
        for k, circles in enumerate(items.circles):
            for middle, half in _sectors(circles, share):
                chords.append(circles.inner_mm * (1 - np.cos(half)) if circles.inner_mm else 0.0)
                points = _corners(circles, middle, half, share)
                if law.kind == "spin":
                    solid, over = turned(points, (law.x_mm, law.y_mm, law.z_mm), share, len(solids))
                    solids.append(solid)
                else:
                    hulls, over = _moved(law, items, k, points, share, len(solids))
                    solids += hulls
                inflations.append(over + _outside(circles, share))
    mesh, volume = closed_mesh(solids, share)
    return Envelope(mesh, float(max(inflations)) + share.closing_mm, float(max(chords)), volume)


def _sectors(circles: Circles, share: Share) -> list[tuple[float, float]]:
    """Middles and half-angles of the sectors that a piece is swept by, fine enough where it is hollow."""
    if circles.inner_mm == 0 and circles.wrap_mm == 0:
        return [(circles.middle_rad, circles.half_rad)]
    inner = max(circles.inner_mm, circles.radius_mm.max() / 2)
    widest = np.arccos(1 - min(share.chord_mm / inner, 0.1))
    count = int(np.ceil(circles.half_rad / widest))
    half = circles.half_rad / count
    first = circles.middle_rad - circles.half_rad + half
    return [(first + 2 * half * k, half) for k in range(count)]


def _outside(circles: Circles, share: Share) -> float:
    """How far a polygon around the largest circle reaches beyond it."""
    return float(circles.radius_mm.max() * (1 / np.cos(share.step_rad(circles.radius_mm.max())) - 1))


def _corners(circles: Circles, middle: float, half: float, share: Share) -> Array:
    """Points (n, 3) whose hull contains the hull of the sector."""
    whole = half >= np.pi - 1e-12
    n = int(np.ceil(half / share.step_rad(circles.radius_mm.max())))
    n = max(n, 8 if whole else 1)
    step = half / n
    # tangents at the middles of n equal arcs meet at radius r / cos(step); a sector keeps its two ends
    phi = middle + (2 * np.arange(n) * step if whole else -half + 2 * step * np.arange(n + 1))
    rim = np.cos(phi)[:, None] * circles.first + np.sin(phi)[:, None] * circles.second
    round_ = circles.radius_mm > 1e-9
    radius = circles.radius_mm[round_, None, None] / np.cos(step)
    rings = circles.centre_mm[round_, None] + radius * rim
    points = [circles.centre_mm[~round_], rings.reshape(-1, 3)]
    if (
        not whole
    ):  # the inner edge of a hollow sector ends at its own radius, nearer than the corners outside it
        points.append((circles.centre_mm[round_, None] + radius * np.cos(step) * rim[[0, -1]]).reshape(-1, 3))
    return np.concatenate(points)


def _moved(
    law: Law, items: Items, item: int, points: Array, share: Share, number: int
) -> tuple[list[manifold3d.Manifold], float]:
    """Hulls of the points between consecutive poses, and how far they may exceed the sweep of the points."""
    grow = share.grow_mm(number)
    if law.kind in ("piston", "valve"):
        bank, ends = np.radians(law.turn_deg), slides_between(law)
        turn = np.array([[1, 0, 0], [0, np.cos(bank), -np.sin(bank)], [0, np.sin(bank), np.cos(bank)]])
        along = np.array([0.0, -np.sin(bank), np.cos(bank)])
        placed = points @ turn.T + [law.x_mm, law.y_mm, law.z_mm]
        both = np.stack([placed + end * along for end in ends])
        return [_hull(both, grow, 0.0)], float(np.sqrt(3.0) * grow)
    across = points[:, 1:]
    extent = float(np.linalg.norm(across[:, None] - across[None], axis=2).max())
    theta = _poses(law, items, item, extent, share)
    bulge = _bulge(items, item, theta)
    X = law.poses(np.degrees(theta))
    psi = np.unwrap(np.arctan2(X[:, 2, 1], X[:, 1, 1]))
    placed = np.einsum("kij,nj->kni", X[:, :3, :3], points) + X[:, None, :3, 3]
    hulls = [_hull(placed[k : k + 2], grow, float(bulge[k])) for k in range(len(bulge))]
    square = np.hypot(np.sqrt(2.0) * (bulge + grow), grow)
    return hulls, float((square + bulge + np.abs(np.diff(psi)) * extent / 4).max())


def slides_between(law: Law) -> tuple[float, float]:
    """Lowest and highest place along the bore, mm, of a piston (crank and rod in one line, elementary) or a valve."""
    if law.kind == "valve":
        X = law.poses(
            np.array([law.full_deg, law.full_deg + 180.0 / law.lift_rate])
        )  # fully open, fully shut
        bank = np.radians(law.turn_deg)
        low, high = (X[:, 1, 3] - law.y_mm) * -np.sin(bank) + (X[:, 2, 3] - law.z_mm) * np.cos(bank)
        return float(low), float(high)
    r, length, d = law.throw_mm, law.rod_mm, law.offset_mm
    return float(np.sqrt((length - r) ** 2 - d * d)), float(np.sqrt((length + r) ** 2 - d * d))


def _poses(law: Law, items: Items, item: int, extent_mm: float, share: Share) -> Array:
    """Crank angles of a turn, rad, close together where the body swings or its points bend away."""
    theta = np.arange(FINE + 1) * 2 * np.pi / FINE
    X = law.poses(np.degrees(theta))
    swing = np.abs(np.diff(np.unwrap(np.arctan2(X[:, 2, 1], X[:, 1, 1]))))
    bent = np.sqrt(_bulge(items, item, theta) / share.bulge_mm)
    steps = np.cumsum(np.maximum(np.maximum(swing * extent_mm / 4 / share.swing_mm, bent), 12 / FINE))
    count = int(np.ceil(steps[-1]))
    at = np.concatenate(
        [[0.0], np.interp(np.arange(1, count) * steps[-1] / count, steps, theta[1:]), [2 * np.pi]]
    )
    return np.asarray(at)


def _bulge(items: Items, item: int, theta: Array) -> Array:
    """Largest distance of any point's path from its chord, for each step between consecutive angles."""
    half, middle = np.diff(theta) / 2, (theta[1:] + theta[:-1]) / 2
    rho, pin = (np.full(half.size, r[item]) for r in (items.rho, items.rho_pin))
    _, accel = items.laws.bounds(np.zeros(half.size, dtype=np.intp), middle, half, rho, pin)
    return np.asarray(accel * (2 * half) ** 2 / 8)


def _hull(placed: Array, grow_mm: float, bulge_mm: float) -> manifold3d.Manifold:
    """The hull of points (poses, n, 3), each with a box around it that holds what it may stray."""
    half = np.array([grow_mm, bulge_mm + grow_mm, bulge_mm + grow_mm])
    box = np.array([[i, j, k] for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)]) * half
    return manifold3d.Manifold.hull_points((placed.reshape(-1, 1, 3) + box).reshape(-1, 3))
