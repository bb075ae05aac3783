"""The room that panels leave to the engine: as large as it can be with nothing of the engine behind a panel. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import product

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from geometry.arrays import Array, Mask
from geometry.assembly import Assembly
from geometry.kinematics.poses import transform
from geometry.solids import Mesh
from viewer.scene import Scene
from viewer.scene.model import Framing
from viewer.scene.placing import Rectangle
from viewer.scene.views import BORE_VIEWS, Free, aim, project

STEPS = 4
"""Places tried between a window's edge and the far side of a panel."""
DIRECTIONS = 96
TURN_STEP_DEG = 45.0
GAP_PX = 4.0


def outline(scene: Scene, assembly: Assembly) -> Array:
    """Points (n, 3) in E that reach about as far as everything on show does over a turn, whichever way one looks.

    They are the same at every crank angle, so that the picture stands still while the crank turns.
    """
    if scene.options.view.split()[0] in BORE_VIEWS:  # part of the engine fills these to their edges
        return scene.framing.points_mm
    frames: dict[str, list[Array]] = {}
    for item in scene.items:
        if item.visible and len(item.mesh.vertices):
            frames.setdefault(item.frame, []).append(transform(item.X_FA, _outermost(item.mesh)))
    poses = assembly.frame_poses(np.arange(0.0, 360.0, TURN_STEP_DEG))
    found = [scene.framing.points_mm[:0]]
    for frame, parts in frames.items():
        points = _farthest(np.vstack(parts))
        found.append(points if frame == "E" else transform(poses[frame], points).reshape(-1, 3))
    return _farthest(np.vstack(found), 4 * DIRECTIONS)


@lru_cache(maxsize=512)
def _outermost(mesh: Mesh) -> Array:
    return _farthest(mesh.vertices)


def _farthest(points: Array, count: int = DIRECTIONS) -> Array:
    """Those points that lie farthest in one of so many directions, spread evenly over the sphere by a spiral."""
    if not len(points):
        return points
    turn = np.arange(count) * np.pi * (3.0 - np.sqrt(5.0))
    z = np.linspace(-1.0, 1.0, count)
    around = np.sqrt(1.0 - z**2)
    directions = np.column_stack([around * np.cos(turn), around * np.sin(turn), z])
    return np.asarray(points[np.unique(np.argmax(points @ directions.T, axis=0))])


@lru_cache(maxsize=16)
def room(framing: Framing, size_px: tuple[int, int], boxes: tuple[Rectangle, ...], foot_px: float) -> Free:
    """The part of a window for what a framing holds: none of it behind a box, and as large as that allows.

    Parameters
    ----------
    boxes : what stands before the engine, the most important first: where it cannot be clear of all, the last may
        cover it
    foot_px : height of what stands along the bottom
    """
    aspect = size_px[0] / size_px[1]
    seen = project(aim(framing, aspect), size_px, framing.points_mm)[:, :2]
    frees = np.array(_frees(size_px, boxes, foot_px))
    scale, shift = _placed(seen, frees * np.tile(size_px, 2), framing.margin)
    order = np.argsort(-scale, kind="stable")
    for count in range(len(boxes), 0, -1):
        likely = _clear(seen, scale, shift, boxes[:count])
        for number in (n for n in order if likely[n]):
            free: Free = tuple(frees[number].tolist())
            exact = project(aim(framing, aspect, free), size_px, framing.points_mm)[:, :2]
            if _clear(exact, np.ones(1), np.zeros((1, 2)), boxes[:count])[0]:
                return free
    largest: Free = tuple(frees[order[0]].tolist())
    return largest


def _placed(seen_px: Array, frees_px: Array, margin: float) -> tuple[Array, Array]:
    """By how much a picture is shrunk and moved to fill parts (n, 4) of it: factors (n,), and px (n, 2).

    That is exact without perspective, and near enough with it to choose by.
    """
    low, high = seen_px.min(axis=0), seen_px.max(axis=0)
    sizes = (frees_px[:, 2:] - frees_px[:, :2]) * (1.0 - 2.0 * margin)
    scale = (sizes / np.maximum(high - low, 1e-9)).min(axis=1)
    middle = (frees_px[:, :2] + frees_px[:, 2:]) / 2
    return scale, middle - scale[:, None] * (low + high) / 2


def _frees(size_px: tuple[int, int], boxes: Sequence[Rectangle], foot_px: float) -> list[Free]:
    """Parts of the window that end at an edge, on the far side of a box, or between."""
    width, height = size_px
    ends = [
        ([box.left + box.width for box in boxes if box.centre[0] < width / 2], 0.0, 0.45 * width),
        (
            [box.bottom + box.height for box in boxes if box.centre[1] < height / 2],
            foot_px,
            foot_px + 0.3 * height,
        ),
        ([box.left for box in boxes if box.centre[0] >= width / 2], float(width), 0.5 * width),
        ([box.bottom for box in boxes if box.centre[1] >= height / 2], float(height), 0.55 * height),
    ]
    sides = []
    for found, edge, farthest in ends:
        way = [
            (end - edge) / (farthest - edge) for end in found if 0.0 < (end - edge) / (farthest - edge) <= 1.0
        ]
        far = edge + max(way, default=0.0) * (farthest - edge)
        sides.append(np.unique(np.linspace(edge, far, STEPS + 1 if way else 1)))
    lefts, lows, rights, tops = sides
    return [
        (x / width, y / height, r / width, t / height) for x, y, r, t in product(lefts, lows, rights, tops)
    ]


def _clear(points_px: Array, scale: Array, shift_px: Array, boxes: Sequence[Rectangle]) -> Mask:
    """Whether the outline of points keeps off every box, for each of n ways to shrink and move them."""
    try:
        sides = ConvexHull(points_px).equations
    except (QhullError, ValueError):
        return np.ones(len(scale), dtype=bool)
    normals = np.vstack([sides[:, :2], np.eye(2), -np.eye(2)])
    farthest = (points_px @ normals.T).max(axis=0)
    clear = np.ones(len(scale), dtype=bool)
    for box in boxes:
        corners = (box.corners - shift_px[:, None]) / scale[:, None, None]
        over = (corners @ normals.T - farthest).min(axis=1)
        clear &= (over * scale[:, None] >= GAP_PX).any(axis=1)
    return clear
