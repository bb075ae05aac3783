"""The solids cut by one plane: true outlines of every part in it, for drawings to scale."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Final

import numpy as np

from geometry.assembly import Assembly
from geometry.parts.part import Part
from geometry.parts.shapes.convex import region
from viewer.explained.pen import Ground, Xy

if TYPE_CHECKING:
    from manifold3d import CrossSection, Manifold

    from geometry.arrays import Array

GROUNDS: Final[dict[str, Ground]] = {
    "block": "block", "main_cap": "block", "pan": "block", "crank": "crank", "cam": "crank", "rod": "rod",
    "rod_cap": "cap", "rod_bolt": "bolt", "bearing_shell": "shell", "piston": "piston",
}  # fmt: skip
"""How the cut faces of a kind of part are drawn"""


@dataclass(frozen=True, slots=True, eq=False)
class SectionPlane:
    """A plane through the engine, looked at square.

    Attributes
    ----------
    origin_mm : (3,) in the engine frame, where the drawing has its origin
    right, up : (3,) unit vectors in the engine frame, square to each other
    """

    origin_mm: Array
    right: Array
    up: Array

    def at(self, point_E_mm: Array | tuple[float, float, float]) -> Xy:
        """A point of the engine in the drawing, seen square to the plane."""
        from_origin = np.asarray(point_E_mm, dtype=float) - self.origin_mm
        return float(from_origin @ self.right), float(from_origin @ self.up)

    def cut(self, assembly: Assembly, name: str, crank_deg: float) -> CrossSection:
        """The cut face of a body at a crank angle; empty where its mesh is not closed."""
        solid = _solid(assembly.body(name).part)
        if solid is None:
            return region()
        X_DE = np.eye(4)  # the drawing's frame D: right, up, towards the eye
        X_DE[:3, :3] = np.vstack([self.right, self.up, np.cross(self.right, self.up)])
        X_DE[:3, 3] = -X_DE[:3, :3] @ self.origin_mm
        X_DA = X_DE @ assembly.pose(name, crank_deg)
        return solid.transform(np.ascontiguousarray(X_DA[:3, :4])).slice(0.0)


@lru_cache(maxsize=64)
def _solid(part: Part) -> Manifold | None:
    from viewer.scene.solid import as_solid

    return as_solid(part.mesh)


def along_axis(origin_mm: Array, axis: Array, across: Array) -> SectionPlane:
    """A plane through an axis, which stands upright in the drawing, seen from the front as far as it can be.

    Parameters
    ----------
    origin_mm : (3,) a point of the axis
    axis : (3,) its direction, upwards in the drawing
    across : (3,) another direction in the plane
    """
    up = axis / np.linalg.norm(axis)
    right = across - (across @ up) * up
    right /= np.linalg.norm(right)
    if np.cross(right, up)[0] > 0.0:  # the eye stands in front of the engine, at -x
        right = -right
    return SectionPlane(np.asarray(origin_mm, dtype=float), right, up)
