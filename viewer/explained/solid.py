"""A half that is a picture of the solids: drawn without a word by the renderer, lettered like every other half."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from viewer.explained.pen import Pen, Xy
from viewer.scene import Camera, Scene, ViewOptions, build_scene
from viewer.scene.views import aim, project


class Solids:
    """Pictures of scenes from one camera, and where points of the engine land in them.

    Parameters
    ----------
    pen : of the half
    camera : the one of the other half, where it was drawn already
    """

    def __init__(self, pen: Pen, camera: Camera) -> None:
        self.pen, self.camera = pen, camera
        wide, high = pen.size_in
        dpi = pen.axis.figure.dpi
        self.size_px = max(64, round(wide * dpi)), max(64, round(high * dpi))

    def show(self, scene: Scene) -> None:
        """Draw the scene over the half."""
        from viewer.pictures.media import draw_from

        bare = replace(scene, labels=(), callouts=(), caption=(), grounded=False)
        picture = draw_from(bare, self.camera, self.size_px)
        width, height = self.size_px
        self.pen.axis.imshow(picture, extent=(0.0, width, 0.0, height), zorder=1, interpolation="antialiased")
        self.pen.axis.set_xlim(0.0, width)
        self.pen.axis.set_ylim(0.0, height)
        self.pen.axis.set_axis_off()

    def at(self, point_E_mm: Array | tuple[float, float, float]) -> Xy:
        """Where a point of the engine frame lies in the half, px from its lower left."""
        x, y, _ = project(self.camera, self.size_px, np.array([point_E_mm], dtype=float))[0]
        return float(x), float(y)


def solids_for(pen: Pen, scene: Scene) -> Solids:
    """The half of a scene, seen as the scene wants to be seen."""
    wide, high = pen.size_in
    return Solids(pen, aim(scene.framing, wide / high))


def framed(scene: Scene, middle_E_mm: Array, reach_mm: float) -> Scene:
    """The same scene seen near: so much round a point, which comes to stand in the middle."""
    corners = middle_E_mm + reach_mm * np.array(
        [[i, j, k] for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)], dtype=float
    )
    return replace(scene, framing=replace(scene.framing, points_mm=corners))


def scene_at(assembly: Assembly, options: ViewOptions) -> Scene:
    """The scene of one half; bodies that are picked out and not there are left out of the options."""
    names = {body.name for body in assembly.bodies}
    return build_scene(
        assembly, replace(options, highlight=frozenset(name for name in options.highlight if name in names))
    )
