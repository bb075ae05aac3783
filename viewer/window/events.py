"""From the events of a real window to what ``EngineWindow`` does: keys, mouse, time."""

from __future__ import annotations

import time
from typing import Literal

from vtkmodules.vtkRenderingCore import vtkInteractorStyle

from viewer.draw.vtk_calls import observe
from viewer.scene.eye import ZOOM_STEP, Drag, dragged
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
Button = Literal["left", "middle", "right"]
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


def drag_of(button: Button, shift: bool, control: bool, cut: bool) -> Drag | Literal["cut"]:
    """What a drag with a button of the mouse does.

    Examples
    --------
    >>> drag_of("left", False, False, False), drag_of("left", True, False, False), drag_of("right", False, False, True)
    ('turn', 'move', 'near')
    """
    if button != "left":
        return "move" if button == "middle" else "near"
    if shift and control:
        return "roll"
    if control and cut:
        return "cut"
    return "move" if shift else "turn"


class Events:
    """Ties a window's interactor to a view."""

    def __init__(self, view: EngineWindow) -> None:
        assert view.screen.interactor is not None, "a window off the display has no events"
        self.view, self.interactor = view, view.screen.interactor
        self._drag: Drag | Literal["bar", "panel", "cut"] | None = None
        self._pressed_at: tuple[int, int] | None = None
        self.style = vtkInteractorStyle()
        # With an observer of its own an event skips what the style would do; keys must mean what our table says.
        for event, call in (
            ("CharEvent", self._nothing),
            ("KeyPressEvent", self._key),
            ("LeftButtonPressEvent", lambda *_: self._press("left")),
            ("MiddleButtonPressEvent", lambda *_: self._press("middle")),
            ("RightButtonPressEvent", lambda *_: self._press("right")),
            ("MouseMoveEvent", self._move),
            ("LeftButtonReleaseEvent", self._release),
            ("MiddleButtonReleaseEvent", self._release),
            ("RightButtonReleaseEvent", self._release),
            ("MouseWheelForwardEvent", self._wheel),
            ("MouseWheelBackwardEvent", self._wheel),
        ):
            observe(self.style, event, call)
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

    def _press(self, button: Button) -> None:
        x, y = self.interactor.GetEventPosition()
        shift, control = bool(self.interactor.GetShiftKey()), bool(self.interactor.GetControlKey())
        self._pressed_at = (x, y) if button == "left" else None
        if button == "left" and self.view.on_bar(x, y):
            self._drag = "bar"
            self.view.grip_bar(x)
        elif self.view.on_panel(x, y):
            self._drag = "panel"
        else:
            self._drag = drag_of(button, shift, control, self.view.state.block == "cut")

    def _move(self, *_: object) -> None:
        x, y = self.interactor.GetEventPosition()
        before = self.interactor.GetLastEventPosition()
        self.view.point(x, y)
        if self._drag is None or self._drag == "panel" or (x, y) == before:
            return
        if self._drag == "bar":
            self.view.grip_bar(x)
        elif self._drag == "cut":
            self.view.drag_cut((y - before[1]) * CUT_MM_PER_PX)
        else:
            height = self.view.window.GetSize()[1]
            self.view.steer(dragged(self.view.eye, self._drag, x - before[0], y - before[1], height))

    def _release(self, *_: object) -> None:
        x, y = self.interactor.GetEventPosition()
        done, self._drag = self._drag, None
        start = self._pressed_at
        if done in ("bar", "cut") or start is None:
            return
        if abs(x - start[0]) + abs(y - start[1]) <= CLICK_PX:
            self.view.click(x, y)

    def _wheel(self, _sender: object, event: str) -> None:
        times = ZOOM_STEP if event == "MouseWheelForwardEvent" else 1.0 / ZOOM_STEP
        self.view.zoom(times, *self.interactor.GetEventPosition())
