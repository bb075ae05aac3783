"""A record as a table of cells, as spreadsheets read it: all of it, or a form of what is still to do.

One row is one entry. Its cells hold what the record holds, units and all, so that a table read back gives the same
record. What the record says of itself, of its instruments and of its own limits are rows as well.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final, TypeAlias

from geometry.record.blank import STAMPS, Plain
from geometry.record.catalogue import lay_out, readings_at
from geometry.record.head import head_of
from geometry.record.history import entries_of
from geometry.record.load import record_of_data
from geometry.record.todo import todo
from geometry.spec.engine import Engine
from geometry.units import System

Cells: TypeAlias = dict[str, str]

PLACE: Final = ("place", "entry")
"""The columns without which no row says what it is about."""
VALUES: Final = (
    "value", "go", "tight", "depth", "along", "across", "datum", "resolution", "piston", "pin", "rod", "shells",
    "top_ring", "second_ring", "least", "most", "source",
)  # fmt: skip
TOLD: Final = ("step", "what", "held against", "according to", "how to write it")
"""Columns that only tell: nothing that stands in them is entered."""
BLANK: Final = ("value", "go", "tight", "depth", "along", "across")
"""Columns that a form has, empty as they are."""


def full_table(engine: Engine, data: Mapping[str, Any], system: System | None = None) -> str:
    """Everything that a record holds, in the order of the job.

    Parameters
    ----------
    engine : the engine that it belongs to
    data : the record as a TOML reader gives it
    system : units of what is only told

    Raises
    ------
    InputError, GeometryError : it is no good record, or the engine cannot be laid out
    """
    bench = lay_out(engine, record_of_data(engine, dict(data)), system)
    held = entries_of(data)
    rows = [_row(place.words, key, content) for (place, key), content in head_of(data).items()]
    rows += [
        _row(at.place.words, at.kind.path, held[at.place, at.kind.path]) | {"what": at.words}
        for at in readings_at(bench)
        if (at.place, at.kind.path) in held
    ]
    return _written((*PLACE, "what", *VALUES, *STAMPS), rows)


def blank_table(
    engine: Engine, data: Mapping[str, Any], bore: int | None = None, system: System | None = None
) -> str:
    """A form of everything that is still to do, with what it will be held against; parameters as ``full_table``.

    Parameters
    ----------
    bore : only this bore, by the builder's number
    """
    rows = [
        {
            "step": one.step, "place": one.place, "entry": one.entry, "what": one.what, "held against": one.limit,
            "according to": one.source, "how to write it": one.enter.removeprefix(f"{one.entry} "),
        }
        for one in todo(engine, record_of_data(engine, dict(data)), bore=bore, system=system)
    ]  # fmt: skip
    columns = ("step", *PLACE, "what", "held against", "how to write it", *BLANK, *STAMPS, "according to")
    return _written(columns, rows, keep=(*BLANK, *STAMPS))


def _row(place: str, entry: str, held: Plain) -> Cells:
    return {"place": place, "entry": entry} | {name: str(value) for name, value in held.items()}


def _written(columns: Iterable[str], rows: Sequence[Cells], keep: Iterable[str] = ()) -> str:
    """Rows as comma-separated values; columns in which no row says anything are left out."""
    shown = [name for name in columns if name in (*PLACE, *keep) or any(row.get(name) for row in rows)]
    out = io.StringIO()
    table = csv.DictWriter(out, shown, restval="", lineterminator="\r\n")
    table.writeheader()
    table.writerows(rows)
    return out.getvalue()
