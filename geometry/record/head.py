"""What a record says that is about no place: whose build it is, its instruments, its own limits."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import date
from typing import Any, Final

import tomlkit

from geometry.errors import refused
from geometry.record.blank import Plain, plain
from geometry.record.place import BenchPlace

HEAD: Final = ("record", "instruments", "limits")
"""The tables that are about no place."""
_DAYS: Final = ("started",)


def head_of(data: Mapping[str, Any]) -> dict[tuple[BenchPlace, str], Plain]:
    """Every line of those tables, by its table and key; what is one value stands under ``value``.

    Parameters
    ----------
    data : the record as a TOML reader gives it
    """
    return {
        (BenchPlace(table), key): plain(held if isinstance(held, Mapping) else {"value": held})
        for table in HEAD
        for key, held in (data.get(table) or {}).items()
    }


def put_head(data: dict[str, Any], table: str, key: str, content: Plain | None) -> None:
    """Put a line into plain data, as a TOML reader gives it, or take it out."""
    if content is None:
        data[table].pop(key)
        if not data[table]:
            del data[table]
        return
    value: Any = dict(content) if table == "limits" else content["value"]
    if key in _DAYS:
        value = date.fromisoformat(str(value))
    data.setdefault(table, {})[key] = value


def with_head(text: str, head: Mapping[tuple[str, str], Plain | None], file: str) -> str:
    """Put lines into those tables of a record's text, or take them out; comments and order stay.

    Parameters
    ----------
    text : valid TOML
    head : content by table and key; None takes a line out
    file : the record's name, for messages

    Raises
    ------
    InputError : the way the text is laid out does not allow it
    """
    if not head:
        return text
    expected, wanted = tomllib.loads(text), tomlkit.parse(text)
    for (table, key), content in head.items():
        put_head(expected, table, key, content)
        if content is None:
            wanted[table].remove(key)
            if not wanted[table]:
                wanted.remove(table)
            continue
        value = expected[table][key]
        if isinstance(value, dict):
            inline = tomlkit.inline_table()
            inline.update(value)
            value = inline
        if table not in wanted:
            wanted[table] = tomlkit.table()
        wanted[table][key] = value
    after = tomlkit.dumps(wanted)
    if tomllib.loads(after) != expected:
        what = "the layout of this file leaves no room for this line"
        raise refused(file, ".".join(next(iter(head))), what, "write it by hand")
    return after
