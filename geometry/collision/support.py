"""Exact support functions of the pieces, for thousands of pieces and directions at once.

Every piece is the convex hull of circles that share one axis direction: a box or hull of circles of radius
zero, a cylinder of two, a lobe of four, a turned solid of one per profile corner. Its support function is then

    h(n) = max_i ( c_i . n + r_i q(n) ),   q(n) = max over phi in the piece's sector of n . u(phi)

with u(phi) the unit vector at angle phi about the axis. ``q`` has a closed form: the length of n square to the
axis if n points into the sector, else the projection on the nearer edge of the sector. Nothing is faceted.

A turned solid whose profile stays clear of the axis is hollow. It is used sector by sector: the hull of a
sector of half-angle w contains the true sector, and no point of the hull is farther from the true solid than
r_in (1 - cos w), r_in the largest inner radius at the ends of the profile. Proof: a point of the hull is a mean
of points (r_i, phi_i, z_i); its projection on the middle direction is at least cos w times the mean of r_i, and
the mean of r_i is at least r_in(z) at the mean z because the inner edge of a convex profile is a convex
function of z. The point lies within the sector's wedge, so moving it outward by at most r_in (1 - cos w)
reaches the solid; and r_in(z), convex, is greatest at an end of the profile.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geometry.arrays import Array, Index, Pick
from geometry.solids import Box, Cylinder, Hull, Lobe, Piece, Revolved

_NO_LINES: Array = np.zeros((1, 2))
_NO_LINES.setflags(write=False)


@dataclass(frozen=True, slots=True, eq=False)
class Circles:
    """One piece as circles in the frame of its part.

    Attributes
    ----------
    centre_mm : (k, 3)
    radius_mm : (k,)
    axis, first, second : (3,) unit vectors; angle phi runs from ``first`` towards ``second``
    middle_rad, half_rad : the sector; half pi for all round
    origin : (3,) origin of the piece's own frame
    inner_lines : (j, 2) lines r = slope z + rise; their maximum is the inner radius of a turned piece
    inner_mm : r_in of the hollow, 0 when no sector of half a turn or less is hollow
    wrap_mm : how far the hull may exceed the solid while the sector is wider than half a turn
    """

    centre_mm: Array
    radius_mm: Array
    axis: Array
    first: Array
    second: Array
    middle_rad: float
    half_rad: float
    origin: Array
    inner_lines: Array
    inner_mm: float = 0.0
    wrap_mm: float = 0.0
    outward: bool = False


@lru_cache(maxsize=4096)
def circles_of(piece: Piece) -> Circles:
    """The circles whose hull (sector by sector, if hollow) is the piece; known pieces are not laid out again.

    Raises
    ------
    ValueError
        When a round piece has no volume: a radius, length or angle that is not above zero. A hull may be flat.
    """
    X = np.asarray(piece.X_AP, dtype=float)
    if isinstance(piece, Hull):
        return _points_alone(piece, X)
    points, radii = _own_circles(piece)
    middle, half, inner, wrap, outward = 0.0, np.pi, 0.0, 0.0, False
    if isinstance(piece, Revolved):
        span = np.radians(piece.end_deg - piece.start_deg)
        if not 0.0 < span <= 2 * np.pi + 1e-9:
            raise ValueError(f"a turned piece runs from {piece.start_deg:g} to {piece.end_deg:g} degrees")
        middle, half = np.radians(piece.start_deg) + span / 2, min(span / 2, np.pi)
        inner, wrap = _hollow(np.asarray(piece.profile_mm, dtype=float), float(half))
        outward = piece.outward
    return Circles(
        points @ X[:3, :3].T + X[:3, 3],
        radii,
        X[:3, 2].copy(),
        X[:3, 0].copy(),
        X[:3, 1].copy(),
        float(middle),
        float(half),
        X[:3, 3].copy(),
        _inner_lines(piece),
        inner,
        wrap,
        outward,
    )


def _points_alone(piece: Hull, X: Array) -> Circles:
    """The circles of a hull, which may be flat; there are thousands of them in a measured surface."""
    points = np.atleast_2d(np.asarray(piece.points_mm, dtype=float))
    turn, shift = X[:3, :3], X[:3, 3]
    axes = turn.T
    return Circles(
        points @ axes + shift, np.zeros(len(points)), axes[2], axes[0], axes[1], 0.0, np.pi, shift, _NO_LINES
    )


def _own_circles(piece: Cylinder | Box | Lobe | Revolved) -> tuple[Array, Array]:
    """Centres (k, 3) and radii (k,) in the piece's own frame."""
    if isinstance(piece, Cylinder):
        h = piece.length_mm / 2
        return np.array([[0.0, 0.0, -h], [0.0, 0.0, h]]), np.full(2, piece.radius_mm)
    if isinstance(piece, Box):
        signs = np.array([[i, j, k] for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)], dtype=float)
        return signs * np.asarray(piece.size_mm) / 2, np.zeros(8)
    if isinstance(piece, Lobe):
        h, d = piece.length_mm / 2, piece.distance_mm
        points = np.array([[0.0, 0.0, -h], [0.0, 0.0, h], [0.0, d, -h], [0.0, d, h]])
        return points, np.array([piece.radius_mm] * 2 + [piece.nose_radius_mm] * 2)
    profile = np.asarray(piece.profile_mm, dtype=float)
    return np.column_stack([np.zeros(len(profile)), np.zeros(len(profile)), profile[:, 1]]), profile[
        :, 0
    ].copy()


