"""Writing to the terminal, a pipe or a file, whatever that can show."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import threading
from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console

PLAIN_WIDTH = 150
"""Columns of a table where the output is no terminal."""
STOPS = ("SIGTERM", "SIGHUP")


def console() -> Console:
    """Where tables go, as wide as the terminal; a reader that has gone raises ``BrokenPipeError`` here too."""
    from rich.console import Console

    class Piped(Console):
        def on_broken_pipe(self) -> None:
            raise BrokenPipeError

    return Piped(highlight=False, width=None if sys.stdout.isatty() else PLAIN_WIDTH)


def prepare_streams() -> None:
    """Let an output that cannot show a character show a question mark, and one that is closed swallow everything."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115
        elif hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


@contextlib.contextmanager
def stopping_cleanly() -> Iterator[None]:
    """Let a program that is told to stop take away what it has half written, as one stopped by Ctrl-C does."""
    asked = [number for name in STOPS if (number := getattr(signal, name, None)) is not None]
    if threading.current_thread() is not threading.main_thread():
        asked = []  # only the main thread may ask for signals
    before = {number: signal.getsignal(number) for number in asked}
    before = {number: handler for number, handler in before.items() if handler is signal.SIG_DFL}
    for number in before:
        signal.signal(number, lambda number, _: sys.exit(128 + number))
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def drop_output() -> None:
    """Throw away what is still waiting to be written where nobody reads or nothing fits, so that exiting is silent."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
