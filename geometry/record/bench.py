"""A place on the bench with everything that can be entered there, in the order of the job, as a page asks for it.

Each field says what is asked, how it can be filled in, what stands there now and what that means; ``preview`` says what
something would mean before it is saved, by the same judging.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import asdict, dataclass
from functools import reduce
from typing import Any, Final, Literal

from geometry.record.blank import EntryForm, Plain, filled, form_filled, forms_of, plain
from geometry.record.catalogue import lay_out, readings_at
from geometry.record.document import Content, put
from geometry.record.instruments import Instruments
from geometry.record.judging import judged, spoken
from geometry.record.kind import Bench, ReadingAt
from geometry.record.load import record_of_data
from geometry.record.model import Record
from geometry.record.place import BenchPlace
from geometry.record.readings import value_text
from geometry.record.verdict import Verdict
from geometry.record.words import how_to_enter
from geometry.spec.engine import Engine
from geometry.units import System

_INSTRUMENT_DIMENSION: Final = {"torque_nm": "torque", "angle_deg": "angle", "scales_kg": "mass"}


@dataclass(frozen=True, slots=True)
class ReadingField:
    """One thing that can be entered at a place.

    Attributes
    ----------
    step, path : the step of the job; the entry as typed and as written in the file
    what : what is asked, in words
    state : ``open`` is still to do, ``done`` is recorded, ``instead``: another reading does as well, ``extra``: nobody
        asks for it
    limit, source : what it is held against, and where that comes from; empty where nothing is known
    step_text : what its instrument can tell apart; empty for what is looked at
    enter : the words to type behind the place on the command line
    instead : paths of readings that do as well
    forms : ways to fill it in, the usual one first
    form : key of the one that it was filled in by; of the usual one where nothing is recorded
    content : the entry as it stands in the file; None where there is none
    filled : the same blank by blank: as written, and its unit
    reading : the same as it would be spoken
    verdicts : what it says
    """

    step: str
    path: str
    what: str
    state: Literal["open", "done", "instead", "extra"]
    limit: str
    source: str
    step_text: str
    enter: str
    instead: tuple[str, ...]
    forms: tuple[EntryForm, ...]
    form: str
    content: Plain | None
    filled: dict[str, tuple[str, str]]
    reading: str
    verdicts: tuple[Verdict, ...]

    def as_json(self) -> dict[str, Any]:
        """Plain values."""
        names = [name for name in self.__dataclass_fields__ if name not in ("forms", "verdicts")]
        return {name: getattr(self, name) for name in names} | {
            "forms": [asdict(form) for form in self.forms],
            "verdicts": [verdict.as_row() for verdict in self.verdicts],
        }


@dataclass(frozen=True, slots=True)
class PlaceProgress:
    """How far the job is at a place: ``done`` of ``of`` things asked for."""

    place: str
    kind: str
    number: int | None
    done: int
    of: int


@dataclass(frozen=True, slots=True)
class Preview:
    """What an entry would say: its own verdicts, and those of the same place that would change with it."""

    verdicts: tuple[Verdict, ...]
    others: tuple[Verdict, ...]


def fields_at(
    engine: Engine, record: Record, data: Mapping[str, Any], place: BenchPlace, system: System | None = None
) -> tuple[ReadingField, ...]:
    """Everything that can be entered at a place, in the order of the job.

    Parameters
    ----------
    engine, record : the engine file and its build record
    data : the record as a TOML reader gives it: what was written, word by word
    place : one of this engine
    system : units of words and blanks; default as the engine file asks for

    Raises
    ------
    GeometryError : the engine cannot be laid out
    """
    bench = lay_out(engine, record, system)
    here = _here(bench, place)
    said = [verdict for at in here for verdict in judged(at)]
    return tuple(
        _field(at, content_at(data, place, at.kind.path), tuple(v for v in said if v.path == at.kind.path))
        for at in here
    )


def progress(engine: Engine, record: Record) -> tuple[PlaceProgress, ...]:
    """How far the job is at each place: the bores by number, the mains from the front, the crank.

    Raises
    ------
    GeometryError : the engine cannot be laid out
    """
    bench = lay_out(engine, record)
    asked: dict[BenchPlace, list[bool]] = {
        place: [] for kind in ("bore", "main", "crank") for place in bench.places(kind)
    }
    for at in readings_at(bench):
        if at.is_asked:
            asked[at.place].append(at.is_wanted)
    return tuple(
        PlaceProgress(place.words, place.kind, place.number, wanted.count(False), len(wanted))
        for place, wanted in asked.items()
    )


def preview(
    engine: Engine,
    data: Mapping[str, Any],
    place: BenchPlace,
    path: str,
    content: Content | None,
    system: System | None = None,
    file: str = "",
) -> Preview:
    """Judge the record with one entry laid over it; nothing is saved.

    Parameters
    ----------
    engine, data, place, system : as for ``fields_at``
    path, content : of the entry; no content takes it out
    file : the record's name, for messages

    Raises
    ------
    InputError : the record cannot be used with it
    GeometryError : the engine cannot be laid out
    """
    bare = record_of_data(engine, dict(data), file)
    laid = with_entry(engine, data, place, path, content, file)
    before, after = (
        [verdict for at in _here(lay_out(engine, record, system), place) for verdict in judged(at)]
        for record in (bare, laid)
    )
    return Preview(
        tuple(v for v in after if v.path == path),
        tuple(v for v in after if v.path != path and v not in before),
    )


def with_entry(
    engine: Engine,
    data: Mapping[str, Any],
    place: BenchPlace,
    path: str,
    content: Content | None,
    file: str = "",
) -> Record:
    """The record with one entry laid over it, which nobody saves; parameters and errors as ``preview``."""
    changed: dict[str, Any] = deepcopy(dict(data))
    if content is not None or content_at(data, place, path) is not None:
        put(changed, (*place.keys, *path.split(".")), content)
    return record_of_data(engine, changed, file)


def content_at(data: Mapping[str, Any], place: BenchPlace, path: str) -> Content | None:
    """The entry at a path, as a TOML reader gives it; None where there is none."""
    found: Any = reduce(
        lambda table, key: table.get(key, {}) if isinstance(table, Mapping) else {},
        (*place.keys, *path.split(".")),
        data,
    )
    return found or None


def _here(bench: Bench, place: BenchPlace) -> list[ReadingAt]:
    return [at for at in readings_at(bench) if at.place == place]


def _field(at: ReadingAt, content: Content | None, verdicts: tuple[Verdict, ...]) -> ReadingField:
    limit, wanted, forms = at.limit, at.wanted, forms_of(at)
    against = limit or wanted
    return ReadingField(
        step=at.kind.step,
        path=at.kind.path,
        what=at.words if at.kind.asked and at.entry is not None else at.asked,
        state=_state(at),
        limit=limit.text(at.bench.system) if limit else wanted.words if wanted else "",
        source=str(against.source) if against else "",
        step_text=_step_text(at),
        enter=how_to_enter(at.kind, at.bench.system),
        instead=at.kind.instead,
        forms=forms,
        form=(form_filled(forms, content) if content else forms[0]).key,
        content=plain(content) if content else None,
        filled=filled(content) if content else {},
        reading=spoken(at),
        verdicts=verdicts,
    )


def _state(at: ReadingAt) -> Literal["open", "done", "instead", "extra"]:
    if at.entry is not None:
        return "done"
    if at.is_wanted:
        return "open"
    return "instead" if at.is_asked else "extra"


def _step_text(at: ReadingAt) -> str:
    """What the instrument of a reading can tell apart, or the step between the blades."""
    instruments: Instruments = at.bench.record.instruments
    name = "feeler_mm" if at.kind.blades else at.kind.instrument
    step = getattr(instruments, name, None) if name else None
    return (
        "" if step is None else value_text(step, _INSTRUMENT_DIMENSION.get(name, "length"), at.bench.system)
    )
