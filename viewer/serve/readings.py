"""Readings of the record for the page: what can be entered at a place, judged before it is saved, saved, told of.

No web in here. The engine is that of the page on show; the record is read anew for every answer.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from typing import Any

from geometry.errors import InputError
from geometry.files import read_whole
from geometry.record.bench import fields_at, preview, progress, with_entry
from geometry.record.blank import Plain
from geometry.record.exchange import EntryChanged, exchange
from geometry.record.load import data_of, record_of_data
from geometry.record.model import Record
from geometry.record.place import read_place
from geometry.record.verdict import Verdict
from geometry.record.words import Written, read_values
from geometry.spec.engine import Engine
from geometry.spec.load import MOST_BYTES, as_text
from geometry.units import System
from viewer.cautions import AS_ASSUMED
from viewer.serve.answers import Refusal, as_refusal, problem_words
from viewer.serve.served import Served


@dataclass(frozen=True, slots=True)
class Entering:
    """One entry as a browser sends it.

    Attributes
    ----------
    place, path : where it belongs
    values : each with its unit, by name; None takes the entry out
    seen : content that stood there when it was typed, None for none
    by : initials of whoever changes it
    page : mark of the browser's page
    as_is : the values say themselves by whom and when they were found, or leave it open: an entry that is put back
    """

    place: str
    path: str
    values: Mapping[str, str] | None
    seen: Plain | None
    by: str
    page: str
    as_is: bool = False


@dataclass(frozen=True, slots=True)
class _Found:
    """The record as it stands: its digest, empty where there is no file; as a TOML reader gives it; as it is read."""

    version: str
    data: dict[str, Any]
    record: Record


def bench_of(served: Served, place: str | None) -> dict[str, Any]:
    """All places with how far they are, and one of them with everything that can be entered there.

    Parameters
    ----------
    place : ``bore 3``; None for the first at which anything is open

    Raises
    ------
    Refusal : the record cannot be read (503)
    InputError : there is no such place
    """
    engine, system = _engine(served)
    found = _look(served, engine, system)
    places = progress(engine, found.record)
    opened = next((at.place for at in places if at.done < at.of), places[0].place)
    here = read_place(engine, opened if place is None else place)
    return {
        "version": found.version, "record": served.serving.record.name, "engine": str(served.serving.engine.absolute()),
        "run": served.journal.run, "last": served.journal.last, "place": here.words,
        "places": [asdict(at) for at in places],
        "fields": [
            field.as_json() | {"verdicts": _rows(served, field.verdicts)}
            for field in fields_at(engine, found.record, found.data, here, system)
        ],
    }  # fmt: skip


def judged(served: Served, place: str, path: str, values: Mapping[str, str] | None) -> dict[str, Any]:
    """What an entry would say, and what else would change with it, or why it cannot be; nothing is saved.

    Raises
    ------
    Refusal : the record cannot be read (503)
    """
    engine, system = _engine(served)
    found = _look(served, engine, system)
    try:
        written = read_values(engine, place, path, values)
        said = preview(engine, found.data, written.place, path, written.content, system)
    except InputError as bad:
        refusal = as_refusal(bad)
        why = f"{refusal.what}; {refusal.right}" if refusal.right else refusal.what
        return {"version": found.version, "verdicts": [], "others": [], "refused": why}
    return {
        "version": found.version, "verdicts": _rows(served, said.verdicts), "others": _rows(served, said.others),
        "refused": "",
    }  # fmt: skip


def saved(served: Served, entering: Entering) -> dict[str, Any]:
    """Save an entry; what is given back is ``bench_of`` its place, or the conflict and nothing was written.

    Raises
    ------
    Refusal : the record cannot be read or saved (503)
    InputError : the entry cannot be read
    """
    try:
        written = save_entry(served, entering)
    except EntryChanged:
        return {"conflict": _conflict(served, entering)}
    shown = bench_of(served, written.place.words)
    served.recorded(shown["version"], entering.by)
    return shown


def save_entry(served: Served, entering: Entering) -> Written:
    """Save an entry; when this returns, it is safely on the disk.

    Raises
    ------
    EntryChanged : another one stands there than was seen; nothing was written
    Refusal : the record cannot be read or saved (503)
    InputError : the entry cannot be read
    """
    engine, system = _engine(served)
    today = date.today()
    by, on = (None, None) if entering.as_is else (entering.by, today)
    written = read_values(engine, entering.place, entering.path, entering.values, by=by, on=on)
    with served.journal.turn:
        found = _look(served, engine, system)
        with_entry(engine, found.data, written.place, written.path, written.content)
        _save(served, engine, written, entering, today)
    return written


def changes(served: Served, since: int) -> dict[str, Any]:
    """Who changed what after a number, the oldest first."""
    engine, system = _engine(served)
    found = _look(served, engine, system)
    noted = served.journal.since(since)
    return {
        "run": served.journal.run, "version": found.version, "last": served.journal.last,
        "changes": [each.as_json() for each in noted],
    }  # fmt: skip


def _engine(served: Served) -> tuple[Engine, System]:
    job = served.shown.job
    return job.assembly.spec, job.system


def _look(served: Served, engine: Engine, system: System) -> _Found:
    """Read the record, and note what others changed in it."""
    path = served.serving.record
    with served.journal.turn:
        try:
            content = read_whole(path, MOST_BYTES) if os.path.lexists(path) else None
            text = "" if content is None else as_text(content, os.fspath(path))
            data = data_of(text, os.fspath(path))
            record = record_of_data(engine, data, os.fspath(path), text)
        except InputError as bad:
            raise unreadable(bad, path) from None
        served.journal.seen(engine, data, system)
    return _Found("" if content is None else hashlib.sha256(content).hexdigest()[:16], data, record)


def _save(served: Served, engine: Engine, written: Written, entering: Entering, today: date) -> None:
    path, system = served.serving.record, served.shown.job.system
    try:
        done = exchange(path, engine, written, entering.seen, today, "undo" if entering.as_is else "set")
    except InputError as bad:
        raise unreadable(bad, path) from None
    for text, by, page in ((done.before, "", ""), (done.after, entering.by, entering.page)):
        served.journal.seen(engine, {} if text is None else data_of(text, os.fspath(path)), system, by, page)


def _rows(served: Served, verdicts: Iterable[Verdict]) -> list[dict[str, Any]]:
    """Verdicts as plain values; what is within rests on the engine file's values where those are assumed."""
    rows: list[dict[str, Any]] = [verdict.as_row() for verdict in verdicts]
    for row in rows:
        if row["verdict"] == "within" and served.shown.job.described.assumed:
            row["verdict"] += AS_ASSUMED
    return rows


def _conflict(served: Served, entering: Entering) -> dict[str, Any]:
    """The entry as it stands, for whoever must choose."""
    found = bench_of(served, entering.place)
    field = next(each for each in found["fields"] if each["path"] == entering.path)
    return {"version": found["version"], "field": field}


def unreadable(bad: InputError, path: Path) -> Refusal:
    """A record that cannot be read or saved now, in a line with its name and the line in it."""
    lines = [
        f"{path.name}{'' if problem.line is None else f':{problem.line}'}: {problem_words(problem)}"
        for problem in bad.problems
    ]
    right = bad.problems[0].right if len(bad.problems) == 1 else "put them right in an editor"
    return Refusal(503, "; ".join(lines), right)