def inner_chain(profile: Array) -> Array:
    """Corners (j, 2) of a convex (r, z) profile that face the axis, by rising z."""
    chain: list[Array] = []
    for corner in profile[np.lexsort((profile[:, 0], profile[:, 1]))]:
        if chain and abs(corner[1] - chain[-1][1]) < 1e-9:
            continue  # farther out on an end face
        while len(chain) > 1:
            (r0, z0), (r1, z1) = chain[-2], chain[-1]
            if (r1 - r0) * (corner[1] - z0) < (corner[0] - r0) * (z1 - z0):
                break
            chain.pop()
        chain.append(corner)
    return np.array(chain)


def _hollow(profile: Array, half_rad: float) -> tuple[float, float]:
    """``inner_mm`` and ``wrap_mm`` of a turned profile."""
    if np.any(profile[:, 0] < -1e-9):
        raise ValueError("a turned profile has a corner at a negative radius")
    chain = inner_chain(profile)
    inner = float(max(chain[0, 0], chain[-1, 0]))
    inner = inner if inner > 1e-9 else 0.0
    if half_rad >= np.pi - 1e-12:
        return inner, 2.0 * inner
    # more than half round but not closed: hollow between its end faces even when it reaches the axis
    return inner, 2.0 * float(profile[:, 0].max()) if half_rad > np.pi / 2 + 1e-12 else 2.0 * inner


def _inner_lines(piece: Piece) -> Array:
    """Straight lines (j, 2), r = slope z + rise, whose maximum is the inner radius at height z."""
    if not isinstance(piece, Revolved):
        return np.zeros((1, 2))
    chain = inner_chain(np.asarray(piece.profile_mm, dtype=float))
    if len(chain) < 2:
        raise ValueError("a turned profile has no height")
    slope = np.diff(chain[:, 0]) / np.diff(chain[:, 1])
    return np.column_stack([slope, chain[:-1, 0] - slope * chain[:-1, 1]])


