"""Work that takes time, in threads of its own, so that whoever asks for little is answered at once.

The threads never hold the program up as it ends: what they do is thrown away then.
"""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from queue import Empty, Full, Queue
from typing import Any, TypeVar

from viewer.serve.answers import Refusal

T = TypeVar("T")


class Work:
    """A few threads, and a short line before them.

    Parameters
    ----------
    threads : how much is done at a time
    waiting : how many may stand in line; whoever comes then is refused
    doing : what is done, in words, for those who are refused
    """

    def __init__(self, threads: int, waiting: int, doing: str) -> None:
        self.doing = doing
        self._threads = threads
        self._line: Queue[tuple[Callable[[], Any], asyncio.Future[Any], asyncio.AbstractEventLoop]]
        self._line = Queue(waiting)
        self._started = 0
        self._lock = threading.Lock()

    async def run(self, task: Callable[[], T]) -> T:
        """What a function gives; it runs in one of the threads.

        Raises
        ------
        Refusal : too many stand in line (503)
        """
        loop = asyncio.get_running_loop()
        answer: asyncio.Future[T] = loop.create_future()
        try:
            self._line.put_nowait((task, answer, loop))
        except Full:
            raise Refusal(
                503, f"this machine is busy {self.doing} for others", "try again in a few seconds"
            ) from None
        self._start()
        return await answer

    def _start(self) -> None:
        with self._lock:
            if self._started < self._threads:
                self._started += 1
                threading.Thread(target=self._work, name=self.doing, daemon=True).start()

    def _work(self) -> None:
        while True:
            try:
                task, answer, loop = self._line.get(timeout=60.0)
            except Empty:
                with self._lock:
                    if self._line.empty():
                        self._started -= 1
                        return
                continue
            if answer.cancelled():  # who asked has gone
                continue
            try:
                found, bad = task(), None
            except BaseException as error:
                found, bad = None, error
            try:
                loop.call_soon_threadsafe(_give, answer, found, bad)
            except RuntimeError:  # the program is ending
                return
            del task, answer, found, bad  # nothing is kept alive while the thread waits


def _give(answer: asyncio.Future[Any], found: Any, bad: BaseException | None) -> None:
    if answer.done():
        return
    if bad is None:
        answer.set_result(found)
    else:
        answer.set_exception(bad)
