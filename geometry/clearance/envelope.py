"""The space that a body sweeps over its period, as a watertight mesh that contains the true sweep.

Each convex piece is hulled between consecutive poses. Between two poses a step apart a point leaves its chord by
at most a step^2 / 8 (a its largest acceleration), always square to the crank axis; every point is given a
square of that half-width around it, which holds the circle. Round pieces become polygons around the true
circles. What the envelope may hold too much, ``inflation_mm``, is stated with it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import manifold3d
import numpy as np

from geometry.clearance.items import Items, Side
from geometry.clearance.laws import Law
from geometry.clearance.prune import period_deg
from geometry.clearance.support import Circles
from geometry.parts.solids import Array, Mesh, Piece

POSES = 90
CORNERS = 64
SECTOR_RAD = np.radians(15.0)
"""Hollow pieces are swept sector by sector, each of at most this half-angle."""


@dataclass(frozen=True, slots=True, eq=False)
class Envelope:
    """A swept solid in E.

    Attributes
    ----------
    mesh : watertight, outward
    inflation_mm : no point of the mesh is farther than this from the swept pieces, apart from the chords of
        hollow pieces (``chord_mm``) and the straight way between poses
    chord_mm : how far a hollow piece's inside may be filled
    volume_mm3 : of the mesh
    """

    mesh: Mesh
    inflation_mm: float
    chord_mm: float
    volume_mm3: float


def swept_envelope(law: Law, pieces: Sequence[Piece], poses: int = POSES, corners: int = CORNERS) -> Envelope:
    """What the pieces of one body sweep over its period.

    Raises
    ------
    ValueError
        When fewer than 12 poses a turn or 8 corners a circle are asked for, or the solid does not close.
    """
    if poses < 12 or corners < 8:
        raise ValueError("an envelope needs at least 12 poses a turn and 8 corners a circle")
    items = Items([Side(law, tuple(pieces))])
    turns = 0 if law.kind == "fixed" else round(period_deg(law) / 360.0)
    count = max(1, turns * poses)
    theta = np.arange(count + (turns > 0)) * 2 * np.pi / poses
    solids, bulges, chords = [], [0.0], [0.0]
    for k, circles in enumerate(items.circles):
        moves = turns > 0 and not _turns_in_place(law, circles)
        angles = theta if moves else theta[:1]
        bulge = _bulge(items, k, theta, np.pi / poses) if moves else 0.0
        bulges.append(np.sqrt(2.0) * bulge + _outside(circles, corners))
        for middle, half in _sectors(circles):
            points = _corners(circles, middle, half, corners)
            chords.append(circles.inner_mm * (1 - np.cos(half)) if circles.inner_mm else 0.0)
            solids += _hulls(law, points, angles, bulge)
    whole = manifold3d.Manifold.batch_boolean(solids, manifold3d.OpType.Add)
    if whole.status() != manifold3d.Error.NoError or whole.volume() <= 0:
        raise ValueError(f"the swept solid does not close ({whole.status().name})")
    mesh = whole.to_mesh64()
    vertices = np.asarray(mesh.vert_properties, dtype=float)[:, :3]
    return Envelope(
        Mesh(vertices, np.asarray(mesh.tri_verts, dtype=np.int32)),
        float(max(bulges)),
        float(max(chords)),
        float(whole.volume()),
    )


def _turns_in_place(law: Law, circles: Circles) -> bool:
    """Whether a full round piece only turns about its own axis: a journal, a seal's land."""
    centred = np.abs(circles.centre_mm[:, 1:]).max() < 1e-9 and abs(abs(circles.axis[0]) - 1.0) < 1e-12
    return bool(law.kind == "spin" and circles.half_rad >= np.pi - 1e-12 and centred)


def _bulge(items: Items, item: int, theta: Array, half: float) -> float:
    """Largest distance of any point's path from its chord."""
    one = np.zeros(theta.size, dtype=np.intp)
    rho, pin = (np.full(theta.size, r[item]) for r in (items.rho, items.rho_pin))
    _, accel = items.laws.bounds(one, theta + half, np.full(theta.size, half), rho, pin)
    return float(accel.max() * (2 * half) ** 2 / 8)


def _outside(circles: Circles, corners: int) -> float:
    """How far a polygon around the largest circle reaches beyond it."""
    return float(circles.radius_mm.max() * (1 / np.cos(np.pi / corners) - 1))


def _sectors(circles: Circles) -> list[tuple[float, float]]:
    """Middles and half-angles of the sectors that a piece is swept by."""
    if circles.inner_mm == 0 and circles.wrap_mm == 0:
        return [(circles.middle_rad, circles.half_rad)]
    count = int(np.ceil(circles.half_rad / SECTOR_RAD))
    half = circles.half_rad / count
    first = circles.middle_rad - circles.half_rad + half
    return [(first + 2 * half * k, half) for k in range(count)]


def _corners(circles: Circles, middle: float, half: float, corners: int) -> Array:
    """Points (n, 3) whose hull contains the hull of the sector."""
    whole = half >= np.pi - 1e-12
    n = corners if whole else max(2, int(np.ceil(corners * half / np.pi)))
    step = np.pi / n if whole else half / n
    # tangents at the middles of n equal arcs meet at radius r / cos(step); a sector keeps its two ends
    phi = middle + (2 * np.arange(n) * step if whole else -half + 2 * step * np.arange(n + 1))
    rim = np.cos(phi)[:, None] * circles.first + np.sin(phi)[:, None] * circles.second
    round_ = circles.radius_mm > 1e-9
    radius = circles.radius_mm[round_, None, None] / np.cos(step)
    rings = circles.centre_mm[round_, None] + radius * rim
    return np.concatenate([circles.centre_mm[~round_], rings.reshape(-1, 3)])


def _hulls(law: Law, points: Array, theta: Array, bulge: float) -> list[manifold3d.Manifold]:
    """Hulls of the points between consecutive poses, each point with its square."""
    X = law.poses(np.degrees(theta))
    placed = np.einsum("kij,nj->kni", X[:, :3, :3], points) + X[:, None, :3, 3]
    squares = np.array([[0.0, i, j] for i in (-bulge, bulge) for j in (-bulge, bulge)])
    placed = (placed[:, :, None] + squares).reshape(len(placed), -1, 3) if bulge > 0 else placed
    if len(placed) == 1:
        return [manifold3d.Manifold.hull_points(placed[0])]
    pairs = np.concatenate([placed[:-1], placed[1:]], axis=1)
    return [manifold3d.Manifold.hull_points(pair) for pair in pairs]
