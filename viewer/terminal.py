"""Writing to the terminal, a pipe or a file, whatever that can show."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console

PLAIN_WIDTH = 150
"""Columns of a table where the output is no terminal."""


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


def drop_output() -> None:
    """Throw away what is still waiting to be written where nobody reads or nothing fits, so that exiting is silent."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
