"""Named views and the cameras that make them. Nothing is mirrored: pictures are taken from outside, upright."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from geometry.arrays import Array
from geometry.errors import refused
from geometry.kinematics.layout import Layout
from viewer.scene.model import Framing

FIXED: dict[str, tuple[tuple[float, float, float], tuple[float, float, float], str]] = {
    # name: looking direction in E, up in the picture, in words
    "front": ((1, 0, 0), (0, 0, 1), "from the front, looking rearward"),
    "rear": ((-1, 0, 0), (0, 0, 1), "from the rear, looking forward"),
    "left": ((0, 1, 0), (0, 0, 1), "from the engine's left"),
    "right": ((0, -1, 0), (0, 0, 1), "from the engine's right"),
    "top": ((0, 0, -1), (-1, 0, 0), "from above, front up"),
    "below": ((0, 0, 1), (-1, 0, 0), "from below, front up"),
    "iso": ((0.80, 0.66, -0.50), (0, 0, 1), "from the left front, above"),
}
SIDE_WORDS = {"side": "left", "back": "rear", "bottom": "below", "above": "top"}
BORE_VIEWS = {
    # name: in words, with the bore's number behind
    "bore": "looking rearward at bore",
    "rings": "ring gaps of bore",
    "chamfer": "chamfer and fillet of bore",
}
FIELD_DEG = 26.0
"""Vertical angle of view in perspective: long enough that nothing near looks swollen."""


@dataclass(frozen=True, slots=True)
class NamedView:
    """A view by name: one of ``FIXED``, or one of ``BORE_VIEWS`` with the builder's number of its bore."""

    name: str
    bore: int | None = None


def read_view(text: str, layout: Layout) -> NamedView:
    """Understand the name of a view.

    Raises
    ------
    InputError
        When there is no such view or no such bore.
    """
    words = text.strip().lower()
    words = SIDE_WORDS.get(words, words)
    if words in FIXED:
        return NamedView(words)
    numbers = {str(site.bore): site.bore for site in layout.bores}
    found = re.fullmatch(r"(\w+)\s*[ :=]?\s*(\d+)", words)
    if found and found[1] in BORE_VIEWS:
        number = found[2].lstrip("0")  # compared as it is written: it may have any number of digits
        if number not in numbers:
            known = ", ".join(str(n) for n in sorted(numbers.values()))
            raise refused("", "view", f"there is no bore {found[2]}", f"one of {known}")
        return NamedView(found[1], numbers[number])
    example = min(numbers.values())
    raise refused(
        "",
        "view",
        f"there is no view '{text.strip()}'",
        f"{', '.join(FIXED)}, bore {example}, rings {example} or chamfer {example}",
    )


@dataclass(frozen=True, slots=True, eq=False)
class Camera:
    """Where the eye is. ``half_height_mm`` is half of what a parallel camera sees; None with perspective."""

    position_mm: Array
    target_mm: Array
    up: Array
    half_height_mm: float | None
    field_deg: float = FIELD_DEG
    centre: tuple[float, float] = (0.0, 0.0)
    """Where the line of sight meets the picture: 0, 0 its middle, -1 and 1 its edges."""

    @property
    def toward(self) -> Array:
        """Unit looking direction in E."""
        way = self.target_mm - self.position_mm
        return np.asarray(way / np.linalg.norm(way))

    @property
    def right(self) -> Array:
        """Unit direction in E that points right in the picture."""
        return _axes(self)[0]


@lru_cache(maxsize=8)
def _axes(camera: Camera) -> tuple[Array, Array, Array]:
    """Unit directions right, up and away in the picture: asked of one camera many times for each picture."""
    toward = camera.toward
    right = np.cross(toward, camera.up)
    right /= np.linalg.norm(right)
    return right, np.cross(right, toward), toward


Free = tuple[float, float, float, float]
"""Part of a picture that is free for the subject: left, bottom, right, top, as shares of width and height."""
WHOLE: Free = (0.0, 0.0, 1.0, 1.0)


def aim(framing: Framing, aspect: float, free: Free = WHOLE) -> Camera:
    """Place a camera so that every point of the framing is in the picture, as large as the margin lets it.

    Parameters
    ----------
    framing : direction, up and points
    aspect : width of the picture over its height
    free : the part of the picture to use; panels cover the rest
    """
    wide, high = free[2] - free[0], free[3] - free[1]
    camera = _aimed(framing, aspect * wide / high)
    half = camera.half_height_mm
    field = 2.0 * np.degrees(np.arctan(np.tan(np.radians(FIELD_DEG / 2)) / high))
    return replace(
        camera,
        half_height_mm=None if half is None else half / high,
        field_deg=float(field),
        centre=(free[0] + free[2] - 1.0, free[1] + free[3] - 1.0),
    )


def _aimed(framing: Framing, aspect: float) -> Camera:
    toward = framing.toward / np.linalg.norm(framing.toward)
    right = np.cross(toward, framing.up)
    right /= np.linalg.norm(right)
    up = np.cross(right, toward)
    local = framing.points_mm @ np.column_stack([right, up, toward])
    low, high = local.min(axis=0), local.max(axis=0)
    middle = (low + high) / 2
    free = 1.0 - 2.0 * framing.margin
    depth = float(high[2] - low[2])
    if framing.parallel:
        half = float(max((high[1] - low[1]) / 2, (high[0] - low[0]) / 2 / aspect)) / free
        target = right * middle[0] + up * middle[1] + toward * middle[2]
        return Camera(target - toward * (depth + 10 * half), target, up, half)
    slope = np.tan(np.radians(FIELD_DEG / 2)) * free
    return _perspective(local, (right, up, toward), middle, (slope * aspect, slope))


def _perspective(
    local: Array, axes: tuple[Array, Array, Array], middle: Array, slopes: tuple[float, float]
) -> Camera:
    """The nearest camera that sees all points: along each axis the two outermost sight lines decide."""
    eye, back = middle.copy(), []
    for axis, slope in enumerate(slopes):
        over = float((local[:, axis] - slope * local[:, 2]).max())
        under = float((-local[:, axis] - slope * local[:, 2]).max())
        eye[axis] = (over - under) / 2
        back.append(-(over + under) / 2 / slope)
    eye[2] = min(back)
    right, up, toward = axes
    position = right * eye[0] + up * eye[1] + toward * eye[2]
    return Camera(position, position + toward * (middle[2] - eye[2]), up, None)


def project(camera: Camera, size_px: tuple[int, int], points_mm: Array) -> Array:
    """Where points of E land in the picture.

    Parameters
    ----------
    points_mm : (n, 3) float

    Returns
    -------
    (n, 3) float : pixels from the left, pixels from the bottom, and distance in front of the eye in mm
    """
    width, height = size_px
    away = points_mm - camera.position_mm
    right, up, toward = _axes(camera)
    depth = away @ toward
    if camera.half_height_mm is not None:
        scale = np.full(len(points_mm), height / 2 / camera.half_height_mm)
    else:
        scale = height / 2 / np.tan(np.radians(camera.field_deg / 2)) / np.maximum(depth, 1e-6)
    middle = width / 2 * (1.0 + camera.centre[0]), height / 2 * (1.0 + camera.centre[1])
    return np.column_stack([middle[0] + scale * (away @ right), middle[1] + scale * (away @ up), depth])