class PieceTable:
    """Pieces padded to equal numbers of circles, as (k, p) columns for gathering."""

    def __init__(self, circles: Sequence[Circles]) -> None:
        # equal parts share their circles: each is laid out once
        known = {id(c): c for c in circles}
        pieces = list(known.values())
        row = {key: k for k, key in enumerate(known)}
        which = np.array([row[id(c)] for c in circles], dtype=np.intp)
        count = max(len(p.radius_mm) for p in pieces)
        self.centre = np.empty((3, count, len(pieces)))
        self.radius = np.empty((count, len(pieces)))
        for i, p in enumerate(pieces):
            pad = np.minimum(np.arange(count), len(p.radius_mm) - 1)
            self.centre[:, :, i] = p.centre_mm[pad].T
            self.radius[:, i] = p.radius_mm[pad]
        self.size = np.array([len(p.radius_mm) for p in pieces])
        self.first = np.array([p.first for p in pieces]).T.copy()
        self.second = np.array([p.second for p in pieces]).T.copy()
        self.axis = np.array([p.axis for p in pieces]).T.copy()
        self.middle = np.array([p.middle_rad for p in pieces])
        self.half = np.array([p.half_rad for p in pieces])
        self.inner = np.array([p.inner_mm for p in pieces])
        lines = max(len(p.inner_lines) for p in pieces)
        self.lines = np.stack(
            [p.inner_lines[np.minimum(np.arange(lines), len(p.inner_lines) - 1)] for p in pieces], axis=-1
        )
        self.origin = np.array([p.origin for p in pieces]).T.copy()
        self.wrap = np.array([p.wrap_mm for p in pieces])
        self.outward = np.array([p.outward for p in pieces])
        for name, column in vars(self).items():
            setattr(self, name, np.ascontiguousarray(column[..., which]))

    def reach(self, y: Array | float = 0.0, z: Array | float = 0.0) -> Array:
        """Upper bound (p,) of the distance of any point from the line along x through (y, z)."""
        return np.asarray((np.hypot(self.centre[1] - y, self.centre[2] - z) + self.radius).max(axis=0))

    def excess(self, piece: Index, half: Array) -> Array:
        """How far the hull of a sector of half-angle ``half`` (m,) may exceed the true solid, mm."""
        return np.where(half <= np.pi / 2 + 1e-12, self.inner[piece] * (1.0 - np.cos(half)), self.wrap[piece])

    def shortfall(self, piece: Index, half: Array, point: Array) -> Array:
        """How far points (3, m) of sectors' hulls, in the part's frame, may be from the true solids, mm.

        Within half a turn, or all round, a point of the hull at or beyond the inner radius of its height is a
        point of the solid; one short of it reaches the solid by moving outward along the radius.
        """
        out = np.zeros(piece.size)
        index = np.nonzero(self.wrap[piece] > 0)[0]
        if index.size:
            p = piece[index]
            arm = point[:, index] - self.origin[:, p]
            z = (arm * self.axis[:, p]).sum(axis=0)
            radius = np.sqrt(np.maximum((arm * arm).sum(axis=0) - z * z, 0.0))
            inner = (self.lines[:, 0, p] * z + self.lines[:, 1, p]).max(axis=0)
            bent = (half[index] > np.pi / 2 + 1e-12) & (half[index] < np.pi - 1e-12)
            out[index] = np.where(bent, self.wrap[p], np.maximum(inner - radius, 0.0))
        return out

    def gather(self, piece: Index, middle: Array, half: Array) -> Gathered:
        """The circles of pieces (m,), each cut down to the sector given by ``middle`` and ``half`` (m,)."""
        k = int(self.size[piece].max()) if piece.size else 1
        cos_m, sin_m = np.cos(middle), np.sin(middle)
        first, second = self.first[:, piece], self.second[:, piece]
        return Gathered(
            self.centre[:, :k, piece],
            self.radius[:k, piece],
            first * cos_m + second * sin_m,
            second * cos_m - first * sin_m,
            np.cos(half),
            np.sin(half),
        )


