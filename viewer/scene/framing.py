"""From where a named view is taken and what it must hold, the same at every crank angle so that films stand still."""

from __future__ import annotations

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.kinematics.poses import transform
from geometry.kinematics.slider_crank import bore_frames
from viewer.scene.arrange import Arranged
from viewer.scene.fillet_view import fillet_framing
from viewer.scene.marks import ring_direction
from viewer.scene.model import Framing, Item
from viewer.scene.signs import OVER_SHARE
from viewer.scene.views import FIXED

TURN_STEP_DEG = 30.0
RINGS_TILT_DEG = 42.0
OPEN_SIDE = (0.62, 0.76, -0.19)
"""The free view of an opened block is taken from lower down, where the cut of a leaning bank is seen."""


def frame_picture(assembly: Assembly, arranged: Arranged, items: tuple[Item, ...]) -> Framing:
    """Looking direction and the points that must be seen."""
    view = arranged.view
    if view.name == "rings":
        return _rings(assembly, arranged, items)
    points = np.vstack([everything(assembly, items), _number_tops(assembly)])
    if view.name == "bore":
        return Framing(
            np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0]), points, parallel=True, margin=0.09
        )
    if view.name == "chamfer":
        options = arranged.options
        return fillet_framing(assembly, view.bore or 0, options.crank_deg, options.half)
    toward, up, _ = FIXED[view.name]
    free = view.name == "iso"
    if free and arranged.options.block == "cut":
        toward = OPEN_SIDE
    return Framing(np.array(toward), np.array(up, dtype=float), points, not free, 0.07 if free else 0.11)


def _number_tops(assembly: Assembly) -> Array:
    """Where the bore numbers end, (n, 3) in E, so that they stand in the picture and off its title."""
    block = assembly.spec.block
    high = np.array([0.0, 0.0, block.deck_height_mm + 1.2 * OVER_SHARE * block.bore.diameter_mm / 2])
    return np.array([transform(X, high) for X in bore_frames(assembly.layout.linkage)])


def everything(assembly: Assembly, items: tuple[Item, ...]) -> Array:
    """Corners of what the visible items can ever fill, over a whole turn, (n, 3) in E."""
    boxes: dict[str, list[Array]] = {}
    for item in items:
        if item.visible and len(item.mesh.vertices):
            corners = transform(item.X_FA, _corners(item.mesh.vertices))
            boxes.setdefault(item.frame, []).append(corners)
    poses = assembly.frame_poses(np.arange(0.0, 360.0, TURN_STEP_DEG))
    found = [np.zeros((0, 3))]
    for frame, corners_of in boxes.items():
        corners = _corners(np.vstack(corners_of))
        found.append(corners if frame == "E" else transform(poses[frame], corners).reshape(-1, 3))
    return np.vstack(found)


def _corners(points: Array) -> Array:
    low, high = points.min(axis=0), points.max(axis=0)
    pick = np.array(np.meshgrid([0, 1], [0, 1], [0, 1])).reshape(3, -1).T
    return np.asarray(np.where(pick, high, low), dtype=float)


def _rings(assembly: Assembly, arranged: Arranged, items: tuple[Item, ...]) -> Framing:
    """From above at an angle, the front of the engine up in the picture, so that the clock reads as drawn."""
    bore = arranged.view.bore or 0
    index = assembly.layout.index(bore)
    X_EB = bore_frames(assembly.linkage)[index]
    tilt = np.radians(RINGS_TILT_DEG)
    toward = X_EB[:3, :3] @ np.array([-np.sin(tilt), 0.0, -np.cos(tilt)])
    up = X_EB[:3, :3] @ np.array([-np.cos(tilt), 0.0, np.sin(tilt)])
    shown = [i for i in items if i.visible and len(i.mesh.vertices)]
    points_P = np.vstack([transform(i.X_FA, i.mesh.vertices) for i in shown])
    radius = 0.75 * assembly.spec.block.bore.diameter_mm
    rim = np.array([radius * ring_direction(a) for a in np.arange(0.0, 360.0, 15.0)])
    rim[:, 2] = assembly.spec.piston.compression_height_mm
    X_EP = assembly.frame_poses(arranged.options.crank_deg)[f"P{bore}"]
    return Framing(toward, up, transform(X_EP, np.vstack([points_P, rim])), parallel=True, margin=0.08)
