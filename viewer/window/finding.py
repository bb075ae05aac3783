"""Works things out beside the window, so that the crank can be turned meanwhile."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Generic, TypeVar

from geometry.errors import GeometryError, InputError

T = TypeVar("T")
Asked = tuple[Hashable, ...]
LOG = logging.getLogger("fullturn.window")


class Stopped(Exception):
    """Work in the background that nobody wants any more."""


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


class BackgroundSearch(Generic[T]):
    """Answers that are worked out beside the window, each once; a new question makes the one under way worthless.

    Parameters
    ----------
    find : works out the answer to a question; None where there are no answers
    what : is worked out, in words: ``the clearances``
    ends : how a person ends it, in words, where ``find`` takes a function to tell which share is done, and can be ended
    """

    def __init__(self, find: Callable[..., T] | None, what: str, ends: str = "") -> None:
        self._find, self._what, self._ends = find, what, ends
        self._known: dict[Asked, T | Failed] = {}
        self._wanted: Asked | None = None
        self._lock = threading.Lock()
        self._number = 0
        self._share = 0.0
        self._found: T | Failed | None = None
        self._threads: list[threading.Thread] = []

    @property
    def under_way(self) -> bool:
        """Whether something is being worked out."""
        return self._wanted is not None

    def of(self, *asked: Hashable) -> T | None:
        """The answer, None until it has been worked out."""
        found = self._known.get(asked)
        return None if isinstance(found, Failed) else found

    def failed(self, *asked: Hashable) -> bool:
        """Whether working it out has come to nothing."""
        return isinstance(self._known.get(asked), Failed)

    def missing(self, *asked: Hashable) -> str:
        """Why there is no answer: it is being worked out, or what came in the way."""
        found = self._known.get(asked)
        if isinstance(found, Failed):
            return f"{self._what} cannot be worked out: {found.words}"
        done = f" {100 * self._share:.0f} % done; {self._ends}" if self._ends else ""
        return f"working out {self._what} ...{done}"

    def want(self, *asked: Hashable) -> None:
        """See that it is worked out; what has failed once is not tried again."""
        if self._find is None or asked in self._known or asked == self._wanted:
            return
        number = self._begin(asked)
        self._threads = [thread for thread in self._threads if thread.is_alive()]
        # not a daemon: such a one would be frozen in the middle of its work as the program ends, with all that it holds
        self._threads.append(threading.Thread(target=self._work, args=(self._find, asked, number)))
        self._threads[-1].start()

    def stop(self) -> None:
        """Want nothing more; what is known stays known."""
        if self.under_way:
            self._begin(None)

    def _begin(self, asked: Asked | None) -> int:
        """Want this and nothing else; a search under way ends as soon as it can and is not looked at."""
        with self._lock:
            self._wanted, self._found, self._share = asked, None, 0.0
            self._number += 1
            return self._number

    def _work(self, find: Callable[..., T], asked: Asked, number: int) -> None:
        found: T | Failed

        def told(share: float) -> None:
            with self._lock:
                if number != self._number:
                    raise Stopped
                self._share = share

        try:
            found = find(*asked, told) if self._ends else find(*asked)
        except Stopped:
            return
        except Exception as bad:  # or it would be waited for as long as the window is open
            found = failure(bad)
        with self._lock:
            if number == self._number:
                self._found = found

    def arrived(self) -> bool:
        """Whether a search has just ended, with an answer or without."""
        with self._lock:
            found, self._found = self._found, None
        if found is None or self._wanted is None:
            return False
        self._known[self._wanted], self._wanted = found, None
        return True

    def forget(self) -> None:
        """Want nothing more and know nothing more: the engines have changed."""
        self._begin(None)
        self._known = {}

    def close(self) -> None:
        """End whatever is under way, and wait until it has ended: it must not run into the end of the program."""
        self.forget()
        for thread in self._threads:
            thread.join()
        self._threads = []
