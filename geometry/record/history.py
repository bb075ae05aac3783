"""What two states of a record differ in, entry by entry, as it would be told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from geometry.record.blank import Plain, plain
from geometry.record.catalogue import KIND_AT, KINDS, lay_out
from geometry.record.document import Content
from geometry.record.judging import spoken
from geometry.record.kind import ReadingAt
from geometry.record.load import record_of_data
from geometry.record.place import BenchPlace
from geometry.spec.engine import Engine
from geometry.units import System


@dataclass(frozen=True, slots=True)
class EntryChange:
    """One entry that two states of a record differ in.

    Attributes
    ----------
    place, path : where it stands
    before, after : its content, None where there is none
    what : what it is, in words
    was, now : the reading as it would be spoken, empty where there is none
    """

    place: BenchPlace
    path: str
    before: Plain | None
    after: Plain | None
    what: str
    was: str
    now: str


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


def changes_between(
    engine: Engine, before: dict[str, Any], after: dict[str, Any], system: System | None = None
) -> tuple[EntryChange, ...]:
    """What changed from one state of a record to another.

    Parameters
    ----------
    engine : the engine that both belong to
    before, after : the record as a TOML reader gives it
    system : units of the words; default as the engine file asks for

    Raises
    ------
    InputError : one of them is no good record
    GeometryError : the engine cannot be laid out
    """
    old, new = entries_of(before), entries_of(after)
    keys = [key for key in (*new, *(key for key in old if key not in new)) if old.get(key) != new.get(key)]
    if not keys:
        return ()
    benches = [lay_out(engine, record_of_data(engine, data), system) for data in (before, after)]
    found = []
    for place, path in keys:
        was, now = (ReadingAt(KIND_AT[place.kind, path], bench, place) for bench in benches)
        one, other = old.get((place, path)), new.get((place, path))
        found.append(EntryChange(place, path, one, other, now.words, spoken(was), spoken(now)))
    return tuple(found)


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
