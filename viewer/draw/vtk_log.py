"""VTK's own warnings and errors as Python log records, so that they reach a log file and fail a test."""

from __future__ import annotations

import logging

from vtkmodules.vtkCommonCore import vtkLogger, vtkOutputWindow, vtkStringOutputWindow

LOGGER = logging.getLogger("fullturn.vtk")
HARMLESS = ("bad X server connection",)
"""Said once on every machine without a display, where VTK then draws without one."""


def route_to_logging() -> None:
    """Send what VTK prints to the logger ``fullturn.vtk`` from now on; calling it again changes nothing."""
    current = vtkOutputWindow.GetInstance()
    if getattr(current, "fullturn", False):
        return
    window = vtkStringOutputWindow()
    window.fullturn = True
    window.AddObserver("ErrorEvent", _error)
    window.AddObserver("WarningEvent", _warning)
    vtkOutputWindow.SetInstance(window)
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)


def _error(_sender: object, _event: str, text: str = "") -> None:
    LOGGER.error(text.strip() or "VTK reported an error")


def _warning(_sender: object, _event: str, text: str = "") -> None:
    if not any(words in text for words in HARMLESS):
        LOGGER.warning(text.strip() or "VTK reported a warning")


_error.CallDataType = "string0"
_warning.CallDataType = "string0"
