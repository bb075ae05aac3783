"""Writing to the terminal, a pipe or a file, whatever that can show."""

from __future__ import annotations

import contextlib
import os
import re
import signal
import sys
import threading
import time
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

PLAIN_WIDTH = 150
"""Columns of a table where the output is no terminal."""
_QUANTITY = re.compile(r"[-<>]?[\d.]+ \S+")
_BETWEEN = 2
"""Columns of the terminal between two of a table."""
STOPS = ("SIGTERM", "SIGHUP")
TOLD_EVERY_S = 5.0
"""Time between two lines of progress where none can be written over."""
WRITTEN_OVER_EVERY_S = 0.5
T = TypeVar("T")


class Terminal:
    """Where a command tells its answer in words and tables: as wide as the terminal, plain where there is none."""

    def __init__(self) -> None:
        from rich.console import Console

        class Piped(Console):
            def on_broken_pipe(
                self,
            ) -> None:  # a reader that has gone raises the same error here as elsewhere
                raise BrokenPipeError

        width = None if sys.stdout.isatty() else PLAIN_WIDTH
        # no emoji: nobody writes them here, and the list of their names is slow to import
        self.console = Piped(highlight=False, emoji=False, width=width)

    def say(self, *lines: str, style: str = "") -> None:
        """Print lines as they are."""
        from rich.text import Text

        for line in lines:
            self.console.print(Text(line, style=style))

    def say_headed(self, head: str, text: str) -> None:
        """Print a line that begins with bold words."""
        from rich.text import Text

        self.console.print(Text(head, style="bold") + Text(text))

    def table(
        self,
        headings: Iterable[str],
        rows: Iterable[tuple[Iterable[str], str]],
        title: str | None = None,
        whole: Collection[str] = (),
    ) -> None:
        """Print a table; each row is its cells and the style of all of them.

        Parameters
        ----------
        whole : headings of columns whose words are never broken, however narrow the terminal
        """
        from rich.table import Table
        from rich.text import Text

        table = Table(title=title, title_justify="left", title_style="bold", box=None, pad_edge=False)
        heads, body = list(headings), [(list(cells), style) for cells, style in rows]
        widths = _widths(heads, [cells for cells, _ in body], self.console.width, whole)
        for heading, width in zip(heads, widths, strict=True):
            table.add_column(heading, overflow="fold", no_wrap=heading in whole, width=width)
        for cells, style in body:
            table.add_row(*[Text(cell) for cell in cells], style=style)
        self.console.print(table)


def _widths(
    heads: Sequence[str], rows: Sequence[Sequence[str]], room: int, whole: Collection[str]
) -> list[int]:
    """How wide each column of a table is: as its longest cell, or so that no word is broken where there is less room.

    Headings give way first, then the widest: down to their longest quantity or word, then to their longest word, then
    anything goes.
    """
    columns = [[head, *(row[k] for row in rows)] for k, head in enumerate(heads)]
    found = [max(map(len, column)) for column in columns]
    longest = ([_longest(column, quantities) for column in columns] for quantities in (True, False))
    cells = [max([_longest(column[:1], False), *map(len, column[1:])]) for column in columns]
    for words in (cells, *longest, [1] * len(found)):
        least = [
            full if head in whole else word for head, full, word in zip(heads, found, words, strict=True)
        ]
        while sum(found) + _BETWEEN * (len(found) - 1) > room:
            widest = max(range(len(found)), key=lambda k: (found[k] > least[k], found[k]))
            if found[widest] <= least[widest]:
                break
            found[widest] -= 1
    return found


def _longest(column: Sequence[str], quantities: bool) -> int:
    """Length of the longest word of some cells; a number and its unit count as one word where that is asked."""
    words = ([cell] if quantities and _QUANTITY.fullmatch(cell) else cell.split() for cell in column)
    return max((len(word) for found in words for word in found), default=1)


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


def followed(
    things: Iterable[T], count: int, doing: str, name: str, costs: Sequence[float] | None = None
) -> Iterator[T]:
    """Pass things on and tell on the error output how far along they are: one line there, or a few where it is piped.

    Parameters
    ----------
    count : how many there will be
    doing, name : what is done, and what the things are called: ``Filming``, ``pictures``
    costs : (count,) how long each takes, as shares of one another; None: all as long
    """
    line = _Line(sys.stderr.isatty())
    line.say(f"{doing}: {count} {name}")
    left = float(count if costs is None else sum(costs))
    began = told = spent = 0.0
    try:
        for done, thing in enumerate(things):
            now = time.monotonic()
            if not done:  # what the first one took is no measure of the others
                began = told = now
            else:
                spent += 1.0 if costs is None else costs[done]
                if now - told >= line.every_s:
                    told, left_s = now, (now - began) / spent * left
                    line.say(f"{doing}: {done} of {count} {name}, about {left_s:.0f} s left")
            left -= 1.0 if costs is None else costs[done]
            yield thing
    finally:
        line.end()


def writing(numbers: Iterable[int], count: int) -> Iterator[int]:
    """Follow the pictures of a film that are written after the last was drawn."""
    return followed(numbers, count, "Writing", "pictures")


@dataclass(slots=True)
class _Line:
    """A line of the error output that is written over on a terminal, and line after line elsewhere."""

    over: bool
    _wide: int = 0

    @property
    def every_s(self) -> float:
        """Time between two of them."""
        return WRITTEN_OVER_EVERY_S if self.over else TOLD_EVERY_S

    def say(self, words: str) -> None:
        """Tell how far it is."""
        import click

        if not self.over:
            click.echo(words, err=True)
            return
        before, self._wide = self._wide, len(words)
        click.echo(f"\r{words:<{before}}", nl=False, err=True)

    def end(self) -> None:
        """Leave nothing of it on a terminal."""
        import click

        if self.over and self._wide:
            click.echo(f"\r{'':<{self._wide}}\r", nl=False, err=True)


def drop_output() -> None:
    """Throw away what is still waiting to be written where nobody reads or nothing fits, so that exiting is silent."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
