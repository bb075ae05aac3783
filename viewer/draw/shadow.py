"""A soft shadow on the floor under the engine, painted once from above."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import gaussian_filter
from vtkmodules.vtkFiltersSources import vtkPlaneSource
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

from viewer.draw.light import colour_texture
from viewer.looks import LOOKS
from viewer.scene import Scene
from viewer.scene.groups import MARK

CELLS = 192
SPREAD = 0.10
"""Softness over the longer side of the engine."""
DARKEST = 0.42
GLASS_SHARE = 0.45
DROP_MM = 2.0


def shadow_actor(scene: Scene) -> vtkActor | None:
    """A plate below everything with a blurred dark spot, seen from above only; None for an empty scene."""
    found, weights, low = [], [], np.inf
    for item in scene.items:
        if not item.visible or not len(item.mesh.triangles):
            continue
        corners = scene.in_engine(item.frame, item.mesh.vertices @ item.X_FA[:3, :3].T + item.X_FA[:3, 3])
        low = min(low, float(corners[:, 2].min()))
        if item.group != MARK:
            found.append(corners[item.mesh.triangles].mean(axis=1)[:, :2])
            weights.append(np.full(len(item.mesh.triangles), GLASS_SHARE if item.opacity < 1 else 1.0))
    if not found:
        return None
    middles = np.vstack(found)
    reach = float(np.ptp(middles, axis=0).max()) * (0.5 + 3.0 * SPREAD)
    centre = (middles.min(axis=0) + middles.max(axis=0)) / 2
    count, _, _ = np.histogram2d(
        middles[:, 1] - centre[1], middles[:, 0] - centre[0], bins=CELLS, range=[[-reach, reach]] * 2,
        weights=np.concatenate(weights),
    )  # fmt: skip
    blur = CELLS * SPREAD / 2 / (1 + 6 * SPREAD)
    dark = gaussian_filter((gaussian_filter((count > 0).astype(float), 1.5) > 0.15).astype(float), blur)
    dark *= DARKEST / max(float(dark.max()), 1e-9)
    return _plate(dark, centre, reach, low - DROP_MM)


def _plate(dark: np.ndarray, centre: np.ndarray, reach: float, z: float) -> vtkActor:
    ink = np.array(LOOKS["ink"].colour) * 255
    texels = np.dstack([np.broadcast_to(ink, (*dark.shape, 3)), dark * 255]).astype(np.uint8)
    x, y = (float(middle) for middle in centre)
    plate = vtkPlaneSource()
    plate.SetOrigin(x - reach, y - reach, z)
    plate.SetPoint1(x + reach, y - reach, z)
    plate.SetPoint2(x - reach, y + reach, z)
    mapper = vtkPolyDataMapper()
    mapper.SetInputConnection(plate.GetOutputPort())
    mapper.ScalarVisibilityOff()
    actor = vtkActor()
    actor.SetMapper(mapper)
    actor.SetTexture(colour_texture(texels[::-1], smooth=True))
    actor.GetProperty().LightingOff()
    actor.GetProperty().BackfaceCullingOn()
    actor.ForceTranslucentOn()
    actor.PickableOff()
    return actor
