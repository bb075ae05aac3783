"""From the events of a real window to what ``EngineWindow`` does: keys, mouse, time."""

from __future__ import annotations

import time

from vtkmodules.vtkInteractionStyle import vtkInteractorStyleTrackballCamera

from viewer.draw.vtk_calls import observe
from viewer.window.actions import BY_KEY
from viewer.window.view import EngineWindow

IDLE_S = 0.004
CLICK_PX = 4
CUT_MM_PER_PX = 0.4
RENAMED = {
    "ISO_Left_Tab": "Tab",
    "KP_Enter": "Return",
    "KP_Decimal": "period",
    "KP_Add": "plus",
    "KP_Subtract": "minus",
}
PLAIN = {"period": ".", "comma": "."}


HELD = {"ctrl+p": "shift+p"}
"""Keys that other programs have taught people; with the control key held, all others mean nothing here."""


def key_name(symbol: str, shift: bool, control: bool = False) -> str:
    """A key as ``actions`` names it, from what the window system calls it; empty where it means nothing.

    Examples
    --------
    >>> key_name("N", True), key_name("KP_5", False), key_name("plus", True), key_name("ISO_Left_Tab", True)
    ('shift+n', '5', 'plus', 'shift+Tab')
    """
    symbol = RENAMED.get(symbol, symbol)
    if symbol.startswith("KP_") and symbol[3:].isdigit():
        symbol = symbol[3:]
    symbol = PLAIN.get(symbol, symbol)
    if len(symbol) == 1:
        symbol = symbol.lower()
    if control:
        return HELD.get(f"ctrl+{symbol}", "")
    held = f"shift+{symbol}"
    return held if shift and held in BY_KEY else symbol


class Events:
    """Ties a window's interactor to a view."""

    def __init__(self, view: EngineWindow) -> None:
        assert view.screen.interactor is not None, "a window off the display has no events"
        self.view, self.interactor = view, view.screen.interactor
        self._gripping = self._cutting = self._pushing = False
        self._pressed_at: tuple[int, int] | None = None
        self.style = vtkInteractorStyleTrackballCamera()
        # With an observer of its own an event skips what the style would do; keys must mean what our table says.
        for event, call in (
            ("CharEvent", self._nothing),
            ("KeyPressEvent", self._key),
            ("LeftButtonPressEvent", self._press),
            ("MouseMoveEvent", self._move),
            ("LeftButtonReleaseEvent", self._release),
            ("InteractionEvent", self._turned),
            ("MouseWheelForwardEvent", self._wheel),
            ("MouseWheelBackwardEvent", self._wheel),
        ):
            observe(self.style, event, call)
        self.style.SetDefaultRenderer(view.stage.renderer)
        self.interactor.SetInteractorStyle(self.style)
        self._open = True
        observe(self.interactor, "ExitEvent", self._close)
        observe(self.interactor, "ConfigureEvent", lambda *_: view.resized())

    def run(self) -> None:
        """Keep the window open until it is closed.

        The loop is ours rather than the library's, which would never let another thread have its turn.
        """
        self.interactor.Initialize()
        while self._open and not self.view.over:
            self.interactor.ProcessEvents()
            self.view.tick()
            time.sleep(IDLE_S)

    def _close(self, *_: object) -> None:
        self._open = False

    def _nothing(self, *_: object) -> None:
        return

    def _key(self, *_: object) -> None:
        held = bool(self.interactor.GetShiftKey()), bool(self.interactor.GetControlKey())
        self.view.press(key_name(self.interactor.GetKeySym() or "", *held))

    def _press(self, *_: object) -> None:
        x, y = self.interactor.GetEventPosition()
        self._pressed_at = (x, y)
        if self.view.on_bar(x, y):
            self._gripping = True
            self.view.grip_bar(x)
        elif self.view.on_panel(x, y):
            self._pushing = True
        elif self.interactor.GetControlKey() and self.view.state.block == "cut":
            self._cutting = True
        else:
            self.style.OnLeftButtonDown()

    def _move(self, *_: object) -> None:
        x, y = self.interactor.GetEventPosition()
        self.view.point(x, y)
        if self._gripping:
            self.view.grip_bar(x)
        elif self._pushing:
            return
        elif self._cutting:
            self.view.drag_cut((y - self.interactor.GetLastEventPosition()[1]) * CUT_MM_PER_PX)
        else:
            self.style.OnMouseMove()

    def _release(self, *_: object) -> None:
        x, y = self.interactor.GetEventPosition()
        gripped, pushed = self._gripping or self._cutting, self._pushing
        self._gripping = self._cutting = self._pushing = False
        if gripped:
            return
        if not pushed:
            self.style.OnLeftButtonUp()
        start = self._pressed_at
        if start is not None and abs(x - start[0]) + abs(y - start[1]) <= CLICK_PX:
            self.view.click(x, y)

    def _turned(self, *_: object) -> None:
        self.view.camera_moved()

    def _wheel(self, _sender: object, event: str) -> None:
        if event == "MouseWheelForwardEvent":
            self.style.OnMouseWheelForward()
        else:
            self.style.OnMouseWheelBackward()
        self.view.camera_moved()
