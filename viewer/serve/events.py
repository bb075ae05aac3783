"""What listening browsers are told: the newest word of each kind, so that nobody who is slow is owed more."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from typing import Any, Final

HEARTBEAT_S: Final = 5.0
"""Between two signs of life: a page that hears none for a while knows that it is alone."""
MOST: Final = 64
"""Who may listen at once."""


class Hub:
    """Hands news to everyone who listens; may be told them from any thread."""

    def __init__(self) -> None:
        self._listening: set[_Ear] = set()
        self.closed = False

    @property
    def full(self) -> bool:
        """Whether nobody more may listen."""
        return len(self._listening) >= MOST

    def tell(self, kind: str, news: dict[str, Any]) -> None:
        """Tell everyone."""
        for ear in tuple(self._listening):
            ear.tell(kind, news)

    def close(self) -> None:
        """Send everyone home."""
        self.closed = True
        for ear in tuple(self._listening):
            ear.tell("", {})

    async def listen(self, first: dict[str, dict[str, Any]]) -> AsyncIterator[tuple[str, dict[str, Any]]]:
        """News as they come, by kind; a kind of ``beat`` is a sign of life.

        Parameters
        ----------
        first : what is told at once
        """
        ear = _Ear(asyncio.get_running_loop(), dict(first))
        self._listening.add(ear)
        try:
            while not self.closed:
                for kind, news in ear.taken():
                    yield kind, news
                try:
                    async with asyncio.timeout(HEARTBEAT_S):
                        await ear.heard.wait()
                except TimeoutError:
                    yield "beat", {}
        finally:
            self._listening.discard(ear)


class _Ear:
    def __init__(self, loop: asyncio.AbstractEventLoop, waiting: dict[str, dict[str, Any]]) -> None:
        self.loop, self.waiting = loop, waiting
        self.heard = asyncio.Event()
        self.heard.set()

    def tell(self, kind: str, news: dict[str, Any]) -> None:
        try:
            self.loop.call_soon_threadsafe(self._told, kind, news)
        except RuntimeError:  # the loop has ended
            return

    def _told(self, kind: str, news: dict[str, Any]) -> None:
        if kind:
            self.waiting.pop(kind, None)  # the newest comes last
            self.waiting[kind] = news
        self.heard.set()

    def taken(self) -> list[tuple[str, dict[str, Any]]]:
        self.heard.clear()
        found, self.waiting = list(self.waiting.items()), {}
        return found
