"""Works out the close places beside the window, so that the crank can be turned meanwhile."""

from __future__ import annotations

import threading
from collections.abc import Callable

from geometry.assembly import Assembly
from viewer.window.closest import Close, close_places, with_curve

Finder = Callable[[Assembly], tuple[Close, ...]]
CURVES = 8
"""Places whose distance is drawn over the turn from the start; the closest at an angle is one of these."""


def find_places(assembly: Assembly) -> tuple[Close, ...]:
    """The close places, the worst with their curves."""
    found = close_places(assembly)
    return tuple(with_curve(close) if rank < CURVES else close for rank, close in enumerate(found))


class Finding:
    """One search at a time; a new one makes the result of the one before worthless."""

    def __init__(self, find: Finder | None) -> None:
        self._find = find
        self._lock = threading.Lock()
        self._wanted = 0
        self._found: tuple[Close, ...] | None = None

    def start(self, assembly: Assembly) -> None:
        """Begin with an engine."""
        if self._find is None:
            return
        with self._lock:
            self._wanted += 1
            self._found = None
            number = self._wanted
        threading.Thread(target=self._work, args=(self._find, assembly, number), daemon=True).start()

    def _work(self, find: Finder, assembly: Assembly, number: int) -> None:
        found = find(assembly)
        with self._lock:
            if number == self._wanted:
                self._found = found

    def take(self) -> tuple[Close, ...] | None:
        """What was found since the last call, once."""
        with self._lock:
            found, self._found = self._found, None
        return found

    def stop(self) -> None:
        """Want nothing more; a search under way ends by itself and is not looked at."""
        with self._lock:
            self._wanted += 1
            self._found = None
