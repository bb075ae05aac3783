"""One question after another, in the order of the job: what is asked, what an answer means, whether it is saved.

Nothing of the terminal in here. A question is a reading that is still to do; an answer is what somebody types, with or
without the names of its values.
"""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from pathlib import Path
from typing import Any, Final

from geometry.errors import InputError, refused
from geometry.record.bench import content_at, preview
from geometry.record.blank import EntryForm, forms_of, plain
from geometry.record.catalogue import KIND_AT, lay_out, readings_at
from geometry.record.exchange import EntryChanged, exchange
from geometry.record.judging import spoken
from geometry.record.kind import STEPS, Bench, ReadingAt
from geometry.record.load import data_of, record_of_data
from geometry.record.place import BenchPlace
from geometry.record.verdict import Verdict
from geometry.record.words import Written, how_to_enter, read_words
from geometry.spec.engine import Engine
from geometry.spec.load import read_text
from geometry.units import System

_QUANTITY: Final = re.compile(r"""[+-]?(?:\d+/\d+|\d+\.?\d*|\.\d+)\s*[A-Za-zµμ°"″][A-Za-zµμ°"″*·/^]*""")


@dataclass(frozen=True, slots=True)
class AskedReading:
    """One reading that is asked for.

    Attributes
    ----------
    place, path : where it is entered
    """

    place: BenchPlace
    path: str


@dataclass(frozen=True, slots=True)
class AskedNow:
    """A question as it is put.

    Attributes
    ----------
    step, what : the step of the job; what it is, and where to measure
    limit, source : what it is held against, and who says so; empty where nobody does
    write : how an answer is written
    help : the same in full: every way of giving it
    now : what stands there, as it would be spoken; empty where nothing does
    """

    step: str
    what: str
    limit: str
    source: str
    write: str
    help: tuple[str, ...]
    now: str


@dataclass(frozen=True, slots=True)
class Answered:
    """What an answer said: its own verdicts, and those of other readings at the place that change with it."""

    written: Written
    verdicts: tuple[Verdict, ...]
    others: tuple[Verdict, ...]


def step_named(text: str) -> str:
    """The step of the job that a builder means; its beginning will do.

    Raises
    ------
    InputError : there is no such step, or several begin so
    """
    plain_text = text.strip().lower()
    found = [step for step in STEPS if step.startswith(plain_text)] if plain_text else []
    exact = [step for step in found if step == plain_text]
    if len(found) == 1 or exact:
        return (exact or found)[0]
    stem = plain_text.removesuffix("s")
    near = found or [step for step in STEPS if stem and step.startswith(stem)]
    near = near or get_close_matches(plain_text, STEPS, 1, 0.6)
    right = f"did you mean {' or '.join(near)}?" if near else f"steps are {', '.join(STEPS)}"
    raise refused("record", "--step", f"{text} is not a step of the job", right)


def questions(
    path: str | os.PathLike[str], engine: Engine, bore: int | None = None, step: str | None = None
) -> tuple[AskedReading, ...]:
    """Everything that is still to do, in the order of the job.

    Parameters
    ----------
    path, engine : the record file and the engine that it belongs to
    bore : only this bore, by the builder's number
    step : only this step of the job, as ``step_named`` gives it

    Raises
    ------
    InputError, GeometryError : the record cannot be read, or the engine not be laid out
    """
    bench, _ = _bench(path, engine, None)
    return tuple(
        AskedReading(at.place, at.kind.path)
        for at in readings_at(bench, bore)
        if at.is_wanted and step in (None, at.kind.step)
    )


def put_question(
    path: str | os.PathLike[str], engine: Engine, asked: AskedReading, system: System
) -> AskedNow:
    """A question with all that is needed to answer it; the record is read anew, others may write in it."""
    bench, _ = _bench(path, engine, system)
    at = _at(bench, asked)
    limit, wanted = at.limit, at.wanted
    against = limit or wanted
    forms = forms_of(at)
    return AskedNow(
        at.kind.step, at.asked, limit.text(bench.system) if limit else wanted.words if wanted else "",
        str(against.source) if against else "", _typed(at, forms[0]), _help(at, forms), _now(bench, at),
    )  # fmt: skip


def is_open(path: str | os.PathLike[str], engine: Engine, asked: AskedReading) -> bool:
    """Whether nothing was recorded yet that answers a question."""
    return _at(_bench(path, engine, None)[0], asked).is_wanted


