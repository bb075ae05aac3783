"""Putting entries into a record's text, with every comment and the order of what is there left alone.

Where an entry exists, its value is exchanged in place. A new one becomes a line at the end of its own table,
before the comments that lead over to the next; places for it are tried in the order in which a person would
choose them, and the first is taken with which the text reads as it should and not otherwise.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from datetime import date
from functools import reduce
from operator import getitem
from typing import Any, Final, TypeAlias

import tomlkit
from tomlkit.exceptions import TOMLKitError

from geometry.spec.locate import lines_of_keys

Value: TypeAlias = str | int | bool | date
Keys: TypeAlias = tuple[str, ...]
Content: TypeAlias = Mapping[str, Value]
Entries: TypeAlias = Mapping[Keys, Content | None]
"""New content by path from the top of the file; None takes an entry out."""

_PLACE_LENGTH: Final = {"bore": 2, "main": 2, "crank": 1}
_ENTRY_LINE: Final = re.compile(
    r"""([^={}#]+=[ \t]*)\{(?:[^{}"']|"(?:[^"\\]|\\.)*"|'[^']*')*\}([ \t]*(?:#.*)?\r?)"""
)
_HEADER: Final = re.compile(r"[ \t]*\[(?!\[)([^\[\]#]+)\][ \t]*(?:#.*)?\r?")


class CannotPlace(Exception):
    """The text is laid out so that an entry cannot be added without disturbing it; holds the entry's path."""


def new_text(engine_name: str, today: date | None) -> str:
    """Write the text of a record without entries."""
    started = f"started = {today.isoformat()}\n" if today else ""
    return (
        "# Build record: what was found on the bench, which way round every part went in, by whom and when.\n"
        "# The program adds entries and keeps your comments and their order; it may be edited by hand.\n"
        "# Lengths, torques and angles carry their unit: 18 thou, 0.46 mm, 45 lbf*ft, 240 deg.\n"
        f"\n[record]\nengine = {tomlkit.item(engine_name).as_string()}\n{started}"
    )


def with_entries(text: str, entries: Entries) -> str:
    """Put entries into a record's text, or take them out.

    Parameters
    ----------
    text : valid TOML
    entries : content by path

    Returns
    -------
    The new text. Read back, it differs from the old in these entries and in nothing else.

    Raises
    ------
    CannotPlace : the way the text is laid out does not allow it
    """
    quick = _at_once(text, entries) if len(entries) > 1 else None
    if quick is not None:
        return quick
    for path, content in entries.items():
        expected = tomllib.loads(text)
        if content is None and not _exists(expected, path):
            continue  # it is out already
        put(expected, path, content)
        for candidate in _candidates(text, path, content):
            if _reads_as(candidate, expected):
                text = candidate
                break
        else:
            raise CannotPlace(path)
    return text


def _at_once(text: str, entries: Entries) -> str | None:
    """The same for many entries in a text that is laid out as this program lays it out; None where it is not so."""
    expected, known, where = tomllib.loads(text), tomllib.loads(text), lines_of_keys(text)
    newline = "\r\n" if "\r\n" in text else "\n"
    lines = [line.removesuffix("\r") for line in text.rstrip("\r\n").split("\n")]
    headers = _headers(lines)
    ends, by_path = _last_lines(lines, headers, text), {path: line for line, path in headers.items()}
    more: dict[Keys, list[str]] = {}
    gone = set()
    for path, content in entries.items():
        there, table = _exists(known, path), path[: _PLACE_LENGTH[path[0]]]
        if content is None and not there:
            continue
        put(expected, path, content)
        if not there:
            more.setdefault(table, []).append(f"{_dotted(path[len(table) :])} = {_inline(content or {})}")
            continue
        number = where.get(path, 0)
        found = _ENTRY_LINE.fullmatch(lines[number - 1]) if number else None
        if found is None:
            return None
        lines[number - 1] = f"{found[1]}{_inline(content or {})}{found[2]}"
        gone |= {number} if content is None else set()
    new = dict.fromkeys(table for table in more if table not in by_path)
    kin = {
        kind: max((ends[n] for n, path in headers.items() if path[0] == kind), default=len(lines))
        for kind, *_ in new
    }
    after: dict[int, list[str]] = {}
    for table, written in more.items():
        if table in by_path:
            after.setdefault(ends[by_path[table]], []).extend(written)
        else:
            after.setdefault(kin[table[0]], []).extend(["", f"[{_dotted(table)}]", *written])
    kept = list(after.pop(0, []))
    for number, line in enumerate(lines, 1):
        kept += ([] if number in gone else [line]) + after.get(number, [])
    changed = newline.join(kept) + newline
    return changed if _reads_as(changed, expected) else None


def line_for(path: Keys, content: Content) -> str:
    """Write an entry as a person would write it, with the table that it belongs under."""
    start = _PLACE_LENGTH[path[0]]
    return f"{_dotted(path[start:])} = {_inline(content)} under [{_dotted(path[:start])}]"


def _reads_as(text: str, expected: dict[str, Any]) -> bool:
    try:
        return tomllib.loads(text) == expected
    except tomllib.TOMLDecodeError:
        return False


def put(data: dict[str, Any], path: Keys, content: Content | None) -> None:
    """Put an entry into plain data, as a TOML reader gives it, or take it out."""
    if content is None:
        _take_out(data, path)
        return
    for key in path[:-1]:
        data = data.setdefault(key, {})
    data[path[-1]] = dict(content)


def _take_out(data: Any, path: Keys) -> None:
    """Take out the entry at a path, and the tables that are left empty by it."""
    tables = [data]
    for key in path[:-1]:
        tables.append(tables[-1][key])
    for length in range(len(path), _PLACE_LENGTH[path[0]], -1):
        if length < len(path) and tables[length]:
            return
        del tables[length - 1][path[length - 1]]


def _candidates(text: str, path: Keys, content: Content | None) -> Iterator[str]:
    """Texts with the entry in it, the best first; not all of them are good."""
    if _exists(tomllib.loads(text), path) or content is None:
        yield from _in_place(text, path, content)
        return
    newline = "\r\n" if "\r\n" in text else "\n"
    lines = text.split("\n")
    if lines[-1] == "":
        lines.pop()
    lines = [line.removesuffix("\r") for line in lines]
    for new in _insertions(lines, text, path, _inline(content)):
        yield newline.join(new) + newline


def _insertions(lines: list[str], text: str, path: Keys, value: str) -> Iterator[list[str]]:
    """Lines with the new one among them: in its table, in a new one, in one of its own, at the top."""
    headers = _headers(lines)
    ends = _last_lines(lines, headers, text)
    by_path = {header: start for start, header in headers.items()}
    # TOML readers disagree whether dots may reach into a table that a header opened: stay out of those.
    dotless = max(
        (length for length in range(1, len(path)) for h in by_path if h[:length] == path[:length]), default=0
    )
    for length in range(len(path) - 1, dotless - 1, -1):
        if path[:length] in by_path:
            end = ends[by_path[path[:length]]]
            yield [*lines[:end], f"{_dotted(path[length:])} = {value}", *lines[end:]]
    kin = [start for start, header in headers.items() if header[0] == path[0]]
    after = ends[max(kin)] if kin else len(lines)
    for length in sorted({max(_PLACE_LENGTH[path[0]], dotless), len(path) - 1}):
        block = [f"[{_dotted(path[:length])}]", f"{_dotted(path[length:])} = {value}"]
        space = [""] if after and lines[after - 1].strip() else []
        yield [*lines[:after], *space, *block, *lines[after:]]
    top = ends[0]
    yield [*lines[:top], f"{_dotted(path)} = {value}", *lines[top:]]


def _headers(lines: list[str]) -> dict[int, Keys]:
    """Path of every table header by the number of its line, from 1."""
    found = {}
    for number, line in enumerate(lines, 1):
        if header := _HEADER.fullmatch(line):
            try:
                data: Any = tomllib.loads(f"[{header[1]}]")
            except tomllib.TOMLDecodeError:
                continue
            keys = []
            while data:
                key, data = next(iter(data.items()))
                keys.append(key)
            found[number] = tuple(keys)
    return found


def _last_lines(lines: list[str], headers: dict[int, Keys], text: str) -> dict[int, int]:
    """Last line that holds a key, by the line of the header that it stands under; line 0 for the top."""
    keys = sorted({line for line in lines_of_keys(text).values() if line not in headers})
    starts = [0, *sorted(headers)]
    stops = [*starts[1:], len(lines) + 1]
    return {
        start: max((line for line in keys if start < line < stop), default=start)
        for start, stop in zip(starts, stops, strict=True)
    }


def _exists(data: Any, path: Keys) -> bool:
    for key in path:
        if not isinstance(data, dict) or key not in data:
            return False
        data = data[key]
    return True


def _in_place(text: str, path: Keys, content: Content | None) -> Iterator[str]:
    """Exchange or take out an entry that is there; a comment behind a new value stays."""
    yield from _on_its_line(text, path, content)
    try:
        document: Any = tomlkit.parse(text)
        if content is None:
            _take_out(document, path)
        else:
            table = reduce(getitem, path, document)
            for key in [key for key in table if key not in content]:
                del table[key]
            table.update(content)
        yield tomlkit.dumps(document)
    except (TOMLKitError, KeyError, TypeError, ValueError, AttributeError):
        return  # a layout that the editor cannot handle: there is no such candidate


def _on_its_line(text: str, path: Keys, content: Content | None) -> Iterator[str]:
    """Exchange or take out an entry that stands on a line of its own."""
    number = lines_of_keys(text).get(path)
    if number is None:
        return
    lines = text.split("\n")
    found = _ENTRY_LINE.fullmatch(lines[number - 1])
    if found:
        changed = [] if content is None else [f"{found[1]}{_inline(content)}{found[2]}"]
        yield "\n".join([*lines[: number - 1], *changed, *lines[number:]])


def _inline(content: Content) -> str:
    """An entry on one line, with the spaces that a person would leave."""
    pairs = ", ".join(f"{key} = {tomlkit.item(value).as_string()}" for key, value in content.items())
    return f"{{ {pairs} }}"


def _dotted(keys: Keys) -> str:
    return ".".join(keys)
