"""Light for metal: a studio painted in numbers, since metal shows little but what it mirrors."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from vtkmodules.vtkCommonDataModel import vtkImageData
from vtkmodules.vtkRenderingCore import vtkLight, vtkRenderer, vtkTexture
from vtkmodules.vtkRenderingOpenGL2 import vtkOpenGLRenderer

from geometry.arrays import Array
from viewer.draw.vtk_calls import to_vtk
from viewer.looks import BACKGROUND_HIGH, BACKGROUND_LOW

ENVIRONMENT_ROWS = 64
PREFILTER_SAMPLES, PREFILTER_LEVELS = 96, 5
TABLE_TEXELS, TABLE_SAMPLES = 128, 128
"""Work done once for the first picture; at the library's own figures it takes seconds without a graphics card."""


@dataclass(frozen=True, slots=True)
class Softbox:
    """A bright panel on the sky or the floor: centre and half sizes in degrees, brightness, and tint."""

    azimuth_deg: float
    height_deg: float
    half_width_deg: float
    half_height_deg: float
    brightness: float
    tint: tuple[float, float, float] = (1.0, 1.0, 1.0)


# Azimuth 0 is behind the eye, 90 to its right. Key over the left shoulder and a low one beside it for walls that stand
# upright, a bounce from the floor under the eye, a cool fill from the right, strips beyond for the rims, and a soft
# ceiling for the crowns.
SOFTBOXES = (
    Softbox(-52.0, 40.0, 26.0, 20.0, 3.0, (1.0, 0.985, 0.95)),
    Softbox(-78.0, 6.0, 14.0, 34.0, 1.8),
    Softbox(-30.0, -16.0, 34.0, 16.0, 0.9),
    Softbox(70.0, 30.0, 16.0, 26.0, 2.6, (0.94, 0.97, 1.0)),
    Softbox(-125.0, 22.0, 16.0, 30.0, 3.6, (0.95, 0.98, 1.0)),
    Softbox(160.0, 34.0, 40.0, 9.0, 2.8),
    Softbox(0.0, 84.0, 180.0, 12.0, 1.5),
)
SKY_LOW, SKY_HIGH = 0.30, 0.62
FLOOR = (0.40, 0.395, 0.39)
SOFTNESS_DEG = 3.5


def environment() -> Array:
    """The studio as an image: (64, 128, 3) linear light, rows from the zenith down, columns by azimuth."""
    rows, columns = ENVIRONMENT_ROWS, 2 * ENVIRONMENT_ROWS
    height = np.linspace(90.0, -90.0, rows)[:, None]
    azimuth = np.linspace(-180.0, 180.0, columns, endpoint=False)[None, :]
    rise = np.clip((height + 10.0) / 100.0, 0.0, 1.0) ** 1.2
    sky = (SKY_LOW + (SKY_HIGH - SKY_LOW) * rise + np.zeros_like(azimuth))[..., None] * [0.97, 0.99, 1.03]
    fade = 0.45 + 0.55 * np.exp(np.minimum(height, 0.0) / 30.0)
    floor = (fade + np.zeros_like(azimuth))[..., None] * FLOOR
    light = np.where((height < -4.0)[..., None], floor, sky)
    for box in SOFTBOXES:
        aside = (azimuth - box.azimuth_deg + 180.0) % 360.0 - 180.0
        inside = _soft(box.half_width_deg - np.abs(aside)) * _soft(
            box.half_height_deg - np.abs(height - box.height_deg)
        )
        light = light + (box.brightness * inside)[..., None] * box.tint
    return np.asarray(light)


def _soft(inside_deg: Array) -> Array:
    return np.asarray(1.0 / (1.0 + np.exp(np.clip(-inside_deg / SOFTNESS_DEG * 2.0, -40.0, 40.0))))


def colour_texture(image: NDArray[Any], *, smooth: bool) -> vtkTexture:
    """An image (rows from the top, columns, channels) as a texture whose numbers are taken as they are."""
    rows, columns, channels = image.shape
    data = vtkImageData()
    data.SetDimensions(columns, rows, 1)
    data.GetPointData().SetScalars(to_vtk(image[::-1].reshape(-1, channels)))
    texture = vtkTexture()
    texture.SetInputData(data)
    texture.SetColorModeToDirectScalars()
    texture.SetInterpolate(smooth)
    texture.SetMipmap(smooth)
    return texture


def light_studio(renderer: vtkOpenGLRenderer) -> None:
    """Put the environment, two lamps for the plain shading of moving frames, and the backdrop in place."""
    renderer.SetEnvironmentTexture(colour_texture(environment().astype(np.float32), smooth=True), False)
    renderer.UseImageBasedLightingOn()
    blurred, table = renderer.GetEnvMapPrefiltered(), renderer.GetEnvMapLookupTable()
    blurred.SetPrefilterMaxSamples(PREFILTER_SAMPLES)
    blurred.SetPrefilterLevels(PREFILTER_LEVELS)
    table.SetLUTSize(TABLE_TEXELS)
    table.SetLUTSamples(TABLE_SAMPLES)
    renderer.SetBackground(*BACKGROUND_LOW)
    renderer.SetBackground2(*BACKGROUND_HIGH)
    renderer.GradientBackgroundOn()
    _lamps(renderer)


ROLLED = 0.4
"""Lean of the eye (sine of its roll) from which the sky leans with it."""


def turn_studio(renderer: vtkOpenGLRenderer, toward: Array, right: Array) -> None:
    """Turn the studio with the eye, so that every view is lit from over the left shoulder.

    Parameters
    ----------
    toward, right : (3,) unit directions in E of the view; the sky stays up unless the view is from above or below,
        or leans with a leaning bore
    """
    sky, up = np.array([0.0, 0.0, 1.0]), np.cross(right, toward)
    if abs(toward @ sky) > 0.9:
        sky = up
    else:
        lean = min(abs(float(right @ sky)) / ROLLED, 1.0)
        sky = (1.0 - lean) * sky + lean * (up - toward) / np.sqrt(2.0)
        sky /= np.linalg.norm(sky)
    level = right - (right @ sky) * sky
    level /= np.linalg.norm(level)
    # The image's middle column must come to lie behind the eye.
    renderer.SetEnvironmentUp(*sky)
    renderer.SetEnvironmentRight(*level)


def _lamps(renderer: vtkRenderer) -> None:
    renderer.RemoveAllLights()
    renderer.AutomaticLightCreationOff()
    for direction, strength in (((-0.45, 0.75, 0.85), 0.75), ((0.85, 0.2, 0.35), 0.35)):
        lamp = vtkLight()
        lamp.SetLightTypeToCameraLight()
        lamp.SetPosition(*direction)
        lamp.SetFocalPoint(0.0, 0.0, 0.0)
        lamp.SetIntensity(strength)
        lamp.PositionalOff()
        renderer.AddLight(lamp)
