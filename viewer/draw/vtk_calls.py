"""The few calls into the renderer's library that it leaves without types, or types wrongly."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray
from vtkmodules.util.numpy_support import numpy_to_vtk, vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkCommand, vtkDataArray, vtkObject
from vtkmodules.vtkRenderingCore import vtkRenderWindowInteractor


def to_vtk(array: NDArray[Any], name: str = "") -> vtkDataArray:
    """A copy of an array as the library holds it, one tuple a row, under a name."""
    made: vtkDataArray = numpy_to_vtk(np.ascontiguousarray(array), deep=True)  # type: ignore[no-untyped-call]
    if name:
        made.SetName(name)
    return made


def from_vtk(array: vtkDataArray) -> NDArray[Any]:
    """The numbers of an array of the library, (tuples, components); not a copy."""
    numbers: NDArray[Any] = vtk_to_numpy(array)  # type: ignore[no-untyped-call]
    return numbers


def observe(subject: vtkObject, event: str, call: Callable[..., None]) -> None:
    """Have a function called with the subject and the event's name whenever the event comes: ``ExitEvent``."""
    subject.AddObserver(getattr(vtkCommand, event), call)


def let_go(interactor: vtkRenderWindowInteractor) -> None:
    """Part an interactor from its window, so that either can be given back."""
    interactor.SetRenderWindow(None)  # type: ignore[arg-type]  # the library takes None, its stubs do not
