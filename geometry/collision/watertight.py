"""Many solids to one closed mesh that stays closed when it is written; and how an allowed excess is shared out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import manifold3d
import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Array
from geometry.errors import GeometryError
from geometry.solids import Mesh

NUDGE_MM: Final = 1e-3
"""How far a corner is moved that would fall together with another, or in line with its neighbours."""
ROUNDING_MM: Final = 1.2e-3
"""That, and more than any corner moves when its numbers become float32: half of 2^-13 mm for numbers up to 1024."""
FLAT_MM: Final = 2e-5
"""A triangle that is lower has its corners in one line."""
TRIES: Final = 50
STRAYS: Final = 2.0
"""How many tolerances the simplified surface may stray: the library promises one in all, as much again is in hand."""
GOLDEN: Final = 0.6180339887498949
"""Multiples of it fill the way from 0 to 1 evenly and never fall together."""
WIDEST_STEP_RAD: Final = np.pi / 8


@dataclass(frozen=True, slots=True)
class Share:
    """How the excess of an envelope is shared out; with the factors of ``envelope`` the parts add up to less."""

    excess_mm: float

    @property
    def facet_mm(self) -> float:
        """Of a polygon's corners outside its circle."""
        return 0.2 * self.excess_mm

    @property
    def chord_mm(self) -> float:
        """Of a sector's chord within a hollow part; stated apart."""
        return 0.5 * self.excess_mm

    @property
    def bulge_mm(self) -> float:
        """Of a path outside its chord between two poses."""
        return 0.06 * self.excess_mm

    @property
    def swing_mm(self) -> float:
        """Of the hull of two poses turned against each other."""
        return 0.3 * self.excess_mm

    @property
    def tolerance_mm(self) -> float:
        """Of the simplified surface."""
        return 0.045 * self.excess_mm

    @property
    def closing_mm(self) -> float:
        """How far ``closed_mesh`` may move the surface, either way."""
        return STRAYS * self.tolerance_mm + ROUNDING_MM

    def grow_mm(self, piece: int) -> float:
        """How far a piece is grown beforehand, so that closing never cuts into it.

        Every piece a little otherwise: faces of two pieces that lie in one plane would leave slivers between them.
        """
        return self.closing_mm * (1.0 + 0.25 * (piece * GOLDEN % 1.0))

    def step_rad(self, radius_mm: float) -> float:
        """Half the angle between two corners of a polygon around a circle."""
        if radius_mm <= self.facet_mm:
            return WIDEST_STEP_RAD
        return float(min(np.arccos(1 / (1 + self.facet_mm / radius_mm)), WIDEST_STEP_RAD))


def closed_mesh(solids: Sequence[manifold3d.Manifold], share: Share) -> tuple[Mesh, float]:
    """The union of solids as a mesh whose corners are float32 numbers, and its volume in mm3.

    Raises
    ------
    GeometryError
        When no closed mesh comes of it.
    """
    whole = _united(solids, share.tolerance_mm / 2)
    if whole.status() != manifold3d.Error.NoError or whole.volume() <= 0:
        raise _open(f"the swept solid does not close ({whole.status().name})")
    found = whole.simplify(share.tolerance_mm / 2).to_mesh64()
    triangles = np.asarray(found.tri_verts).astype(np.int32)
    vertices = _settled(np.asarray(found.vert_properties)[:, :3], triangles)
    if not is_closed(vertices, triangles):
        raise _open("the swept solid does not stay closed when its corners are rounded")
    corners = vertices[triangles]
    volume = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])).sum() / 6
    return Mesh(vertices, triangles), float(volume)


def _united(solids: Sequence[manifold3d.Manifold], tolerance_mm: float) -> manifold3d.Manifold:
    """The union of solids, neighbours first, simplified from round to round by a tolerance in all.

    Neighbours are steps of one motion and nearly the same, so that little is left of each pair.
    """
    rounds = max(1, int(np.ceil(np.log2(len(solids)))))
    parts = list(solids)
    while len(parts) > 1:
        pairs = [parts[k : k + 2] for k in range(0, len(parts), 2)]
        # as one original: faces of different pieces that lie in one plane become one face
        parts = [
            manifold3d.Manifold.batch_boolean(pair, manifold3d.OpType.Add)
            .as_original()
            .simplify(tolerance_mm / rounds)
            for pair in pairs
        ]
    return parts[0]


def _open(what: str) -> GeometryError:
    return GeometryError("envelope_open", "--excess", what, "ask for another excess")


def _settled(vertices: Array, triangles: NDArray[np.int32]) -> Array:
    """Corners as float32 numbers, no two in one place and no three of a triangle in one line.

    A reader makes one corner of all that stand in one place, and four triangles may then meet in an edge: corners
    that would be taken for others, and the middle ones of triangles without a height, are moved a little.
    """
    rng, settled = np.random.default_rng(0), vertices.astype(np.float32).astype(float)
    for _ in range(TRIES):
        first = np.unique(settled, axis=0, return_index=True)[1]
        same = np.setdiff1d(np.arange(len(settled)), first)
        a, b, c = (settled[triangles[:, k]] for k in range(3))
        sides = np.stack([np.linalg.norm(p - q, axis=1) for p, q in ((b, c), (c, a), (a, b))])
        (flat,) = np.nonzero(np.linalg.norm(np.cross(b - a, c - a), axis=1) < FLAT_MM * sides.max(axis=0))
        moved = np.union1d(same, triangles[flat, sides[:, flat].argmax(axis=0)])
        if not len(moved):
            break
        way = rng.normal(size=(len(moved), 3))
        way *= NUDGE_MM / np.linalg.norm(way, axis=1)[:, None]
        settled[moved] = (vertices[moved] + way).astype(np.float32)
    return settled


def is_closed(vertices: Array, triangles: NDArray[np.int32]) -> bool:
    """Whether every edge is run along once each way by two triangles, and every triangle has an area."""
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    if not len(triangles) or not (np.linalg.norm(np.cross(b - a, c - a), axis=1) > 0).all():
        return False
    edges = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    codes = edges[:, 0].astype(np.int64) * len(vertices) + edges[:, 1]
    back = edges[:, 1].astype(np.int64) * len(vertices) + edges[:, 0]
    return len(np.unique(codes)) == len(codes) and bool(np.isin(codes, back).all())
