"""The two ways a job can be refused: the input is badly written, or what it describes cannot exist."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

_LONGEST_WORD: Final = 200
_KEPT_OF_IT: Final = 40


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in one file, said so that the person who wrote it can put it right.

    Attributes
    ----------
    file : the file as the user named it; empty when there is none
    line : line number counted from 1, or None where no line can be blamed
    key : dotted path as the user writes it (``crank.pin.width``, ``section[2]``); empty for the whole file
    what : what is wrong
    right : what would be right; empty where ``what`` already says it

    Examples
    --------
    >>> print(Problem("my.toml", 12, "crank.stroke", "the bare number 88 has no unit", 'write "88 mm"'))
    my.toml:12: crank.stroke: the bare number 88 has no unit; write "88 mm"
    """

    file: str
    line: int | None
    key: str
    what: str
    right: str = ""

    def __str__(self) -> str:
        place = self.file if self.line is None else f"{self.file}:{self.line}"
        said = f"{self.what}; {self.right}" if self.right else self.what
        words = (one_line(place), *(one_line(shortened(part)) for part in (self.key, said)))
        return ": ".join(part for part in words if part)


def one_line(text: str) -> str:
    """The text with everything that is no printable character written as an escape; a file may be called anything."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)


def shortened(text: str) -> str:
    """The text with every word of it that nobody would read to its end cut: a number of 5,000 digits, for one."""
    return re.sub(rf"\S{{{_LONGEST_WORD},}}", lambda found: f"{found[0][:_KEPT_OF_IT]}...", text)


class InputError(ValueError):
    """A file, an option or a reading that cannot be used as written.

    Attributes
    ----------
    problems : everything found wrong, all at once; the message has a line for each
    """

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


def refused(file: object, key: str, what: str, right: str = "", line: int | None = None) -> InputError:
    """The error of one problem alone, ready to raise; the file may be an option of the command line, ``--set``."""
    return InputError([Problem(str(file), line, key, what, right)])


class PartError(TypeError):
    """A part file that leaves out what every part must say: a slip in the program, never of an engine file."""


class GeometryError(ValueError):
    """Well-written numbers that describe parts which cannot exist or cannot be put together.

    Attributes
    ----------
    code : short fixed name of the rule that is broken, for programs
    key : dotted key of the quantity to look at
    what : what is wrong
    right : what would be right
    """

    def __init__(self, code: str, key: str, what: str, right: str = "") -> None:
        self.code = code
        self.key = key
        self.what = what
        self.right = right
        said = f"{what}; {right}" if right else what
        super().__init__(one_line(shortened(f"{key}: {said}" if key else said)))
