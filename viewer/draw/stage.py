"""Puts a scene into a part of a window and keeps it there: show, move, look from somewhere else, take a picture."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from vtkmodules.vtkCommonMath import vtkMatrix4x4
from vtkmodules.vtkRenderingCore import vtkActor, vtkCellPicker, vtkRenderWindow, vtkWindowToImageFilter
from vtkmodules.vtkRenderingOpenGL2 import vtkOpenGLRenderer

from geometry.arrays import Array
from viewer.draw.batches import Batch, grouped, line_actor, make_batch
from viewer.draw.light import light_studio, turn_studio
from viewer.draw.overlay import DPI, Overlay, measure
from viewer.draw.shadow import shadow_actor
from viewer.draw.sheet_picture import SheetPicture
from viewer.draw.vtk_calls import from_vtk
from viewer.draw.vtk_log import route_to_logging
from viewer.looks import LOOKS
from viewer.scene import Camera, Item, Scene, aim
from viewer.scene.lettering import letter, letter_caption
from viewer.scene.placing import Rectangle
from viewer.scene.views import WHOLE, Free

Picture = NDArray[np.uint8]


class Stage:
    """A scene in one renderer of a window.

    Parameters
    ----------
    window, renderer : the window, and the part of it to draw in
    """

    def __init__(self, window: vtkRenderWindow, renderer: vtkOpenGLRenderer) -> None:
        route_to_logging()
        self.window = window
        self.renderer = renderer
        self.scene: Scene | None = None
        self.moving = False
        self._batches: dict[tuple[object, ...], Batch] = {}
        self._lines: dict[str, list[vtkActor]] = {}
        self._matrices: dict[str, vtkMatrix4x4] = {}
        self._shadow: vtkActor | None = None
        self.sheet = SheetPicture(self.renderer)
        self.overlay = Overlay(self.renderer)
        window.SetDPI(DPI)
        light_studio(self.renderer)

    def show(self, scene: Scene) -> None:
        """Draw this scene in place of the one before; batches that stay the same are kept."""
        self.scene = scene
        wanted: dict[tuple[object, ...], Batch] = {}
        for kind, items in grouped(scene.items).items():
            key = (*kind, scene.scale, *(_signature(item) for item in items))
            batch = self._batches.pop(key, None) or make_batch(
                self.renderer, kind, items, scene.scale, self._matrix(kind[0])
            )
            wanted[key] = batch
        for batch in self._batches.values():
            for actor in batch.actors:
                self.renderer.RemoveViewProp(actor)
        self._batches = wanted
        self._matrices = {frame: m for frame, m in self._matrices.items() if frame in scene.poses}
        self._show_lines(scene)
        self._show_shadow(scene)
        self.pose(scene)
        for batch in wanted.values():
            batch.show(self.renderer, self.moving)

    def _matrix(self, frame: str) -> vtkMatrix4x4:
        return self._matrices.setdefault(frame, vtkMatrix4x4())

    def _show_lines(self, scene: Scene) -> None:
        for actors in self._lines.values():
            for actor in actors:
                self.renderer.RemoveViewProp(actor)
        self._lines = {}
        for strokes in scene.strokes:
            width = max(1.0, strokes.width * self.size_px[1] / 1000.0)
            actor = line_actor(strokes.segments_mm, LOOKS[strokes.look].colour, width)
            actor.SetUserMatrix(self._matrix(strokes.frame))
            actor.PickableOff()
            self.renderer.AddViewProp(actor)
            self._lines.setdefault(strokes.frame, []).append(actor)

    def _show_shadow(self, scene: Scene) -> None:
        if self._shadow is not None:
            self.renderer.RemoveViewProp(self._shadow)
        self._shadow = shadow_actor(scene) if scene.grounded else None
        if self._shadow is not None:
            self.renderer.AddViewProp(self._shadow)

    def pose(self, scene: Scene) -> None:
        """Move the frames to where the scene has them; nothing else changes."""
        self.scene = scene
        self.set_poses(scene.poses)

    def set_poses(self, poses: Mapping[str, Array]) -> None:
        """Write the pose of each frame into its matrix."""
        for frame, matrix in self._matrices.items():
            matrix.DeepCopy(poses[frame].ravel().tolist())

    def set_moving(self, moving: bool) -> None:
        """Coarse meshes and plain shading while the crank moves, everything fine at rest."""
        if moving != self.moving:
            self.moving = moving
            for batch in self._batches.values():
                batch.show(self.renderer, moving)
            if self._shadow is not None:
                self._shadow.SetVisibility(not moving)
            # Blending glass by depth takes buffers of its own, which no moving frame needs.
            self.renderer.SetUseOIT(not moving)

    @property
    def size_px(self) -> tuple[int, int]:
        """Size of this renderer."""
        width, height = self.window.GetSize()
        left, low, right, high = self.renderer.GetViewport()
        return round(width * (right - left)), round(height * (high - low))

    @property
    def aspect(self) -> float:
        """Width over height."""
        width, height = self.size_px
        return width / height

    def look(self, camera: Camera) -> None:
        """Take the picture from this camera."""
        eye = self.renderer.GetActiveCamera()
        eye.SetPosition(*camera.position_mm)
        eye.SetFocalPoint(*camera.target_mm)
        eye.SetViewUp(*camera.up)
        eye.SetParallelProjection(camera.half_height_mm is not None)
        if camera.half_height_mm is not None:
            eye.SetParallelScale(camera.half_height_mm)
        eye.SetViewAngle(camera.field_deg)
        # The library moves the window over the scene, not the scene in the window.
        eye.SetWindowCenter(-camera.centre[0], -camera.centre[1])
        self.renderer.ResetCameraClippingRange()
        turn_studio(self.renderer, camera.toward, camera.right)

    def turned(self) -> None:
        """The eye was moved by other hands: let the clipping planes and the studio follow."""
        camera = self.camera()
        self.renderer.ResetCameraClippingRange()
        turn_studio(self.renderer, camera.toward, camera.right)

    def camera(self) -> Camera:
        """Where the eye is now, however it came there."""
        eye = self.renderer.GetActiveCamera()
        x, y = eye.GetWindowCenter()
        half = eye.GetParallelScale() if eye.GetParallelProjection() else None
        return Camera(
            np.array(eye.GetPosition()), np.array(eye.GetFocalPoint()), np.array(eye.GetViewUp()), half,
            eye.GetViewAngle(), (-x, -y),
        )  # fmt: skip

    def aim(self, free: Free = WHOLE) -> None:
        """Look at the scene as its named view wants it, within the free part of the picture."""
        if self.scene is not None:
            self.look(aim(self.scene.framing, self.aspect, free))

    def letter(
        self, taken: Sequence[Rectangle] = (), foot_px: float = 0.0, unit_px: float | None = None
    ) -> None:
        """Lay labels, distances and caption over the picture as the camera now stands, clear of places taken.

        Where a flat picture covers the parts, only the caption stands.
        """
        if self.scene is not None:
            lay = letter_caption if self.sheet.shown else letter
            self.overlay.draw(lay(self.scene, self.camera(), self.size_px, measure, taken, foot_px, unit_px))

    def under(self, x_px: int, y_px: int) -> tuple[Item, Array] | None:
        """The item that is seen at a pixel of the window, and the point of it in E; looks through glass."""
        picker = vtkCellPicker()
        picker.SetTolerance(0.0005)
        if not picker.Pick(x_px, y_px, 0.0, self.renderer):
            return None
        for batch in self._batches.values():
            item = batch.item_of(picker.GetActor(), picker.GetCellId())
            if item is not None:
                return item, np.array(picker.GetPickPosition())
        return None


def _signature(item: Item) -> tuple[object, ...]:
    """What makes the drawn surface of an item; poses of the frame are not part of it."""
    values = None if item.values_mm is None else item.values_mm.tobytes()
    return item.mesh, item.X_FA.tobytes(), item.look, item.name, values


def read_window(window: vtkRenderWindow) -> Picture:
    """The picture that was rendered last, (h, w, 3)."""
    reader = vtkWindowToImageFilter()
    reader.SetInput(window)
    reader.ReadFrontBufferOff()
    reader.ShouldRerenderOff()
    reader.Update()
    image = reader.GetOutput()
    width, height, _ = image.GetDimensions()
    rows = from_vtk(image.GetPointData().GetScalars()).reshape(height, width, -1)
    return np.ascontiguousarray(rows[::-1, :, :3])


def shrunk(picture: Picture, by: int) -> Picture:
    """Average so many pixels each way into one."""
    return picture if by == 1 else np.asarray(Image.fromarray(picture).reduce(by))
