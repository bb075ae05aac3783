"""Where the eye is, as a hand moves it: round a point, with a level horizon unless it is rolled on purpose. Pure."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from geometry.arrays import Array
from geometry.checks.troubles import Point
from viewer.scene.sight import direction
from viewer.scene.views import Camera

FULL_DRAG_DEG = 220.0
"""A drag over the height of the picture turns the eye by so much."""
ZOOM_STEP, ZOOM_DRAG = 1.18, 3.0
"""One notch of the wheel, and e to the power of a drag over the height of the picture."""
NEAREST_MM, FARTHEST_MM = 0.2, 20_000.0
FAR_MM = 6_000.0
"""A parallel eye stands so far off that nothing of an engine is behind it."""
AT_POLE = 1e-6
Drag = Literal["turn", "move", "near", "roll"]


@dataclass(frozen=True, slots=True)
class Eye:
    """A camera by the angles that a person turns.

    Attributes
    ----------
    target_mm : what it looks at and turns about, in E
    azimuth_deg : 0 looks rearward, 90 to the engine's right
    elevation_deg : 90 looks straight up, -90 straight down; it never goes beyond
    roll_deg : 0 has a level horizon
    half_mm : half of what the picture shows from bottom to top, at the target
    field_deg : vertical angle of view; 0 without perspective
    centre : where the line of sight meets the picture: 0, 0 its middle, -1 and 1 its edges
    """

    target_mm: Point
    azimuth_deg: float
    elevation_deg: float
    roll_deg: float
    half_mm: float
    field_deg: float
    centre: tuple[float, float] = (0.0, 0.0)


def eye_of(camera: Camera) -> Eye:
    """The same camera by its angles; one that looks straight up or down takes its azimuth from its upright."""
    toward, right = camera.toward, camera.right
    up = np.cross(right, toward)
    flat = toward[:2] if np.hypot(*toward[:2]) > AT_POLE else -np.sign(toward[2]) * up[:2]
    azimuth = float(np.degrees(np.arctan2(flat[1], flat[0])))
    elevation = float(np.degrees(np.arctan2(toward[2], np.hypot(*toward[:2]))))
    level, upright = level_axes(azimuth, elevation)
    roll = float(np.degrees(np.arctan2(up @ level, up @ upright)))
    half, field = camera.half_height_mm, 0.0
    if half is None:
        field = camera.field_deg
        half = float(np.linalg.norm(camera.target_mm - camera.position_mm) * np.tan(np.radians(field / 2)))
    return Eye(_point(camera.target_mm), azimuth, elevation, roll, half, field, camera.centre)


def camera_of(eye: Eye) -> Camera:
    """The camera that stands there."""
    toward, (_, up) = direction(eye.azimuth_deg, eye.elevation_deg), _axes(eye)
    target = np.array(eye.target_mm)
    if eye.field_deg <= 0.0:
        return Camera(target - FAR_MM * toward, target, up, eye.half_mm, centre=eye.centre)
    away = eye.half_mm / np.tan(np.radians(eye.field_deg / 2))
    return Camera(target - away * toward, target, up, None, eye.field_deg, eye.centre)


def dragged(eye: Eye, drag: Drag, right_px: float, up_px: float, height_px: float) -> Eye:
    """The eye after a drag by so many pixels in a picture of that height."""
    if drag == "turn":
        return turned(eye, right_px / height_px, up_px / height_px)
    if drag == "move":
        return moved(eye, right_px / height_px, up_px / height_px)
    if drag == "near":
        return nearer(eye, float(np.exp(ZOOM_DRAG * up_px / height_px)))
    return rolled(eye, -FULL_DRAG_DEG * right_px / height_px)


def turned(eye: Eye, right: float, up: float) -> Eye:
    """Take the engine by its near side and turn it: by shares of the picture's height, about what is looked at."""
    roll = np.radians(eye.roll_deg)
    along = right * np.cos(roll) + up * np.sin(roll)
    over = up * np.cos(roll) - right * np.sin(roll)
    azimuth = (eye.azimuth_deg - FULL_DRAG_DEG * along + 180.0) % 360.0 - 180.0
    elevation = float(np.clip(eye.elevation_deg + FULL_DRAG_DEG * over, -90.0, 90.0))
    return replace(eye, azimuth_deg=float(azimuth), elevation_deg=elevation)


def moved(eye: Eye, right: float, up: float) -> Eye:
    """Take the engine along with the hand, by shares of the picture's height."""
    across, upright = _axes(eye)
    target = np.array(eye.target_mm) - 2.0 * eye.half_mm * (right * across + up * upright)
    return replace(eye, target_mm=_point(target))


def nearer(eye: Eye, times: float, at: tuple[float, float] = (0.0, 0.0)) -> Eye:
    """See everything so many times as large; what lies under a point of the picture stays there.

    ``at`` is that point, from where the line of sight meets the picture, in shares of the picture's height.
    """
    half = float(np.clip(eye.half_mm / times, NEAREST_MM, FARTHEST_MM))
    kept = 1.0 - half / eye.half_mm
    return replace(moved(eye, -at[0] * kept, -at[1] * kept), half_mm=half)


def rolled(eye: Eye, by_deg: float) -> Eye:
    """Tilt the horizon, on purpose."""
    return replace(eye, roll_deg=(eye.roll_deg + by_deg + 180.0) % 360.0 - 180.0)


def between(start: Eye, end: Eye, share: float) -> Eye:
    """A place on the way from one eye to another: 0 at the start, 1 at the end, slow at both.

    Sizes change by equal ratios, angles go the short way round; a perspective opens or closes on the way.
    """
    if share >= 1.0:
        return end
    t = max(share, 0.0)
    t = t * t * (3.0 - 2.0 * t)

    def mix(a: float, b: float) -> float:
        return a + (b - a) * t

    def angle(a: float, b: float) -> float:
        return a + ((b - a + 180.0) % 360.0 - 180.0) * t

    slopes = [float(np.tan(np.radians(one.field_deg / 2))) for one in (start, end)]
    return Eye(
        _point(np.array(start.target_mm) * (1.0 - t) + np.array(end.target_mm) * t),
        angle(start.azimuth_deg, end.azimuth_deg),
        mix(start.elevation_deg, end.elevation_deg),
        angle(start.roll_deg, end.roll_deg),
        float(np.exp(mix(np.log(start.half_mm), np.log(end.half_mm)))),
        float(2.0 * np.degrees(np.arctan(mix(*slopes)))),
        (mix(start.centre[0], end.centre[0]), mix(start.centre[1], end.centre[1])),
    )


def level_axes(azimuth_deg: float, elevation_deg: float) -> tuple[Array, Array]:
    """Right and up, in E, of a picture with a level horizon."""
    azimuth = np.radians(azimuth_deg)
    right = np.array([np.sin(azimuth), -np.cos(azimuth), 0.0])
    return right, np.cross(right, direction(azimuth_deg, elevation_deg))


def _axes(eye: Eye) -> tuple[Array, Array]:
    """Right and up of its picture in E."""
    right, up = level_axes(eye.azimuth_deg, eye.elevation_deg)
    roll = np.radians(eye.roll_deg)
    return np.cos(roll) * right - np.sin(roll) * up, np.cos(roll) * up + np.sin(roll) * right


def _point(at: Array) -> Point:
    return float(at[0]), float(at[1]), float(at[2])
