"""From a record file to the model, or to one clear line for everything that is wrong with it."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path as FilePath
from typing import Any

from geometry.errors import InputError, Problem
from geometry.record.catalogue import KINDS
from geometry.record.entry import Stamped
from geometry.record.form import FORM
from geometry.record.model import Record
from geometry.record.place import bore_numbers, main_numbers
from geometry.rings.clocked import rings_of
from geometry.spec.base import READINGS
from geometry.spec.engine import Engine
from geometry.spec.load import parse_toml, read_text, validate_model
from geometry.spec.locate import Path, line_of, lines_of_keys, written


def record_path(engine_file: str | os.PathLike[str]) -> FilePath:
    """Give the usual place of an engine's build record: ``tern.record.toml`` beside ``tern.toml``."""
    engine = FilePath(engine_file)
    stem = engine.name.removesuffix(".toml") if engine.name != ".toml" else engine.name
    return engine.with_name(f"{stem}.record.toml")


def load_record(path: str | os.PathLike[str], engine: Engine) -> Record:
    """Read the build record of an engine; a file that is not there yet is an empty record.

    Raises
    ------
    InputError : the file cannot be used; every problem at once, with line and key
    """
    name = os.fspath(path)
    if not os.path.lexists(name):
        return FORM()
    return record_of(read_text(name), name, engine)


def record_of(text: str, file: str, engine: Engine) -> Record:
    """Make a record of the text of its file.

    Parameters
    ----------
    text : content of the file, which may be empty
    file : its name, for messages
    engine : the engine that it belongs to

    Raises
    ------
    InputError : every problem at once, with line and key
    """
    return record_of_data(engine, data_of(text, file), file, text)


def record_of_data(engine: Engine, data: dict[str, Any], file: str = "", text: str | None = None) -> Record:
    """Make a record of what a TOML reader gives; parameters as ``record_of``.

    Parameters
    ----------
    data : tables and entries by key
    text : what it was read from; without it problems carry no line

    Raises
    ------
    InputError : every problem at once
    """
    record = validate_model(FORM, data, file, text, READINGS)
    found = list(misfits(engine, record, data))
    if found:
        lines = lines_of_keys(text or "")
        raise InputError(
            Problem(file, line_of(place, lines), written(place), what, right) for place, what, right in found
        )
    return record


def data_of(text: str, file: str) -> dict[str, Any]:
    """Parse a record's text; one without any entry, or with comments only, is an empty record.

    Raises
    ------
    InputError : the text is not TOML
    """
    lines = (line.strip() for line in text.splitlines())
    if all(not line or line.startswith("#") for line in lines):
        with suppress(tomllib.TOMLDecodeError):
            return tomllib.loads(text)
    return parse_toml(text, file)


def misfits(engine: Engine, record: Record, data: Mapping[str, Any]) -> Iterator[tuple[Path, str, str]]:
    """Find what a well-written record says about parts that this engine does not have.

    Parameters
    ----------
    engine : the engine file
    record : the record
    data : the same as a TOML reader gives it

    Yields
    ------
    Path in the record, what is wrong, what would be right.
    """
    if record.record.engine not in (None, engine.engine.name):
        yield (
            ("record", "engine"),
            f'this is the build record of "{record.record.engine}", not of "{engine.engine.name}"',
            "give the engine file that it belongs to",
        )
    for place in record.places():
        known = bore_numbers(engine) if place.kind == "bore" else main_numbers(engine)
        has = f"this engine has {', '.join(map(str, known))}"
        if place.number not in known:
            yield place.keys, f"there is no {place.words}", has
        for kind in (kind for kind in KINDS if kind.entry is Stamped and kind.place == place.kind):
            entry = record.entry(place, kind.path)
            if isinstance(entry, Stamped) and entry.value not in known:
                yield (*place.keys, *kind.keys, "value"), f"there is no {place.kind} {entry.value}", has
    rings = rings_of(engine)
    for place in record.places():
        for ring in data[place.kind][str(place.number)].get("ring", {}):
            if ring not in rings:
                what = f"the pistons of this engine have no {ring.replace('_', ' ')}"
                yield (*place.keys, "ring", ring), what, f"they have {', '.join(rings).replace('_', ' ')}"
        for kind in (kind for kind in KINDS if kind.misfit and kind.place == place.kind):
            said = kind.misfit(record, place) if kind.misfit else None
            if said is not None:
                yield (*place.keys, *kind.keys), *said
