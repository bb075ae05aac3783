"""Reading a file that somebody named: an ordinary one, of a bounded size, and nothing that never ends."""

from __future__ import annotations

import errno
import os
import stat
from typing import Final, NoReturn

from geometry.errors import InputError, Problem

_BLOCKS_NEVER: Final = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)


def read_whole(path: str | os.PathLike[str], most_bytes: int) -> bytes:
    """Read an ordinary file.

    Nothing else is opened: a pipe waits for a writer, a device may never end. Files of the kernel call themselves
    ordinary and 0 bytes long, and some of them wait too: what says that it is empty is not read.

    Parameters
    ----------
    path : the file
    most_bytes : how large it may be

    Raises
    ------
    InputError : the file is missing, not an ordinary file, not readable, or too large
    """
    name = os.fspath(path)
    try:
        _require_ordinary(name, os.stat(name), most_bytes)
        descriptor = os.open(name, os.O_RDONLY | _BLOCKS_NEVER)
        with os.fdopen(descriptor, "rb") as file:
            found = os.fstat(descriptor)  # it may have been exchanged in between
            _require_ordinary(name, found, most_bytes)
            content = file.read(most_bytes + 1) if found.st_size else b""
    except (OSError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        _refuse(name, *why_not_opened(error))
    if len(content) > most_bytes:  # it grew while it was read
        _refuse(name, *_too_large(len(content), most_bytes))
    return content


def require_ordinary(path: str | os.PathLike[str]) -> None:
    """Refuse what exists and is no ordinary file; what does not exist yet is none of this function's business.

    Raises
    ------
    InputError : a directory, a pipe or a device
    """
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return
    if not stat.S_ISREG(found.st_mode):
        _refuse(os.fspath(path), *_no_file(found.st_mode))


def why_not_opened(error: OSError | ValueError) -> tuple[str, str]:
    """What the operating system said, in plain words, and what to do about it.

    >>> why_not_opened(FileNotFoundError(errno.ENOENT, ""))
    ('there is no such file', 'check its name and the directory you are in')
    """
    said = {
        errno.ENOENT: ("there is no such file", "check its name and the directory you are in"),
        errno.ENOTDIR: ("there is no such file", "a part of its path is a file, not a directory"),
        errno.EACCES: ("may not be read", "ask its owner for permission to read it"),
        errno.EPERM: ("may not be read", "ask its owner for permission to read it"),
        errno.ELOOP: ("is a symbolic link that leads round in a circle", "name the file itself"),
        errno.ENAMETOOLONG: ("the name is too long", "name an existing file"),
    }
    number = error.errno if isinstance(error, OSError) else None
    return said.get(number or 0, ("cannot be opened", "name an existing file"))


def _require_ordinary(name: str, found: os.stat_result, most_bytes: int) -> None:
    if not stat.S_ISREG(found.st_mode):
        _refuse(name, *_no_file(found.st_mode))
    if found.st_size > most_bytes:
        _refuse(name, *_too_large(found.st_size, most_bytes))


def _no_file(mode: int) -> tuple[str, str]:
    what = "is a directory" if stat.S_ISDIR(mode) else "is a device or pipe, not a file"
    return what, "name an ordinary file"


def _too_large(size: int, most_bytes: int) -> tuple[str, str]:
    return f"is {size / 1e6:.1f} MB large", f"name a file of {most_bytes / 1e6:.0f} MB at most"


def _refuse(file: str, what: str, right: str) -> NoReturn:
    raise InputError([Problem(file, None, "", what, right)])
