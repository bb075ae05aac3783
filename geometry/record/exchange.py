"""One entry exchanged for another by somebody who has seen the one that goes: nothing is written over unseen.

And the difference between two states of a record, entry by entry.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from geometry.record.blank import Plain, plain
from geometry.record.catalogue import KINDS
from geometry.record.document import Content
from geometry.record.entries import entered
from geometry.record.load import data_of
from geometry.record.place import BenchPlace
from geometry.record.store import edit
from geometry.record.words import Written
from geometry.spec.engine import Engine


class EntryChanged(Exception):
    """The entry is no longer the one that was seen; ``now`` is what stands there, None where nothing does."""

    def __init__(self, now: Plain | None) -> None:
        super().__init__("the entry was changed by somebody else")
        self.now = now


@dataclass(frozen=True, slots=True)
class Exchanged:
    """The record's text before the exchange, None where there was no file, and after it."""

    before: str | None
    after: str


@dataclass(frozen=True, slots=True)
class EntryChange:
    """One entry that two states of a record differ in; None where there is none."""

    place: BenchPlace
    path: str
    before: Plain | None
    after: Plain | None


def exchange(
    path: str | os.PathLike[str],
    engine: Engine,
    written: Written,
    seen: Plain | None,
    on: date | None = None,
) -> Exchanged:
    """Save one entry in place of the one that was seen; when this returns, it is safely on the disk.

    Whoever sends the same again because the answer was lost gets the same answer.

    Parameters
    ----------
    path, engine : as for ``set_entries``
    written : the entry
    seen : content of the entry that it takes the place of, None for none
    on : the day on which a record that is not there yet is started

    Raises
    ------
    EntryChanged : something else stands there; nothing was written
    InputError : as for ``set_entries``
    """
    file, wanted = os.fspath(path), None if written.content is None else plain(written.content)
    states: list[tuple[str | None, str]] = []

    def change_text(text: str | None) -> str:
        now = entries_of(data_of(text, file)).get((written.place, written.path)) if text else None
        if now != seen and not _alike(now, wanted):
            raise EntryChanged(now)
        changes = {} if _alike(now, wanted) else {written.keys: written.content}
        after = entered(text, file, engine, changes, on)
        states.append((text, after))
        return after

    edit(path, change_text)
    return Exchanged(*states[-1])


def entries_of(data: Mapping[str, Any]) -> dict[tuple[BenchPlace, str], Plain]:
    """Every entry of a record, by its place and path.

    Parameters
    ----------
    data : the record as a TOML reader gives it; what is no entry is left out
    """
    found = {}
    for place, table in _tables(data):
        for path in (kind.path for kind in KINDS if kind.place == place.kind):
            content = _content(table, path)
            if content is not None:
                found[place, path] = plain(content)
    return found


def changes_between(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[EntryChange, ...]:
    """What changed from one state of a record to another; parameters as for ``entries_of``."""
    old, new = entries_of(before), entries_of(after)
    keys = [*new, *(key for key in old if key not in new)]
    return tuple(
        EntryChange(*key, old.get(key), new.get(key)) for key in keys if old.get(key) != new.get(key)
    )


def _tables(data: Mapping[str, Any]) -> Iterator[tuple[BenchPlace, Any]]:
    for kind in ("bore", "main"):
        places = data.get(kind)
        if isinstance(places, Mapping):
            yield from ((BenchPlace(kind, int(n)), table) for n, table in places.items() if n.isdecimal())
    yield BenchPlace("crank"), data.get("crank")


def _content(table: Any, path: str) -> Content | None:
    for key in path.split("."):
        table = table.get(key) if isinstance(table, Mapping) else None
    return table if isinstance(table, Mapping) else None


def _alike(one: Plain | None, other: Plain | None) -> bool:
    """The same finding by the same hand, whatever day it was sent on."""
    if one is None or other is None:
        return one is other
    return {k: v for k, v in one.items() if k != "on"} == {k: v for k, v in other.items() if k != "on"}
