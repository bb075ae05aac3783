"""From the text of a parts file to measured parts, or to one clear line for everything that is wrong with it.

A parts file holds tables, one after the other, their columns parted by commas. The first cell of a heading names the
kind (``piston``), the others a column and its unit (``height in``, ``mass g``); a cell may carry its own unit, and its
tolerance (``1.4502 in +- 0.1 thou``). What stands after ``#`` is a comment. Two more tables may stand among them:
``limit`` (``least``, ``most``, ``source``) in place of the trade's, and ``goal`` (``weight``, ``one``).
"""

from __future__ import annotations

import csv
import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Final

from geometry.doubt import read_doubtful
from geometry.errors import InputError, Problem, refused
from geometry.matching.columns import (
    COUNTED,
    EVEN,
    FITS,
    GOALS,
    KINDS,
    NEEDED,
    Goal,
    MeasuredPart,
    Size,
    SizeColumn,
)
from geometry.rings.source import Source
from geometry.spec.engine import Engine
from geometry.spec.load import read_text
from geometry.trade import FitRange
from geometry.units import DIMENSIONS, System, UnitError, show

MOST_PARTS: Final = 64
"""Of one kind: no shelf has more for one engine."""
LONGEST_LINE: Final = 2000
LONGEST_NAME: Final = 40
FAR: Final = 0.1
"""A size this share from the engine file's is a slip of the unit or of the decimal point."""
_COUNT: Final = "pairs"
_LIMIT: Final = ("least", "most", "source")
_GOAL: Final = ("weight", "one")
_NUMBER: Final = re.compile(r"\s*([+-]?(?:\d+/\d+|\d+\.?\d*|\.\d+))\s*(?=$|[±+-])(.*)", re.ASCII | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A parts file.

    Attributes
    ----------
    parts : by kind, in the order of the file; the kinds that it does not have are missing
    limits : in place of the trade's, by name of the fit
    goals : what each thing counts, by name
    """

    parts: Mapping[str, tuple[MeasuredPart, ...]]
    limits: Mapping[str, FitRange] = field(default_factory=dict)
    goals: Mapping[str, Goal] = field(default_factory=lambda: GOALS)


def read_sheet(path: str | os.PathLike[str], spec: Engine, system: System) -> Sheet:
    """Read a parts file for an engine.

    Parameters
    ----------
    path : the file, of up to 1 MiB
    spec : the engine that the parts are for
    system : units of messages

    Raises
    ------
    InputError : every problem at once, with its line
    """
    return sheet_of(read_text(path, "CSV"), os.fspath(path), spec, system)


def sheet_of(text: str, file: str, spec: Engine, system: System) -> Sheet:
    """The same from the text of the file."""
    reader = _Reader(file, spec, system)
    for number, line in enumerate(text.split("\n"), 1):
        reader.line = number
        if len(line) > LONGEST_LINE:
            raise refused(file, "", "a line is too long to be a row of parts", "a row for each part", number)
        cells = [cell.strip() for cell in _cells(line.rstrip("\r"))]
        if any(cells):
            reader.row(cells)
    reader.complete()
    if reader.problems:
        raise InputError(reader.problems)
    parts = {kind: tuple(found) for kind, found in reader.parts.items()}
    return Sheet(parts, reader.limits, {**GOALS, **reader.goals})


def _cells(line: str) -> list[str]:
    return next(csv.reader([line.split("#", 1)[0]], skipinitialspace=True), [])


class _Wrong(Exception):
    """Something wrong in the line that is being read: what, and what would be right."""

    def __init__(self, what: str, right: str, key: str = "") -> None:
        super().__init__(what)
        self.what, self.right, self.key = what, right, key


class _Reader:
    """One pass over the file; what is wrong is kept, and the pass goes on."""

    def __init__(self, file: str, spec: Engine, system: System) -> None:
        self.file, self.spec, self.system = file, spec, system
        self.line = 0
        self.problems: list[Problem] = []
        self.parts: dict[str, list[MeasuredPart]] = {}
        self.limits: dict[str, FitRange] = {}
        self.goals: dict[str, Goal] = {}
        self.kind = ""
        self.columns: list[tuple[str, str]] = []  # name and unit
        self.skip = False

    def row(self, cells: list[str]) -> None:
        """One line that is not empty."""
        head = cells[0].lower()
        try:
            if head in KINDS or head in ("limit", "goal"):
                self.skip = True  # until the heading is understood
                self._heading(head, cells[1:])
                self.skip = False
            elif not self.kind and not self.skip:
                self.skip = True  # all that follows says the same
                raise _Wrong(f'"{cells[0]}" stands before any heading', self._kinds())
            elif not self.skip:
                self._body(cells)
        except _Wrong as wrong:
            self._keep(wrong, self.line)

    def _keep(self, wrong: _Wrong, line: int | None) -> None:
        self.problems.append(Problem(self.file, line, wrong.key, wrong.what, wrong.right))

    @staticmethod
    def _kinds() -> str:
        return f"a heading that begins with one of {', '.join(KINDS)}, limit or goal"

    def _heading(self, kind: str, cells: list[str]) -> None:
        self.kind, self.columns = kind, []
        if self.parts.get(kind):
            raise _Wrong(f"the table {kind} stands twice", "one table for each kind")
        for cell in cells:
            self.columns.append(self._column(kind, cell))
        names = [name for name, _ in self.columns]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice:
            raise _Wrong(f"the column {twice} stands twice", "each column once", kind)
        lacking = [name for name in NEEDED.get(kind, ()) if name not in names]
        if lacking or not names:
            needed = lacking[0] if lacking else self._known(kind)[0]
            raise _Wrong(f"the column {needed} is missing", f"write {kind}, {needed} in", kind)

    @staticmethod
    def _known(kind: str) -> list[str]:
        if kind in KINDS:
            return [column.words for column in KINDS[kind]] + [_COUNT] * (kind == COUNTED)
        return list(_LIMIT if kind == "limit" else _GOAL)

    def _column(self, kind: str, cell: str) -> tuple[str, str]:
        """Name and unit of a column, from its heading."""
        known, plain = self._known(kind), " ".join(cell.lower().split())
        fits = [name for name in known if plain == name or plain.startswith((f"{name} ", f"{name}("))]
        if not fits:
            near = get_close_matches(plain, known, 1)
            right = f"did you mean {near[0]}?" if near else f"known are {', '.join(known)}"
            raise _Wrong(f'the column "{cell}" is not known', right, kind)
        name = max(fits, key=len)
        return name, " ".join(cell.split())[len(name) :].strip(" ()[]")

    def _body(self, cells: list[str]) -> None:
        name, kind = cells[0], self.kind
        if len(cells) != len(self.columns) + 1:
            what = f"{len(cells)} cells stand under {len(self.columns) + 1} headings"
            raise _Wrong(
                what, "a cell for each column; leave a column out where it was not measured", f"{kind} {name}"
            )
        row = dict(zip((column for column, _ in self.columns), cells[1:], strict=True))
        if kind == "limit":
            self._limit(name, row)
        elif kind == "goal":
            self._goal(name, row)
        else:
            self._part(name, row)

    def _unit(self, column: str) -> str:
        return dict(self.columns)[column]

    def _part(self, name: str, row: Mapping[str, str]) -> None:
        kind = self.kind
        found = self.parts.setdefault(kind, [])
        if not name:
            raise _Wrong("a part has no name", "a name in the first cell", kind)
        if len(name) > LONGEST_NAME:
            raise _Wrong(f"a name of {len(name)} characters", f"at most {LONGEST_NAME}", kind)
        before = next((part for part in found if part.name == name), None)
        if before is not None:
            raise _Wrong(f"stands in line {before.line} already", "a name for each", f"{kind} {name}")
        if len(found) == MOST_PARTS:
            raise _Wrong(f"more than {MOST_PARTS} of a kind", "the parts for this engine", kind)
        known = {column.words: column for column in KINDS[kind]}
        sizes = {
            column: self._size(f"{kind} {name} {column}", known[column], text)
            for column, text in row.items()
            if column != _COUNT
        }
        count = self._count(f"{kind} {name}", row[_COUNT]) if _COUNT in row else 1
        found.append(MeasuredPart(kind, name, self.line, sizes, count))

    @staticmethod
    def _count(key: str, text: str) -> int:
        if not re.fullmatch(r"\d{1,3}", text):
            raise _Wrong(f'"{text}" is not a number of pairs', "a whole number, such as 4", key)
        return int(text)

    def _size(self, key: str, column: SizeColumn, text: str) -> Size:
        size = self._quantity(key, column.dimension, text, self._unit(column.words))
        if size.value <= 0:
            raise _Wrong(f'"{text}" is not above zero', "the size as measured", key)
        design = column.design(self.spec)
        if design is not None and column.dimension == "length" and abs(size.value - design) > FAR * design:
            shown, usual = (show(v, "length", self.system, fine=True) for v in (size.value, design))
            raise _Wrong(
                f"{shown} is far from the engine file's {usual}",
                "the size as measured; look at the unit",
                key,
            )
        return size

    @staticmethod
    def _quantity(key: str, dimension: str, text: str, unit: str) -> Size:
        """A quantity with its own unit, or with that of its column."""
        if not text:
            raise _Wrong("an empty cell", "the size; leave the column out where it was not measured", key)
        bare = _NUMBER.fullmatch(text)
        if bare and unit:
            tolerance = bare[2] if not bare[2] or re.search(r"[^\W\d]", bare[2]) else f"{bare[2]} {unit}"
            text = f"{bare[1]} {unit} {tolerance}".strip()
        elif bare:
            right = f'"{text} {DIMENSIONS[dimension].examples[0].split()[-1]}", or a unit beside the column\'s name'
            raise _Wrong(f'"{text}" has no unit', right, key)
        try:
            found = read_doubtful(text, dimension)
        except UnitError as error:
            raise _Wrong(error.what, error.right, key) from None
        if found.about:
            raise _Wrong(
                f'"{text}" is not a size', "the size as measured, with its tolerance if need be", key
            )
        return Size(found.nominal, found.minus, found.plus)

    def _named(self, name: str, known: list[str], what: str) -> None:
        if name not in known:
            near = get_close_matches(name, known, 1)
            right = f"did you mean {near[0]}?" if near else f"one of {', '.join(known)}"
            raise _Wrong(f'there is no {what} "{name}"', right)
        if name in (self.limits if what == "limit" else self.goals):
            raise _Wrong(f"the {what} of {name} stands twice", "each once")

    def _limit(self, name: str, row: Mapping[str, str]) -> None:
        self._named(name, list(FITS), "limit")
        key = f"limit {name}"
        least, most = (
            None if row.get(side, "") in ("", "-")
            else self._quantity(key, "length", row[side], self._unit(side)).value
            for side in ("least", "most")
        )  # fmt: skip
        if least is None and most is None:
            raise _Wrong("neither least nor most", "one of them, or both", key)
        if least is not None and most is not None and most <= least:
            raise _Wrong("the most is not above the least", "least, then most", key)
        source = row.get("source") or "your parts file"
        self.limits[name] = FitRange(least, most, Source(source, "stated"))

    def _goal(self, name: str, row: Mapping[str, str]) -> None:
        self._named(name, list(GOALS), "goal")
        key, usual = f"goal {name}", GOALS[name]
        text = row.get("weight", "")
        if text and not re.fullmatch(r"\d{1,6}(\.\d{1,6})?", text):
            raise _Wrong(f'"{text}" is not a weight', "a number, zero or more: 0 leaves it out", key)
        one, said = usual.one, row.get("one", "")
        if said and said != "-":
            if usual.one is None:
                right = "leave it empty: one is half of what lies between the limits"
                raise _Wrong("the limits say what counts as one", right, key)
            one = self._quantity(key, "mass" if name == EVEN else "length", said, self._unit("one")).value
            if one <= 0:
                raise _Wrong(f'"{said}" is not above zero', "what counts as one, such as 1 thou", key)
        self.goals[name] = Goal(float(text) if text else usual.weight, one)

    def complete(self) -> None:
        """What can only be told of the whole file."""
        if self.problems:
            return
        for wrong, line in self._lacks():
            self._keep(wrong, line)

    def _lacks(self) -> Iterator[tuple[_Wrong, int | None]]:
        numbers = sorted(n for bank in self.spec.engine.numbering.banks().values() for n in bank)
        listed = ", ".join(map(str, numbers))
        if not any(kind != "bore" and found for kind, found in self.parts.items()):
            yield _Wrong("holds no parts to match", self._kinds()), None
        bores = self.parts.get("bore", [])
        for part in bores:
            if part.name not in map(str, numbers):
                yield _Wrong(f"this engine has no bore {part.name}", f"its bores are {listed}"), part.line
        missing = [str(n) for n in numbers if str(n) not in {part.name for part in bores}]
        if bores and missing:
            yield (
                _Wrong(f"bore {missing[0]} is missing", f"a row for each bore: {listed}", "bore"),
                bores[0].line,
            )
        for kind, found in self.parts.items():
            there = sum(part.count for part in found)
            if kind != "bore" and there < len(numbers):
                what = f"{there} {'pairs' if kind == COUNTED else 'of them'} for {len(numbers)} bores"
                yield _Wrong(what, "at least one for each bore", kind), found[0].line if found else None
        for kind, there_is in (("second ring", self.spec.rings.second is not None),):
            if self.parts.get(kind) and not there_is:
                yield _Wrong("the pistons have no such ring", "leave it out", kind), self.parts[kind][0].line
