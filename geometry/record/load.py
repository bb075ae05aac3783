"""From a record file to the model, or to one clear line for everything that is wrong with it."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path as FilePath
from typing import Any

from geometry.errors import InputError, Problem
from geometry.record.model import Record
from geometry.rings.clocked import rings_of
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
        return Record()
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
    data = data_of(text, file)
    record = validate_model(Record, data, file, text)
    found = list(misfits(engine, data))
    if found:
        lines = lines_of_keys(text)
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
    if all(not line or line.startswith("#") for line in lines) and _is_toml(text):
        return {}
    return parse_toml(text, file)


def _is_toml(text: str) -> bool:
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return False
    return True


def bore_numbers(engine: Engine) -> tuple[int, ...]:
    """List the builder's bore numbers, ascending."""
    return tuple(sorted(number for bank in engine.engine.numbering.banks().values() for number in bank))


def main_count(engine: Engine) -> int:
    """Count the main bearings: one more than there are throws."""
    bores = len(bore_numbers(engine))
    per_throw = engine.crank.rods_per_throw or (2 if engine.engine.layout == "vee" else 1)
    return bores // per_throw + 1


def misfits(engine: Engine, data: Mapping[str, Any]) -> Iterator[tuple[Path, str, str]]:
    """Find what a well-written record says about parts that this engine does not have.

    Parameters
    ----------
    engine : the engine file
    data : the record as a TOML reader gives it, already accepted by the model

    Yields
    ------
    Path in the record, what is wrong, what would be right.
    """
    name = data.get("record", {}).get("engine")
    if name is not None and name != engine.engine.name:
        yield (
            ("record", "engine"),
            f'this is the build record of "{name}", not of "{engine.engine.name}"',
            "give the engine file that it belongs to",
        )
    for kind, known in (("bore", bore_numbers(engine)), ("main", tuple(range(1, main_count(engine) + 1)))):
        one_of = f"this engine has {', '.join(map(str, known))}"
        for key, place in data.get(kind, {}).items():
            if int(key) not in known:
                yield (kind, key), f"there is no {kind} {key}", one_of
            yield from _wrong_numbers(place, (kind, key), kind, known)
    rings = rings_of(engine)
    for key, bore in data.get("bore", {}).items():
        for ring in bore.get("ring", {}):
            if ring not in rings:
                what = f"the pistons of this engine have no {ring.replace('_', ' ')}"
                yield ("bore", key, "ring", ring), what, f"they have {', '.join(rings).replace('_', ' ')}"
        yield from _shells_in_one_seat(bore, key)


def _wrong_numbers(
    place: Mapping[str, Any], path: Path, kind: str, known: tuple[int, ...]
) -> Iterator[tuple[Path, str, str]]:
    holders = (
        {"": place} if kind == "main" else {part: place.get(part, {}) for part in ("piston", "rod", "cap")}
    )
    for part, holder in holders.items():
        number = holder.get("number", {}).get("value")
        if number is not None and number not in known:
            where = (*path, part, "number", "value") if part else (*path, "number", "value")
            yield where, f"there is no {kind} {number}", f"this engine has {', '.join(map(str, known))}"


def _shells_in_one_seat(bore: Mapping[str, Any], key: str) -> Iterator[tuple[Path, str, str]]:
    shell = bore.get("shell", {})
    upper, lower = (shell.get(half, {}).get("seat", {}).get("value") for half in ("upper", "lower"))
    if upper is not None and upper == lower:
        yield (
            ("bore", key, "shell", "lower", "seat"),
            f"both shells are said to lie in the {upper}",
            "one lies in the rod, the other in the cap",
        )
