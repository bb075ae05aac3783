"""Meshes as bytes: each distinct part once in full and once for motion, on a grid of 16 bits."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from geometry.arrays import Array
from geometry.solids import Mesh
from viewer.page.shape import PackedData, SolidData
from viewer.scene.shading import coarse

STEPS = 65535
COARSE_MM = 0.35
"""How far a surface may lie off the true one while the crank moves."""


@dataclass(slots=True)
class Packing:
    """Meshes gathered for one page; equal parts share one."""

    solids: list[SolidData] = field(default_factory=list)
    parts: list[bytes] = field(default_factory=list)
    _known: dict[int, int] = field(default_factory=dict)
    _kept: list[Mesh] = field(default_factory=list)

    def index_of(self, mesh: Mesh) -> int:
        """Number of the solid of a mesh, which is added where it is new."""
        known = self._known.get(id(mesh))
        if known is None:
            known = self._known[id(mesh)] = len(self.solids)
            self._kept.append(mesh)  # so that its id stays its own
            self.solids.append({"fine": self._add(mesh), "coarse": self._add(coarse(mesh, COARSE_MM))})
        return known

    def share(self, mesh: Mesh, number: int) -> None:
        """Take the solid of this number for a mesh that is the same."""
        self._known[id(mesh)] = number
        self._kept.append(mesh)

    @property
    def data(self) -> bytes:
        """All meshes one behind the other."""
        return b"".join(self.parts)

    def _add(self, mesh: Mesh) -> PackedData:
        at = sum(len(part) for part in self.parts)
        low, step = grid_of(mesh.vertices)
        steps = np.round((mesh.vertices - low) / step).astype("<u2")
        wide = mesh.triangles.astype("<u4")
        self.parts += [b"\0" * (-at % 4), steps.tobytes(), b"\0" * (-steps.nbytes % 4), wide.tobytes()]
        return {
            "at": at + (-at % 4), "vertices": len(steps), "triangles": len(wide), "edges": 0,
            "low_mm": [float(v) for v in low], "step_mm": [float(v) for v in step],
        }  # fmt: skip


def grid_of(vertices_mm: Array) -> tuple[Array, Array]:
    """Lower corner and step, (3,) mm each, of the grid that a mesh is rounded to."""
    low, high = vertices_mm.min(axis=0), vertices_mm.max(axis=0)
    return low, np.maximum(high - low, 1e-6) / STEPS
