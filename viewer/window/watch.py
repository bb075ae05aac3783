"""Notices that a file was saved."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

Stamp = tuple[int, int, int] | None


def stamp(path: Path) -> Stamp:
    """What changes when a file is saved: time, size and identity (editors write a new file and rename it)."""
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


class Watch:
    """Asks for the stamps of files now and then; needs no thread and no help from the system."""

    def __init__(self, paths: Sequence[Path]) -> None:
        self._last = {path: stamp(path) for path in paths}

    def changed(self) -> bool:
        """Whether a file was saved since the last call. A file that is away for a moment counts once it is back."""
        saved = False
        for path, before in self._last.items():
            now = stamp(path)
            if now is not None and now != before:
                self._last[path] = now
                saved = True
        return saved
