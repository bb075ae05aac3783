"""Where in a TOML text a key stands, so that a message can name the line.

A TOML reader gives values and forgets places. This scanner reads the same text once more, only for places; it
expects text that a TOML reader has already accepted and never judges it.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from contextlib import suppress
from typing import Final, TypeAlias

Path: TypeAlias = tuple[str | int, ...]
"""Keys and positions in arrays (from 0) that lead from the top of a file to a value."""

_BLANK: Final = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE: Final = re.compile(r"[ \t]*")
_KEY: Final = re.compile(r"""[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'""")
_TEXT: Final = re.compile(
    r'"""(?:[^\\]|\\.)*?"""(?:"{0,2})|\'\'\'.*?\'\'\'(?:\'{0,2})|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'', re.DOTALL
)
_PLAIN: Final = re.compile(r"[^,\]}#\n]*")


def lines_of_keys(text: str) -> dict[Path, int]:
    """Line of every table, key and array item of a TOML text.

    Parameters
    ----------
    text : TOML that ``tomllib`` accepts

    Returns
    -------
    Line, counted from 1, by path. Of a text that the scanner does not understand, the part before that place.
    """
    scanner = _Scanner(text)
    with suppress(_NotUnderstood, RecursionError):
        scanner.document()
    return scanner.lines


def line_of(path: Path, lines: dict[Path, int]) -> int | None:
    """Line of a path, or of the nearest table or array around it that has one."""
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return None


def written(path: Path) -> str:
    """A path as the user writes it: ``crank.pin.width``, ``rings[2].section``; arrays count from 1."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            key = part if re.fullmatch(r"[A-Za-z0-9_-]+", part) else f'"{part}"'
            text += f".{key}" if text else key
    return text


def read_written(text: str) -> Path | None:
    """The path of a text such as ``rings[2].section``, positions as they stand; None when it is no path."""
    if not re.fullmatch(r"[A-Za-z0-9_-]+(\[[0-9]{1,6}\])*(\.[A-Za-z0-9_-]+(\[[0-9]{1,6}\])*)*", text):
        return None
    parts = re.findall(r"\[([0-9]+)\]|([A-Za-z0-9_-]+)", text)
    return tuple(int(position) if position else key for position, key in parts)


class _NotUnderstood(Exception):
    """The text is not what a TOML reader would have accepted."""


class _Scanner:
    """One pass over the text; ``lines`` fills as it goes."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[Path, int] = {}
        self._line_starts = [0, *(found.end() for found in re.finditer("\n", text))]
        self._items: dict[Path, int] = {}  # tables so far in each array of tables

    def document(self) -> None:
        table: Path = ()
        while self._skip(_BLANK) < len(self.text):
            if self.text.startswith("[", self.at):
                table = self._header()
            else:
                self._key_and_value(table)

    def _header(self) -> Path:
        line = self._line()
        is_array = self.text.startswith("[[", self.at)
        self.at += 2 if is_array else 1
        keys = self._keys()
        self.at += 2 if is_array else 1
        path: Path = ()
        for place, key in enumerate(keys):
            path = (*path, key)
            self.lines.setdefault(path, line)
            if is_array and place == len(keys) - 1:
                self._items[path] = self._items.get(path, 0) + 1
            if path in self._items:
                path = (*path, self._items[path] - 1)
                self.lines.setdefault(path, line)
        self.lines[path] = line  # a table's own header, rather than the first mention of a table inside it
        return path

    def _key_and_value(self, table: Path) -> None:
        line = self._line()
        path = table
        for key in self._keys():
            path = (*path, key)
            self.lines.setdefault(path, line)
        self._expect("=")
        self._skip(_SPACE)
        self._value(path)

    def _value(self, path: Path) -> None:
        if self.text.startswith("[", self.at):
            self._inside(path, "]")
        elif self.text.startswith("{", self.at):
            self._inside(path, "}")
        elif found := _TEXT.match(self.text, self.at):
            self.at = found.end()
        else:
            self._skip(_PLAIN)

    def _inside(self, path: Path, closing: str) -> None:
        """What stands between the brackets of an array, or the braces of a table."""
        self.at += 1
        position = 0
        while self._skip(_BLANK) < len(self.text) and not self.text.startswith(closing, self.at):
            if closing == "]":
                self.lines[*path, position] = self._line()
                self._value((*path, position))
                position += 1
            else:
                self._key_and_value(path)
            self._skip(_BLANK)
            if not self.text.startswith(closing, self.at):
                self._expect(",")
        self._expect(closing)

    def _keys(self) -> list[str]:
        keys = []
        while True:
            self._skip(_SPACE)
            found = _KEY.match(self.text, self.at)
            if found is None:
                raise _NotUnderstood
            self.at = found.end()
            keys.append(_bare(found[0]))
            self._skip(_SPACE)
            if not self.text.startswith(".", self.at):
                return keys
            self.at += 1

    def _expect(self, letter: str) -> None:
        if not self.text.startswith(letter, self.at):
            raise _NotUnderstood
        self.at += 1

    def _skip(self, pattern: re.Pattern[str]) -> int:
        found = pattern.match(self.text, self.at)
        self.at = found.end() if found else self.at
        return self.at

    def _line(self) -> int:
        return bisect_right(self._line_starts, self.at)


def _bare(key: str) -> str:
    """A key without its quotation marks and escapes."""
    return str(tomllib.loads(f"key = {key}")["key"]) if key[0] in "\"'" else key
