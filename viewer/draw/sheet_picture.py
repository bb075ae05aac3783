"""A flat picture laid over all that a renderer draws, under its words."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from vtkmodules.vtkCommonDataModel import vtkImageData
from vtkmodules.vtkRenderingCore import vtkActor2D, vtkImageMapper, vtkRenderer

from viewer.draw.vtk_calls import to_vtk


class SheetPicture:
    """The picture of one renderer. Made before the renderer's words, so that they stand on it."""

    def __init__(self, renderer: vtkRenderer) -> None:
        self._mapper = vtkImageMapper()
        self._mapper.SetColorWindow(255.0)
        self._mapper.SetColorLevel(127.5)  # with this window eight bits are shown as they are
        self._mapper.SetInputData(_image(np.zeros((1, 1, 3), dtype=np.uint8)))
        self._actor = vtkActor2D()
        self._actor.SetMapper(self._mapper)
        self._actor.PickableOff()
        self._actor.VisibilityOff()
        renderer.AddViewProp(self._actor)

    @property
    def shown(self) -> bool:
        """Whether there is one."""
        return bool(self._actor.GetVisibility())

    def lay(self, picture: NDArray[np.uint8] | None, foot_px: int = 0) -> None:
        """Show a picture (h, w, 3) from the left edge and a height over the foot; None takes it away."""
        self._actor.SetVisibility(picture is not None)
        if picture is not None:
            self._mapper.SetInputData(_image(picture))
            self._actor.SetPosition(0.0, float(foot_px))


def _image(picture: NDArray[np.uint8]) -> vtkImageData:
    image = vtkImageData()
    image.SetDimensions(picture.shape[1], picture.shape[0], 1)
    image.GetPointData().SetScalars(to_vtk(picture[::-1].reshape(-1, 3)))
    return image
