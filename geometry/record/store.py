"""Saving a build record so that nothing acknowledged is ever lost.

A new state is written aside in the same directory, flushed to the disk, and renamed over the old one, and the
directory is flushed after it: whoever is stopped at any moment leaves either the old state or the new one,
whole. A save is acknowledged by returning. The state before is kept as ``<name>.previous``. Writers take turns
through a lock file, and each reads what the one before it wrote. Nothing else stays behind: whoever holds the lock
takes its file away, and one who waited for it finds that out and makes a new one (filelock looks at the number of
links once it has the lock).
"""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Final

from filelock import FileLock, Timeout

from geometry.errors import InputError, refused
from geometry.files import read_whole, require_ordinary
from geometry.spec.load import MOST_BYTES, as_text

_LOCK_WAIT_S: Final = 20.0
_MOST_ATTEMPTS: Final = 20
_BETWEEN_ATTEMPTS_S: Final = 0.05
_MOST_STARTS: Final = 10


def previous_path(path: str | os.PathLike[str]) -> Path:
    """Give the place where the state before the last save is kept."""
    real = Path(os.path.realpath(path))
    return real.with_name(f"{real.name}.previous")


def history_path(path: str | os.PathLike[str]) -> Path:
    """Give the place where the steps are kept by which a file came to be what it is."""
    real = Path(os.path.realpath(path))
    return real.with_name(f"{real.name}.history")


def edit(
    path: str | os.PathLike[str],
    change: Callable[[str | None], str],
    history: Callable[[str | None, str | None, str], str | None] | None = None,
) -> None:
    """Read, change and save a text file, one writer at a time.

    Parameters
    ----------
    path : the file; it need not exist yet, its directory must
    change : from the text as it stands, None where there is no file, to the text to be saved. It may be called
        again with a newer text when somebody else, an editor perhaps, saved without taking turns. What it raises
        leaves the file as it is.
    history : from the history as it stands, the text before and the text to be saved, to the new history; None leaves
        it as it is. It is on the disk before the text is: a step that was stopped in between is told of and was never
        taken, which its reader can tell by the text.

    Raises
    ------
    InputError : the file cannot be read or saved, or another program holds it
    """
    real = Path(os.path.realpath(path))  # a link stays a link; what it points to is saved
    shown = os.fspath(path)
    if not real.parent.is_dir():
        raise refused(shown, "", "its directory does not exist", "make the directory first")
    require_ordinary(path)
    lock_file = real.with_name(f".{real.name}.lock")
    try:
        with FileLock(lock_file, timeout=_LOCK_WAIT_S):
            try:
                _edit_alone(real, shown, change, history)
            finally:
                _take_away(lock_file)
    except Timeout:
        what = f"another program has held this file for {_LOCK_WAIT_S:.0f} seconds"
        raise refused(shown, "", what, "close it and try again") from None
    except NotImplementedError:
        what = "files in this place cannot be locked"
        raise refused(shown, "", what, "keep the record on an ordinary disk") from None
    except OSError as error:
        raise refused(shown, "", *_why_not_saved(error)) from None


def read_history(path: str | os.PathLike[str]) -> str | None:
    """The history of a file as text; None where there is none.

    Raises
    ------
    InputError : it cannot be read
    """
    beside = history_path(path)
    content = _content(beside)
    return None if content is None else as_text(content, os.fspath(beside), "JSON")


def _edit_alone(
    real: Path,
    shown: str,
    change: Callable[[str | None], str],
    history: Callable[[str | None, str | None, str], str | None] | None,
) -> None:
    try:
        for _ in range(_MOST_STARTS):
            before = _content(real)
            after = change(None if before is None else as_text(before, shown)).encode("utf-8")
            if after == before:
                return
            if len(after) > MOST_BYTES:
                raise refused(
                    shown, "", "is as large as a record may be", "take out what is no longer needed"
                )
            aside = _write_aside(real, after)
            if _content(real) == before:
                if before is not None:
                    _keep_previous(real, before)
                    shutil.copymode(real, aside)
                if history is not None:
                    _keep_history(real, before, after, shown, history)
                _rename(aside, real)
                _flush_directory(real.parent)
                return
        raise refused(
            shown, "", "it is being changed by another program all the time", "close that and try again"
        )
    finally:  # what a stopped writer left goes too; nobody else writes while the lock is held
        for path in (real, previous_path(real), history_path(real)):
            _take_away(_aside(path))


def _content(path: Path) -> bytes | None:
    return read_whole(path, MOST_BYTES) if os.path.lexists(path) else None


def _keep_previous(real: Path, content: bytes) -> None:
    previous = previous_path(real)
    aside = _write_aside(previous, content)
    shutil.copymode(real, aside)
    _rename(aside, previous)


def _keep_history(
    real: Path,
    before: bytes | None,
    after: bytes,
    shown: str,
    history: Callable[[str | None, str | None, str], str | None],
) -> None:
    beside = history_path(real)
    try:
        known = read_history(real)
    except InputError:  # what cannot be read is begun anew: no reading waits for it
        known = None
    told = history(known, None if before is None else as_text(before, shown), after.decode("utf-8"))
    if told is not None:
        aside = _write_aside(beside, told.encode("utf-8"))
        if before is not None:
            shutil.copymode(real, aside)
        _rename(aside, beside)


def _aside(path: Path) -> Path:
    return path.with_name(f".{path.name}.aside")


def _write_aside(path: Path, content: bytes) -> Path:
    """Write next to a file and wait until the disk has it; what a stopped writer left there is overwritten."""
    aside = _aside(path)
    with aside.open("wb") as file:
        file.write(content)
        file.flush()
        _flush(file.fileno())
    return aside


def _take_away(path: Path) -> None:
    with contextlib.suppress(OSError):
        path.unlink(missing_ok=True)


def _flush(descriptor: int) -> None:
    """Wait until the disk itself has the data; macOS needs asking twice."""
    if sys.platform == "darwin":
        import fcntl

        with contextlib.suppress(OSError):  # not every disk offers it; the plain way below always works
            fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)
            return
    os.fsync(descriptor)


def _rename(aside: Path, path: Path) -> None:
    """Put the new state in place; on Windows a virus scanner or an editor may hold the old one for a moment."""
    for attempt in range(_MOST_ATTEMPTS):
        try:
            os.replace(aside, path)
            return
        except PermissionError:
            if os.name != "nt" or attempt == _MOST_ATTEMPTS - 1:
                raise
            time.sleep(_BETWEEN_ATTEMPTS_S)


def _flush_directory(directory: Path) -> None:
    """Make the renaming itself durable, where the system has such a thing."""
    if os.name == "nt":
        return
    descriptor = os.open(directory, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.ENOTSUP, errno.EBADF):  # some file systems refuse it
            raise
    finally:
        os.close(descriptor)


def _why_not_saved(error: OSError) -> tuple[str, str]:
    """What the operating system said, in plain words, and what to do about it."""
    said = {
        errno.ENOSPC: ("could not be saved: the disk is full", "make room and enter it again"),
        errno.EDQUOT: ("could not be saved: your share of the disk is full", "make room and enter it again"),
        errno.EROFS: ("could not be saved: the disk is write-protected", "copy the record to another disk"),
        errno.EACCES: ("may not be written", "ask the owner of the file or its directory for permission"),
        errno.EPERM: ("may not be written", "ask the owner of the file or its directory for permission"),
        errno.EISDIR: ("is a directory", "name the record file itself"),
    }
    return said.get(
        error.errno or 0, (f"could not be saved: {error.strerror or error}", "nothing was changed")
    )
