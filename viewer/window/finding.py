"""Works things out beside the window, so that the crank can be turned meanwhile."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from geometry.assembly import Assembly
from geometry.errors import GeometryError, InputError
from viewer.window.closest import Close, close_places, with_curve

T = TypeVar("T")
LOG = logging.getLogger("fullturn.window")
Finder = Callable[[Assembly], tuple[Close, ...]]
WORKING = "working out the clearances ..."
CURVES = 8
"""Places whose distance is drawn over the turn from the start; the closest at an angle is one of these."""


@dataclass(frozen=True, slots=True)
class Failed:
    """Work that came to nothing, and what a person is told of it, in one line."""

    words: str


def failure(bad: Exception) -> Failed:
    """Put an error of work that nobody waits for into a line; where it came from goes to the log."""
    LOG.debug("work in the background failed", exc_info=bad)
    if isinstance(bad, (InputError, GeometryError)):
        return Failed(str(bad))
    said = " ".join(str(bad).split())
    return Failed(f"a fault of the program: {type(bad).__name__}{f', {said}' if said else ''}")


def find_places(assembly: Assembly) -> tuple[Close, ...]:
    """The close places, the worst with their curves."""
    found = close_places(assembly)
    return tuple(with_curve(close) if rank < CURVES else close for rank, close in enumerate(found))


class Places:
    """The close places of the engines on show, each worked out once."""

    def __init__(self, find: Finder | None) -> None:
        self._finding: BackgroundSearch[tuple[Close, ...]] = BackgroundSearch(find)
        self._known: dict[Assembly, tuple[Close, ...]] = {}
        self._failed: dict[Assembly, Failed] = {}
        self._wanted: Assembly | None = None

    def of(self, assembly: Assembly) -> tuple[Close, ...] | None:
        """Those of an engine, None until they have been worked out."""
        return self._known.get(assembly)

    def missing(self, assembly: Assembly) -> str:
        """Why there are none of an engine: they are being worked out, or what came in the way."""
        failed = self._failed.get(assembly)
        return WORKING if failed is None else f"the clearances cannot be worked out: {failed.words}"

    def want(self, assembly: Assembly) -> None:
        """See that they are worked out; what has failed once is not tried again."""
        if assembly not in self._known and assembly not in self._failed and self._wanted is not assembly:
            self._wanted = assembly
            self._finding.start(assembly)

    def put(self, assembly: Assembly, places: Sequence[Close]) -> None:
        """Take those of an engine as found."""
        self._known[assembly] = tuple(places)

    def arrived(self) -> bool:
        """Whether a search has just ended, with places or without."""
        found = self._finding.take()
        if found is None or self._wanted is None:
            return False
        if isinstance(found, Failed):
            self._failed[self._wanted] = found
        else:
            self.put(self._wanted, found)
        self._wanted = None
        return True

    def forget(self) -> None:
        """Want nothing more and know nothing more: the engines have changed."""
        self._finding.stop()
        self._known, self._failed, self._wanted = {}, {}, None


class BackgroundSearch(Generic[T]):
    """One search at a time; a new one makes the result of the one before worthless."""

    def __init__(self, find: Callable[..., T] | None) -> None:
        self._find = find
        self._lock = threading.Lock()
        self._wanted = 0
        self._found: T | Failed | None = None

    def start(self, *about: Any) -> None:
        """Begin, with whatever the search needs to know."""
        if self._find is None:
            return
        with self._lock:
            self._wanted += 1
            self._found = None
            number = self._wanted
        threading.Thread(target=self._work, args=(self._find, about, number), daemon=True).start()

    def _work(self, find: Callable[..., T], about: tuple[Any, ...], number: int) -> None:
        found: T | Failed
        try:
            found = find(*about)
        except (
            Exception
        ) as bad:  # a search that dies without a word would be waited for as long as the window is open
            found = failure(bad)
        with self._lock:
            if number == self._wanted:
                self._found = found

    def take(self) -> T | Failed | None:
        """What was found since the last call, or why nothing was, once."""
        with self._lock:
            found, self._found = self._found, None
        return found

    def stop(self) -> None:
        """Want nothing more; a search under way ends by itself and is not looked at."""
        with self._lock:
            self._wanted += 1
            self._found = None
