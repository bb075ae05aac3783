"""Pictures and films of what is on the screen: where they are put, under names that nothing has yet."""

from __future__ import annotations

import re
from collections.abc import Callable, Generator, Sequence
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryFile, gettempdir

import numpy as np

from geometry.errors import InputError
from viewer.output import unused_name
from viewer.pictures.media import write_film, write_picture

FILM_ENDINGS = (".mp4", ".gif")
"""Tried in this order: the second needs no encoder."""
LONGEST_NAME = 60
Frames = Callable[[], Generator[np.ndarray]]


def keep_picture(folder: Path, engine: str, picture: Callable[[], np.ndarray]) -> str:
    """Write a picture, and say where it is or why it is not; never over an older one.

    Parameters
    ----------
    folder : where it should go; another one is taken where that cannot be written to
    engine : what the file is named after
    picture : draws it, (h, w, 3) uint8
    """
    place = _place(folder)
    if place is None:
        return _nowhere(folder)
    try:
        path = write_picture(picture(), unused_name(place, file_name(engine), ".png"))
    except InputError as bad:
        return _one_line(bad)
    return _kept(path, folder)


def keep_film(folder: Path, engine: str, frames: Frames) -> str:
    """Write a film in the same way: MP4 where there is an encoder that works, GIF where there is none."""
    place = _place(folder)
    if place is None:
        return _nowhere(folder)
    why = ""
    for ending in FILM_ENDINGS:
        path = unused_name(place, file_name(engine), ending)
        try:
            with closing(
                frames()
            ) as pictures:  # whatever happens, the window is as it was before the next try
                return _kept(write_film(pictures, path), folder)
        except (InputError, OSError, RuntimeError) as bad:  # an encoder that is there may still not run
            why = _one_line(bad)
    return why


def file_name(engine: str) -> str:
    """The name of an engine as a file can have it.

    Examples
    --------
    >>> file_name("Tern 5.7/B"), file_name("..")
    ('tern 5.7-b', 'engine')
    """
    plain = re.sub(r"[^\w .-]+", "-", engine.lower()).strip(" .-")
    return plain[:LONGEST_NAME] or "engine"


def _place(folder: Path) -> Path | None:
    """The first folder that a file can be put into: the one asked for, home, or the one for passing files."""
    return next((one for one in (folder, *_spares()) if _writable(one)), None)


def _spares() -> Sequence[Path]:
    try:
        return Path.home(), Path(gettempdir())
    except (OSError, RuntimeError):
        return ()


def _writable(folder: Path) -> bool:
    try:
        with TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


def _kept(path: Path, wanted: Path) -> str:
    """Where it was put; the folder on a line of its own, since it may be long."""
    moved = f"{_shown(wanted)} cannot be written to; " if path.parent.resolve() != wanted.resolve() else ""
    return f"{moved}kept as {path.name}\nin {_shown(path.parent)}"


def _shown(folder: Path) -> str:
    """A folder in full."""
    return str(folder.resolve())


def _nowhere(folder: Path) -> str:
    return f"nothing was kept: {_shown(folder)} cannot be written to; start fullturn in a folder that can"


def _one_line(bad: Exception) -> str:
    return " ".join(str(bad).split()) or type(bad).__name__
