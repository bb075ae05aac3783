"""Opens the interactive view on files, and says so where there is no display."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from geometry.errors import refused
from viewer.window.loaded import Loaded

NO_DISPLAY = "there is no display to open a window on"
INSTEAD = "`fullturn still ENGINE -o picture.png` draws a picture without one"


def has_display() -> bool:
    """Whether a window can be opened: always thought so except where the system draws by X and has none."""
    return sys.platform in ("win32", "darwin") or bool(os.environ.get("DISPLAY"))


def open_view(read: Callable[[], Loaded], files: Sequence[Path], quality: str = "auto") -> None:
    """Open the window and keep it until it is closed.

    Parameters
    ----------
    read : reads the files into a ``Loaded``; called again whenever one of them is saved
    files : to watch
    quality : ``fine``, ``fast`` or ``auto``: how frames are drawn while the crank moves

    Raises
    ------
    InputError
        When there is no display, or whatever ``read`` raises the first time.
    """
    if not has_display():
        raise refused("", "", NO_DISPLAY, INSTEAD)
    loaded = read()
    from viewer.window.events import Events
    from viewer.window.places import find_places
    from viewer.window.view import EngineWindow
    from viewer.window.watch import Watch

    view = EngineWindow(loaded, quality=quality, reload=read, watched=Watch(files).changed, find=find_places)
    try:
        Events(view).run()
    finally:
        view.close()
