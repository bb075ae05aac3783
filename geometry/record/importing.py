"""A table of readings as it comes out of a spreadsheet, read into a record: all of it or nothing."""

from __future__ import annotations

import csv
import os
import re
from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from datetime import date
from difflib import get_close_matches
from typing import Any, Final

from geometry.errors import InputError, Problem, refused
from geometry.record.blank import STAMPS, Plain
from geometry.record.catalogue import KIND_AT
from geometry.record.document import new_text, put
from geometry.record.entries import entered
from geometry.record.head import HEAD, put_head, with_head
from geometry.record.history import EntryChange, changes_between, entries_of
from geometry.record.load import data_of, record_of_data
from geometry.record.place import BenchPlace, read_places
from geometry.record.steps import with_step
from geometry.record.store import edit
from geometry.record.table import PLACE, TOLD, VALUES
from geometry.record.words import Written, read_values, sides_named
from geometry.spec.engine import Engine
from geometry.spec.known import fields_of
from geometry.units import System

SEPARATORS: Final = (",", ";", "\t")
_KNOWN: Final = (*PLACE, *VALUES, *STAMPS, *TOLD)
_NUMBERS: Final = ("value", "go", "tight", "depth", "along", "across", "resolution", "least", "most")
_EMPTY: Final = ("", "-", "–")
_CAN_BE_ASKED_AGAIN: Final = "the record was changed by somebody else since the preview"


@dataclass(frozen=True, slots=True)
class Import:
    """What a table would enter into a record.

    Attributes
    ----------
    changes : every reading that would become another, new ones among them
    head : what the record would say of itself, its instruments and its limits that it does not say now
    same : how many rows say what stands there already
    refused : what is wrong with the table, with line and column; with any of these nothing is entered
    entries : content by place and path
    """

    changes: tuple[EntryChange, ...]
    head: Mapping[tuple[str, str], Plain]
    same: int
    refused: tuple[Problem, ...]
    entries: Mapping[tuple[BenchPlace, str], Written]

    @property
    def is_empty(self) -> bool:
        """Whether it would change nothing."""
        return not self.changes and not self.head


@dataclass(slots=True)
class _Table:
    """The rows of a table while they are being read."""

    file: str
    written: dict[tuple[BenchPlace, str], Written] = field(default_factory=dict)
    head: dict[tuple[str, str], Plain] = field(default_factory=dict)
    line_of: dict[str, int] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def refuse(self, line: int | None, column: str, what: str, right: str) -> None:
        self.problems.append(Problem(self.file, line, f"column {column}" if column else "", what, right))


def planned(
    engine: Engine,
    record: str | None,
    table: str,
    file: str,
    by: str | None = None,
    system: System | None = None,
) -> Import:
    """What a table would enter; nothing is saved.

    Parameters
    ----------
    engine : the engine that the record belongs to
    record : the record's text, None where there is none yet
    table : text of the table: a line of column names, then a row for each entry
    file : the table's name, for messages
    by : initials for rows that have none
    system : units of the words

    Raises
    ------
    InputError : the record is no good one, or the table cannot be read as one
    """
    data = data_of(record, "") if record else {}
    found = _read(engine, table, file, by)
    merged: dict[str, Any] = deepcopy(data)
    for one in found.written.values():
        put(merged, one.keys, one.content or {})
    for (name, key), content in found.head.items():
        put_head(merged, name, key, content)
    changes: tuple[EntryChange, ...] = ()
    try:
        record_of_data(engine, merged)
        changes = changes_between(engine, data, merged, system)
    except InputError as bad:
        found.problems += [_in_table(problem, found) for problem in bad.problems]
    head = {
        (name, key): content
        for (name, key), content in found.head.items()
        if (data.get(name) or {}).get(key) != merged[name][key]
    }
    same = len(found.written) + len(found.head) - len(changes) - len(head)
    return Import(changes, head, same, tuple(found.problems), found.written)


def save_import(path: str | os.PathLike[str], engine: Engine, seen: Import, on: date | None = None) -> None:
    """Enter a table whose preview somebody has seen; when this returns, all of it is safely on the disk, as one step.

    Parameters
    ----------
    path, engine : as for ``set_entries``
    seen : the preview
    on : the day on which a record that is not there yet is started

    Raises
    ------
    InputError : the record was changed since in what the table is about, or cannot be saved; nothing was written
    """
    file = os.fspath(path)
    wanted = {(one.place, one.path): one.before for one in seen.changes}

    def change(text: str | None) -> str:
        now = entries_of(data_of(text, file)) if text else {}
        if any(now.get(key) != before for key, before in wanted.items()):
            raise refused(
                file, "", _CAN_BE_ASKED_AGAIN, "import it again and look at what it would change now"
            )
        started = None if ("record", "engine") in seen.head else on
        before = new_text(engine.engine.name, started) if text is None else text
        before = with_head(before, seen.head, file)
        entries = {seen.entries[key].keys: seen.entries[key].content for key in wanted}
        return entered(before, file, engine, entries, on)

    edit(path, change, lambda told, before, after: with_step(told, before, after, "import"))


def _read(engine: Engine, text: str, file: str, by: str | None) -> _Table:
    table = _Table(file)
    lines = text.splitlines(keepends=True)
    skipped = 1 if lines and re.match(r"sep=.\s*$", lines[0]) else 0
    separator, names = _columns(lines[skipped:], file, skipped + 1)
    for number, cells in _rows(lines[skipped:], separator, file, skipped):
        if number == skipped + 1:
            continue
        row = dict(zip(names, cells, strict=False))
        if any(cell.strip() for cell in cells[len(names) :]):
            right = "put a number with a comma into quotes, or separate the columns by semicolons"
            table.refuse(number, str(len(names) + 1), "there are more cells than columns", right)
            continue
        _read_row(engine, table, number, row, by)
    return table