def answer(
    path: str | os.PathLike[str],
    engine: Engine,
    asked: AskedReading,
    typed: str,
    system: System,
    *,
    by: str | None = None,
    on: date | None = None,
    now: str = "",
) -> Answered:
    """Judge an answer and save it; when this returns, it is safely on the disk.

    Parameters
    ----------
    path, engine, asked : the record, the engine and the question
    typed : ``go=18thou tight=19thou``, ``18thou 19thou``, ``turned``, ``ok`` for what should be
    system : units of the words
    by, on : initials and day where the answer does not say so itself
    now : what stood there when the question was put, as ``AskedNow.now`` says it

    Raises
    ------
    InputError : it cannot be read or saved; the record is as it was
    EntryChanged : somebody else entered something there in the meantime; the record is as they left it
    """
    bench, data = _bench(path, engine, system)
    written = _read(bench, _at(bench, asked), typed, by, on)
    if _now(bench, _at(bench, asked)) != now:
        held = content_at(data, asked.place, asked.path)
        raise EntryChanged(plain(held) if held else None)
    said = preview(engine, data, written.place, written.path, written.content, system, os.fspath(path))
    before = content_at(data, written.place, written.path)
    exchange(path, engine, written, plain(before) if before else None, on)
    return Answered(written, said.verdicts, said.others)


def _bench(
    path: str | os.PathLike[str], engine: Engine, system: System | None
) -> tuple[Bench, dict[str, Any]]:
    file = os.fspath(path)
    text = read_text(file) if Path(path).exists() else ""
    data = data_of(text, file)
    return lay_out(engine, record_of_data(engine, data, file, text), system), data


def _at(bench: Bench, asked: AskedReading) -> ReadingAt:
    return ReadingAt(KIND_AT[asked.place.kind, asked.path], bench, asked.place)


def _now(bench: Bench, at: ReadingAt) -> str:
    paths = (at.kind.path, *at.kind.instead)
    found = (_at(bench, AskedReading(at.place, path)) for path in paths)
    return next((spoken(one) for one in found if one.entry is not None), "")


def _typed(at: ReadingAt, form: EntryForm) -> str:
    """How an answer is written in one way of giving it, shortly."""
    needed = [
        blank for blank in form.blanks if blank.needed or (form.key == "blades" and blank.name == "tight")
    ]
    choices = needed[0].choices if len(needed) == 1 else ()
    if choices:
        return " or ".join(choice.value for choice in choices)
    if all(blank.units for blank in needed) and needed:
        example = " ".join(f"...{blank.units[0]}" for blank in needed)
        names = ", ".join(blank.words for blank in needed)
        return example if len(needed) == 1 else f"{example}   ({names})"
    return how_to_enter(at.kind, at.bench.system).removeprefix(at.kind.path).strip()


def _help(at: ReadingAt, forms: Sequence[EntryForm]) -> tuple[str, ...]:
    lines = []
    for form in forms:
        lines.append(f"{form.words}: {_typed(at, form)}")
        for blank in form.blanks:
            words = ", ".join(f"{one.value}: {one.words}" for one in blank.choices)
            lines.append(f"  {blank.name}= {words or blank.hint}")
    instead = [KIND_AT[at.place.kind, path] for path in at.kind.instead]
    lines += [f"or instead: {how_to_enter(kind, at.bench.system)}" for kind in instead]
    return (*lines, "  note= anything worth knowing; by= on= initials and day")


def _read(bench: Bench, at: ReadingAt, typed: str, by: str | None, on: date | None) -> Written:
    """The entry that somebody typed, of this reading or of one that does as well."""
    words = typed.strip()
    if words.lower() == "ok" and at.wanted is not None and at.wanted.value is not None:
        words = str(at.wanted.value)
    first: InputError | None = None
    for path in (at.kind.path, *at.kind.instead):
        there = _at(bench, AskedReading(at.place, path))
        try:
            (written,) = read_words(bench.engine, at.place.words, [path, *_named(there, words)], by=by, on=on)
        except InputError as bad:
            first = first or bad
        except ValueError:  # several entries in one answer
            first = first or refused("", words, "is more than one answer", "one reading at a time")
        else:
            return written
    assert first is not None, "some path was tried"
    raise first


def _named(at: ReadingAt, words: str) -> list[str]:
    """Values without names get theirs, where their count says which they are."""
    sizes = _QUANTITY.findall(words)
    if "=" not in words and re.sub(r"[\s,;]", "", words) == re.sub(r"\s", "", "".join(sizes)):
        for form in forms_of(at):
            needed = [
                one.name for one in form.blanks if one.needed or (form.key, one.name) == ("blades", "tight")
            ]
            if len(needed) == len(sizes):
                return [f"{name}={size}" for name, size in zip(needed, sizes, strict=True)]
    return [words]
