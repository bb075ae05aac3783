"""Which faces of a part are its outside: of a part that is drawn as glass nothing else is shown.

A block has some ten walls behind one another where one looks through it: water jacket, barrels, webs. Each dims what
is behind it a little and draws its edges over all others.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from vtkmodules.vtkCommonCore import reference
from vtkmodules.vtkCommonDataModel import vtkStaticCellLocator

from geometry.arrays import Mask
from geometry.solids import Mesh

OFF_MM = 0.05
"""How far before its face a ray begins, so that it does not meet that face."""
TOLERANCE_MM = 1e-6


@lru_cache(maxsize=256)
def outside(mesh: Mesh) -> Mask:
    """Whether each triangle (m,) looks out: a ray square to its middle meets nothing more of the part."""
    found: NDArray[np.bool_] = np.ones(len(mesh.triangles), dtype=bool)
    if not found.size:
        return found
    corners = mesh.vertices[mesh.triangles]
    middle = corners.mean(axis=1)
    square = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    square /= np.maximum(np.linalg.norm(square, axis=1, keepdims=True), 1e-12)
    reach = 2.0 * float(np.ptp(mesh.vertices, axis=0).max())
    locator = vtkStaticCellLocator()
    locator.SetDataSet(pv.PolyData.from_regular_faces(mesh.vertices, mesh.triangles.astype(int)))
    locator.BuildLocator()
    at, point, place, part = reference(0.0), [0.0] * 3, [0.0] * 3, reference(0)
    rays = zip((middle + OFF_MM * square).tolist(), (middle + reach * square).tolist(), strict=True)
    for number, (start, end) in enumerate(rays):
        found[number] = not locator.IntersectWithLine(start, end, TOLERANCE_MM, at, point, place, part)  # type: ignore[call-overload]
    return found