@dataclass(slots=True, eq=False)
class Gathered:
    """Circles of m pieces: centres (3, k, m), radii (k, m), axes (3, m) turned to the sector's middle.

    Where ``rays`` (r, 3, m) are given, the piece is drawn out along each of them: no short way leads that way.
    """

    centre: Array
    radius: Array
    first: Array
    second: Array
    cos_half: Array
    sin_half: Array
    rays: Array | None = None

    def take(self, index: Pick) -> Gathered:
        """The pieces at an index or mask."""
        return Gathered(
            self.centre[:, :, index],
            self.radius[:, index],
            self.first[:, index],
            self.second[:, index],
            self.cos_half[index],
            self.sin_half[index],
            None if self.rays is None else self.rays[:, :, index],
        )

    def with_(self, other: Gathered) -> Gathered:
        """These pieces and others as one batch."""
        count = max(self.radius.shape[0], other.radius.shape[0])
        rays = None
        if self.rays is not None or other.rays is not None:
            most = max(0 if side.rays is None else len(side.rays) for side in (self, other))
            rays = np.concatenate([_more_rays(side, most) for side in (self, other)], axis=2)
        return Gathered(
            np.concatenate([_more_circles(side.centre, count) for side in (self, other)], axis=2),
            np.concatenate([_more_circles(side.radius[None], count)[0] for side in (self, other)], axis=1),
            np.concatenate([self.first, other.first], axis=1),
            np.concatenate([self.second, other.second], axis=1),
            np.concatenate([self.cos_half, other.cos_half]),
            np.concatenate([self.sin_half, other.sin_half]),
            rays,
        )

    def _radial(self, n: Array) -> tuple[Array, Array, Array]:
        a = np.add.reduce(n * self.first, axis=0)
        b = np.add.reduce(n * self.second, axis=0)
        length = np.sqrt(a * a + b * b)
        inside = a >= length * self.cos_half
        # along the axis every point of a circle is a farthest one; its centre need not belong to the piece
        along = length < 1e-12
        safe = np.where(along, 1.0, length)
        u = np.where(along, 1.0, np.where(inside, a / safe, self.cos_half))
        v = np.where(along, 0.0, np.where(inside, b / safe, np.copysign(self.sin_half, b)))
        return a * u + b * v, u, v

    def height(self, n: Array) -> Array:
        """Support function h(n), (m,), for directions (3, m) in the part's frame."""
        q, _, _ = self._radial(n)
        c = self.centre
        height = (c[0] * n[0] + c[1] * n[1] + c[2] * n[2] + self.radius * q).max(axis=0)
        if self.rays is not None:
            height = height + np.maximum((self.rays * n).sum(axis=1), 0.0).sum(axis=0)
        return np.asarray(height)

    def point(self, n: Array) -> tuple[Array, Array]:
        """Support function (m,) and a support point (3, m)."""
        q, u, v = self._radial(n)
        c = self.centre
        value = c[0] * n[0] + c[1] * n[1] + c[2] * n[2] + self.radius * q
        best = value.argmax(axis=0)
        column = np.arange(value.shape[1])
        flat = best * column.size + column
        r = self.radius.reshape(-1).take(flat)
        point = c.reshape(3, -1).take(flat, axis=1) + r * (u * self.first + v * self.second)
        height = value.reshape(-1).take(flat)
        if self.rays is not None:
            along = np.maximum((self.rays * n).sum(axis=1), 0.0)
            height, point = height + along.sum(axis=0), point + (self.rays * (along > 0)[:, None]).sum(axis=0)
        return height, point


def _more_circles(rows: Array, count: int) -> Array:
    """Rows (r, k, m) of circles brought to ``count`` of them: the last one once more, as often as it takes."""
    return rows if rows.shape[1] == count else rows[:, np.minimum(np.arange(count), rows.shape[1] - 1)]


def _more_rays(side: Gathered, count: int) -> Array:
    """Rays (count, 3, m) of pieces; those that are not drawn out have rays of no length."""
    have = np.zeros((0, *side.first.shape)) if side.rays is None else side.rays
    return np.concatenate([have, np.zeros((count - len(have), *side.first.shape))])
