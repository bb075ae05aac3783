"""A window to draw in, on the display or off it.

The renderer's own window is used as it is: the plotter of the library that wraps it brings a plotting package with
it, whose import alone takes as long as drawing the first picture.
"""

from __future__ import annotations

# These three give the window its mouse, its words and the windows of each system.
import vtkmodules.vtkInteractionStyle
import vtkmodules.vtkRenderingFreeType
import vtkmodules.vtkRenderingUI  # noqa: F401
from vtkmodules.vtkRenderingCore import vtkRenderWindow, vtkRenderWindowInteractor
from vtkmodules.vtkRenderingOpenGL2 import vtkOpenGLRenderer

from viewer.draw.vtk_calls import let_go
from viewer.draw.vtk_log import route_to_logging


class Screen:
    """A window and its renderers, side by side.

    Parameters
    ----------
    size : px
    off_screen : nothing appears on the display, and none is needed
    columns : renderers beside one another, each as wide as the others
    samples : looks at every pixel, 0 for one
    """

    def __init__(
        self, size: tuple[int, int], *, off_screen: bool, columns: int = 1, samples: int = 0
    ) -> None:
        route_to_logging()  # before the window, which complains on the error stream where there is no display
        self.window = vtkRenderWindow()
        self.window.SetOffScreenRendering(off_screen)
        self.window.SetShowWindow(not off_screen)
        self.window.SetSize(*size)
        self.window.SetMultiSamples(samples)
        self.renderers: list[vtkOpenGLRenderer] = []
        for column in range(columns):
            renderer = vtkOpenGLRenderer()
            renderer.SetViewport(column / columns, 0.0, (column + 1) / columns, 1.0)
            self.window.AddRenderer(renderer)
            self.renderers.append(renderer)
        self.interactor: vtkRenderWindowInteractor | None = None
        if not off_screen:
            self.interactor = vtkRenderWindowInteractor()
            self.interactor.SetRenderWindow(self.window)

    def close(self) -> None:
        """Give everything back, in the order in which the renderer can let go of it."""
        for renderer in self.renderers:
            renderer.RemoveAllViewProps()
            renderer.SetEnvironmentTexture(None, False)
        if self.interactor is not None:
            self.interactor.TerminateApp()
        self.window.Finalize()
        for renderer in self.renderers:
            self.window.RemoveRenderer(renderer)
        if self.interactor is not None:
            let_go(self.interactor)
            self.interactor = None
        self.renderers = []
