"""VTK's own warnings and errors as Python log records, so that they reach a log file and fail a test."""

from __future__ import annotations

import logging
from collections.abc import Sequence

from vtkmodules.vtkCommonCore import vtkLogger, vtkOutputWindow, vtkStringOutputWindow

from viewer.draw.vtk_calls import observe

LOGGER = logging.getLogger("fullturn.vtk")
HARMLESS = ("bad X server connection",)
"""Said once on every machine without a display, where VTK then draws without one."""


class _Window(vtkStringOutputWindow):
    """Where VTK prints once it has been told to."""


class _Told:
    """Logs what an event of VTK says at a level, but for what holds certain words."""

    CallDataType = "string0"
    """By this the library knows to hand the words over."""

    def __init__(self, level: int, but: Sequence[str] = ()) -> None:
        self._level, self._but = level, but

    def __call__(self, _sender: object, event: str, text: str = "") -> None:
        if not any(words in text for words in self._but):
            LOGGER.log(self._level, text.strip() or f"VTK reported: {event}")


def route_to_logging() -> None:
    """Send what VTK prints to the logger ``fullturn.vtk`` from now on; calling it again changes nothing."""
    if isinstance(vtkOutputWindow.GetInstance(), _Window):
        return
    window = _Window()
    observe(window, "ErrorEvent", _Told(logging.ERROR))
    observe(window, "WarningEvent", _Told(logging.WARNING, HARMLESS))
    vtkOutputWindow.SetInstance(window)
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