def _columns(lines: list[str], file: str, number: int) -> tuple[str, list[str]]:
    """The separator, and the columns by name, which may be written large."""
    for separator in SEPARATORS:
        names = [name.strip().lower() for name in next(csv.reader(lines[:1], delimiter=separator), [])]
        if set(PLACE) <= set(names):
            break
    else:
        right = (
            "the first line names the columns: place, entry, value, go, tight .. ; export writes such a table"
        )
        raise refused(file, "", "has no columns place and entry", right, number)
    problems = []
    for name in names:
        if name and name not in _KNOWN:
            near = get_close_matches(name, _KNOWN, 1, 0.6)
            right = f"did you mean {near[0]}?" if near else f"columns are {', '.join(_KNOWN)}"
            problems.append(Problem(file, number, f"column {name}", "is not known", right))
        elif name and names.count(name) > 1:
            problems.append(
                Problem(file, number, f"column {name}", "is there twice", "leave one of them out")
            )
    if problems:
        raise InputError(dict.fromkeys(problems))
    return separator, names


def _rows(lines: list[str], separator: str, file: str, skipped: int) -> Iterator[tuple[int, list[str]]]:
    """Rows with the line on which each begins."""
    reader, begins = csv.reader(lines, delimiter=separator, strict=True), 1
    try:
        for cells in reader:
            yield begins + skipped, cells
            begins = reader.line_num + 1
    except csv.Error as bad:
        right = "a cell that begins with a quote ends with one"
        raise refused(file, "", f"is not a row of a table: {bad}", right, begins + skipped) from None


def _read_row(engine: Engine, table: _Table, line: int, row: Mapping[str, str], by: str | None) -> None:
    values = {
        name: cell if name == "note" else cell.strip()
        for name, cell in row.items()
        if name in (*VALUES, *STAMPS)
    }
    values = {name: _cell(name, cell) for name, cell in values.items() if cell.strip() not in _EMPTY}
    if not set(values) - set(STAMPS):
        return  # a line of a form that nobody filled in
    where, entry = row.get("place", "").strip(), row.get("entry", "").strip()
    for name, said in (("place", where), ("entry", entry)):
        if not said:
            table.refuse(
                line,
                name,
                "is empty",
                "write bore 3, for example" if name == "place" else "write deck, for example",
            )
            return
    if where.lower() in HEAD:
        _keep(table, line, f"{where.lower()}.{entry}", f"{where} {entry}")
        table.head[where.lower(), entry] = {
            name: value for name, value in values.items() if name not in STAMPS
        }
        return
    try:
        places = read_places(engine, where)
    except InputError as bad:
        for problem in bad.problems:
            table.refuse(line, "place", f"{problem.key}: {problem.what}", problem.right)
        return
    for place in places:
        if not _enter(engine, table, line, Written(place, entry, values), by, row):
            return  # of several places it is wrong in each


def _enter(
    engine: Engine, table: _Table, line: int, typed: Written, by: str | None, row: Mapping[str, str]
) -> bool:
    """Whether the row of one entry can be read."""
    place, path, values = typed.place, sides_named(engine, typed.place, [typed.path])[0], typed.content or {}
    words, kind = f"{place.words} {path}", KIND_AT.get((place.kind, path))
    known = fields_of([kind.entry]) if kind else values
    for name in (name for name in values if name not in known):
        has = ", ".join(column for column in VALUES if column in known)
        table.refuse(line, name, f"{words} has no {name}", f"it has {has}")
        return False
    try:
        texts = {name: str(value) for name, value in values.items()}
        written = read_values(engine, place.words, path, texts, by=by)
    except InputError as bad:
        for problem in bad.problems:
            column = _column(problem.key, words, row)
            table.refuse(line, column, f"{words}: {problem.what}", problem.right)
        return False
    if not _keep(table, line, ".".join(written.keys), words):
        return False
    table.written[place, path] = written
    return True


def _keep(table: _Table, line: int, keys: str, words: str) -> bool:
    """Whether a row is the first about its entry."""
    if keys in table.line_of:
        what, right = f"{words} stands in line {table.line_of[keys]} already", "leave one of them out"
        table.refuse(line, "entry", what, right)
        return False
    table.line_of[keys] = line
    return True


def _column(key: str, entry: str, row: Mapping[str, str]) -> str:
    """The column that a problem of one entry is about."""
    name = key.removeprefix(entry).removeprefix(".")
    return name if name in row else "entry" if not key.startswith(entry) else "value"


def _cell(name: str, cell: str) -> str:
    """A cell as the record writes it: a decimal point for a comma, the year of a day first."""
    if name in _NUMBERS:
        return re.sub(r"^([+-]?\d+),(\d+)(?![\d.,])", r"\1.\2", cell)
    day = re.fullmatch(r"(\d{1,2})\.(\d{1,2})\.(\d{4})", cell) if name == "on" else None
    return f"{day[3]}-{int(day[2]):02d}-{int(day[1]):02d}" if day else cell


def _in_table(problem: Problem, table: _Table) -> Problem:
    """A problem of the record that would be, at the line of the table that brings it."""
    keys = max(
        (keys for keys in table.line_of if f"{problem.key}.".startswith(f"{keys}.")), key=len, default=""
    )
    column = problem.key.removeprefix(keys).removeprefix(".")
    column = f"column {column}" if column in VALUES else ""
    said = " ".join(filter(None, (keys.replace(".", " ", 2), column))) or problem.key
    return Problem(table.file, table.line_of.get(keys), said, problem.what, problem.right)
