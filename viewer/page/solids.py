"""Meshes as bytes: each distinct part once in full and once for motion, on a grid, in an order that packs small.

Of each mesh in turn: coordinates of its vertices (x, y, z), each as the difference from the vertex before; first
corner of each triangle as the difference from the triangle before, second and third from the corner before; a byte of
marks for each triangle. Differences are written without a sign (0, -1, 1, -2 .. as 0, 1, 2, 3 ..), and all of their
low bytes before all of the next higher, so that what is alike stands together.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import reverse_cuthill_mckee

from geometry.arrays import Array
from geometry.solids import Mesh
from viewer.page.shape import PackedData, SolidData
from viewer.scene.shading import coarse, shaded

GRID_MM, STEPS = 0.01, 65535
"""Step of the grid: a coordinate is rounded by half of it at most. A part longer than 655 mm takes a wider one."""
FINE_MM = 0.02
"""How far a surface may lie off the true one while it stands still; its normals hide the facets."""
COARSE_MM = (0.35, 0.5, 0.7)
"""How far a surface may lie off the true one while the crank moves: about a pixel of the whole engine. Whichever gives
the fewest triangles is taken, since thin parts come back in full where the most is asked of them."""
GLASS_MM = 2.0
"""The same of what is drawn as glass: while the crank moves no more of it is seen than its edges."""
MOST_MOVING, MOST_LONG, LONG_MM = 450, 1500, 200.0
"""Triangles of a part while the crank moves, and of one so long (crank, cam), of which there is one: what is left over
is taken where it costs the shape least."""
LEFT_SHARE = 0.45
"""Of its volume that a part must keep, so that no thin one collapses."""
BYTES = 3
"""Of a difference: the third is nearly always zero, and packs to nothing."""
TURNED, OUTSIDE = 8, 16
"""Marks of a triangle: 1, 2 and 4 for a sharp edge behind its corners; bored, turned or ground; no wall before it."""


@dataclass(slots=True)
class Packing:
    """Meshes gathered for one page; equal parts share one, also across variants."""

    solids: list[SolidData] = field(default_factory=list)
    parts: list[bytes] = field(default_factory=list)
    _known: dict[int, int] = field(default_factory=dict)
    _alike: dict[bytes, int] = field(default_factory=dict)
    _kept: list[Mesh] = field(default_factory=list)
    _length: int = 0

    def index_of(self, mesh: Mesh, *, encloses: bool = False) -> int:
        """Number of the solid of a mesh, which is added where it is new.

        Parameters
        ----------
        encloses : whether it is drawn as glass, so that its outside must be known
        """
        known = self._known.get(id(mesh))
        if known is None:
            self._kept.append(mesh)  # so that its id stays its own
            known = self._known[id(mesh)] = self._by_content(mesh, encloses)
        return known

    def share(self, mesh: Mesh, number: int) -> None:
        """Take the solid of this number for a mesh that is the same."""
        self._known[id(mesh)] = number
        self._kept.append(mesh)

    @property
    def data(self) -> bytes:
        """All meshes one behind the other."""
        return b"".join(self.parts)

    def _by_content(self, mesh: Mesh, encloses: bool) -> int:
        content = hashlib.sha256(mesh.vertices.tobytes() + mesh.triangles.tobytes()).digest()
        if content not in self._alike:
            self._alike[content] = len(self.solids)
            fine = coarse(mesh, FINE_MM)
            lean = fewest(fine, encloses)
            self.solids.append({"fine": self._add(fine, encloses), "coarse": self._add(lean, encloses)})
        return self._alike[content]

    def _add(self, mesh: Mesh, encloses: bool) -> PackedData:
        at, marks = self._length, marks_of(mesh, encloses)
        low, step = grid_of(mesh.vertices)
        steps = np.round((mesh.vertices - low) / step).astype(np.int64)
        order, triangles, marks = tidied(mesh.triangles.astype(np.int64), len(steps), marks)
        points = np.diff(steps[order], axis=0, prepend=0)
        corners = np.diff(triangles, axis=1, prepend=0)
        corners[:, 0] = np.diff(triangles[:, 0], prepend=0)
        packed = b"".join(
            [_planes(column) for column in points.T]
            + [_planes(column) for column in corners.T]
            + [marks.tobytes()]
        )
        self.parts.append(packed)
        self._length += len(packed)
        sharp = sum(int(np.count_nonzero(marks & bit)) for bit in (1, 2, 4))
        return {
            "at": at, "vertices": len(steps), "triangles": len(triangles), "edges": sharp // 2,
            "low_mm": [round(float(v), 6) for v in low], "step_mm": [float(v) for v in step],
        }  # fmt: skip


def fewest(fine: Mesh, encloses: bool) -> Mesh:
    """The copy for motion: the one that is drawn soonest."""
    least = LEFT_SHARE * volume_mm3(fine)
    tried = [coarse(fine, off) for off in (*COARSE_MM, *((GLASS_MM,) if encloses else ()))]
    kept = [lean for lean in tried if volume_mm3(lean) >= least]
    lean = min(kept, key=lambda lean: len(lean.triangles), default=fine)
    most = MOST_LONG if np.ptp(lean.vertices, axis=0).max() > LONG_MM else MOST_MOVING
    if encloses or len(lean.triangles) <= most:
        return lean
    fewer = decimated(lean, most)
    return fewer if volume_mm3(fewer) >= least else lean


def decimated(mesh: Mesh, triangles: int) -> Mesh:
    """The same shape with about so many triangles, by quadric errors (Garland and Heckbert, 1997)."""
    import pyvista as pv  # slow to import, and asked for by large parts only

    surface = pv.PolyData.from_regular_faces(mesh.vertices, mesh.triangles.astype(int))
    lean = surface.decimate(1.0 - triangles / len(mesh.triangles), volume_preservation=True)
    return Mesh(np.asarray(lean.points, dtype=float), lean.regular_faces.astype(np.int32))


def volume_mm3(mesh: Mesh) -> float:
    """Volume of a closed mesh, by the tetrahedra from the origin to its triangles."""
    a, b, c = np.moveaxis(mesh.vertices[mesh.triangles], 1, 0)
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)


def grid_of(vertices_mm: Array) -> tuple[Array, Array]:
    """Lower corner and step, (3,) mm each, of the grid that a mesh is rounded to."""
    if not len(vertices_mm):
        return np.zeros(3), np.full(3, GRID_MM)
    low, high = vertices_mm.min(axis=0), vertices_mm.max(axis=0)
    return np.round(low, 6), np.maximum((high - low) / (STEPS - 1), GRID_MM)


def marks_of(mesh: Mesh, encloses: bool) -> NDArray[np.uint8]:
    """What the page must know of each triangle, (m,)."""
    part = shaded(mesh)
    marks = np.zeros((len(mesh.triangles), 3), dtype=np.uint8)
    marks.reshape(-1)[part.halves.ravel()] = 1
    found: NDArray[np.uint8] = (marks * np.array([1, 2, 4], dtype=np.uint8)).sum(axis=1, dtype=np.uint8)
    found[part.turned[part.triangles].all(axis=1)] |= TURNED
    if encloses:
        from viewer.draw.glass import outside  # with the renderer, which only a block needs

        found[outside(mesh)] |= OUTSIDE
    return found


def tidied(
    triangles: NDArray[np.int64], count: int, marks: NDArray[np.uint8]
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.uint8]]:
    """Vertices that touch each other one behind the other, triangles by their corners, each from its lowest.

    Returns
    -------
    order, triangles, marks : (n,) which vertex comes where; (m, 3) and (m,) in their new order
    """
    ends = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    touching = coo_matrix((np.ones(len(ends[0]), dtype=np.int8), ends), shape=(count, count)).tocsr()
    order = reverse_cuthill_mckee(touching, symmetric_mode=True).astype(np.int64)
    place = np.empty(count, dtype=np.int64)
    place[order] = np.arange(count)
    moved = place[triangles]
    first = moved.argmin(axis=1)
    moved = np.take_along_axis(moved, (first[:, None] + np.arange(3)) % 3, axis=1)
    edges = np.stack([(marks >> ((first + k) % 3).astype(np.uint8)) & 1 for k in range(3)], axis=1)
    turned_marks = (edges << np.arange(3, dtype=np.uint8)).sum(axis=1, dtype=np.uint8) | (marks & 0xF8)
    sort = np.lexsort((moved[:, 2], moved[:, 1], moved[:, 0]))
    return order, moved[sort], np.asarray(turned_marks[sort], dtype=np.uint8)


def _planes(differences: NDArray[np.int64]) -> bytes:
    """Differences without a sign, byte by byte, the lowest bytes first."""
    plain = np.where(differences < 0, -2 * differences - 1, 2 * differences)
    return b"".join(((plain >> (8 * k)) & 255).astype(np.uint8).tobytes() for k in range(BYTES))
