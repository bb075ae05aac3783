"""The words of ``record set``: a place, the path of an entry, its values.

``bore 3 ring.top.gap go=18thou tight=19thou`` and ``bore 3 rod.way turned by=EH`` are read here.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from difflib import get_close_matches
from typing import Any, Final, NoReturn, get_args

from pydantic.fields import FieldInfo

from geometry.errors import InputError, Problem, refused
from geometry.record.catalogue import KIND_AT
from geometry.record.document import Content, Keys, Value, put
from geometry.record.entry import Entry
from geometry.record.form import PLACES
from geometry.record.kind import ReadingKind
from geometry.record.load import record_of_data
from geometry.record.place import BenchPlace, bolt_sides, read_place, read_places
from geometry.spec.base import Quantity, SpecModel, quantity_of
from geometry.spec.engine import Engine
from geometry.spec.known import advice_on_unknown, choices_of, fields_of, look_up
from geometry.unit_text import is_shop_torque
from geometry.units import System

_PATH: Final = re.compile(r"[a-z_]+(\.[a-z_]+)*")
_NUMBER: Final = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)(/\d+)?")
_UNIT_WORD: Final = re.compile(r"""[A-Za-zµμ°"″][A-Za-zµμ°"″*·/^0-9]*""")
_NAMES: Final = {
    "nogo": "tight", "no-go": "tight", "no_go": "tight", "goes": "go", "is": "value", "read": "value",
    "date": "on", "initials": "by", "step": "resolution",
}  # fmt: skip
_WORDS: Final = {
    "reversed": "turned", "backwards": "turned", "back_to_front": "turned", "ok": "correct",
    "upside_down": "down", "no": "missing", "yes": "yes", "lapped": "overlapped", "touching": "butted",
}  # fmt: skip
_TAKE_OUT: Final = "none"
_UNITS_FOR: Final = {"length": ("thou", "mm"), "torque": ("lbf*ft", "N*m"), "angle": ("deg",), "mass": ("g",)}
_LARGE: Final = 30.0
"""Lengths allowed beyond this many mm are sizes, which are spoken of in inches rather than thou."""


@dataclass(frozen=True, slots=True)
class Written:
    """One entry as it was written; no content where it was taken out."""

    place: BenchPlace
    path: str
    content: Content | None

    @property
    def keys(self) -> Keys:
        """The path of the entry in the file."""
        return (*self.place.keys, *self.path.split("."))


@dataclass(slots=True)
class _Words:
    """The words of one entry while they are being read."""

    path: str
    values: dict[str, str] = field(default_factory=dict)
    taken_out: bool = False
    last: str = ""


def read_words(
    engine: Engine, place: str, words: Sequence[str], *, by: str | None = None, on: date | None = None
) -> tuple[Written, ...]:
    """Read the words of ``record set`` without saving anything; parameters and errors as ``set_entries``."""
    return tuple(
        change
        for where in read_places(engine, place)
        for change in _read_at(engine, where, words, by=by, on=on)
    )


def _read_at(
    engine: Engine, where: BenchPlace, words: Sequence[str], *, by: str | None, on: date | None
) -> tuple[Written, ...]:
    """Read what is said of one place."""
    found = _sorted_words(where, sides_named(engine, where, words))
    if not found:
        _refuse(where.words, "says nothing yet", f"add an entry, {_example_of(where.kind)}")
    problems: list[Problem] = []
    changes = []
    for entry in found:
        try:
            changes.append(_change(where, entry, by, on))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    _hold(engine, where, changes)
    return tuple(changes)


def read_values(
    engine: Engine,
    place: str,
    path: str,
    values: Mapping[str, str] | None,
    *,
    by: str | None = None,
    on: date | None = None,
) -> Written:
    """Read the values of one entry, each by its name and with its unit, without saving anything.

    Parameters
    ----------
    engine, place : as for ``set_entries``
    path : of the entry
    values : as written behind ``name=`` on the command line, ``by``, ``on`` and ``note`` among them; None takes the
        entry out
    by, on : initials and day where the values do not say so themselves

    Raises
    ------
    InputError : values that cannot be read
    """
    where = read_place(engine, place)
    written = _change(where, _Words(path, dict(values or {}), taken_out=values is None), by, on)
    _hold(engine, where, [written])
    return written


def _hold(engine: Engine, where: BenchPlace, changes: Sequence[Written]) -> None:
    """Refuse what no record could hold, by the names that were typed."""
    data: dict[str, Any] = {}
    for change in changes:
        if change.content is not None:
            put(data, change.keys, change.content)
    try:
        record_of_data(engine, data)
    except InputError as error:
        written, typed = f"{'.'.join(where.keys)}.", f"{where.words} "
        raise InputError(replace(p, key=p.key.replace(written, typed, 1)) for p in error.problems) from None


def sides_named(engine: Engine, place: BenchPlace, words: Sequence[str]) -> list[str]:
    """Let a rod bolt be named by its side in the builder's words; the file has major and minor."""
    if place.kind != "bore" or place.number is None:
        return list(words)
    major, minor = bolt_sides(engine, place.number)
    sides = {major: "major", minor: "minor"}
    return [
        re.sub(r"^(\s*bolt\.)([a-z]+)\b", lambda found: found[1] + sides.get(found[2], found[2]), word)
        for word in words
    ]


def _pieces(words: Sequence[str]) -> list[str]:
    """Words as the grammar sees them, however the shell has cut them."""
    pieces: list[str] = []
    for word in words:
        if re.match(r"\s*note\s*=", word):
            pieces.append(word.strip())
            continue
        for part in re.split(r"\s+(?=[A-Za-z_.-]+\s*=)", word.strip()):
            name, equals, value = part.partition("=")
            value, *after = re.split(r"\s+(?=[a-z_]+\.[a-z_])", value.strip())  # the path of the next entry
            pieces += [f"{name.strip()}={value}"] if equals else name.split()
            pieces += [piece for rest in after for piece in rest.split()]
    return pieces


def _sorted_words(place: BenchPlace, words: Sequence[str]) -> list[_Words]:
    """Hand each value to the entry before it."""
    found: list[_Words] = []
    for piece in _pieces(words):
        name, equals, value = piece.partition("=")
        current = found[-1] if found else None
        if equals and ("." in name or (place.kind, name) in KIND_AT):  # deck=10thou
            found.append(_Words(name, {"value": value}, last="value"))
        elif equals:
            if current is None:
                _refuse(
                    place.words,
                    f"{piece} stands before any entry",
                    f"first the entry, {_example_of(place.kind)}",
                )
            current.last = _NAMES.get(name.lower(), name.lower())
            current.values[current.last] = value
        elif current is None or _is_path(place, piece) or not _goes_on(place, current, piece):
            found.append(_Words(piece))
    return found


def _is_path(place: BenchPlace, piece: str) -> bool:
    """Tell the path of an entry, known or misspelt, from a word that may be a value."""
    looks_so = "." in piece and _PATH.fullmatch(piece) is not None and not is_shop_torque(piece)
    return (place.kind, piece) in KIND_AT or looks_so


def _goes_on(place: BenchPlace, entry: _Words, piece: str) -> bool:
    """Take a word without a name as a value of the entry, or as the rest of one, when it can be that."""
    last = entry.values.get(entry.last, "")
    number = _NUMBER.match(last)
    unit = "" if number is None else last[number.end() :].strip()
    joined = f"{unit} {piece}".strip()
    if number and (is_shop_torque(joined) or (not unit and _UNIT_WORD.fullmatch(piece))):
        entry.values[entry.last] += f" {piece}"
    elif piece.lower() == _TAKE_OUT and not entry.values:
        entry.taken_out = True
    elif "value" not in entry.values:
        entry.values["value"], entry.last = piece, "value"
    elif f"{last}_{piece}".lower() in _choices(place, entry):
        entry.values[entry.last] = f"{last}_{piece}"
    else:
        return False
    return True


def _choices(place: BenchPlace, entry: _Words) -> list[Any]:
    """The words that the last value of an entry may be."""
    kind = KIND_AT.get((place.kind, entry.path))
    found = fields_of([kind.entry]).get(entry.last) if kind else None
    return choices_of(found.annotation) if found else []


def _change(place: BenchPlace, entry: _Words, by: str | None, on: date | None) -> Written:
    """Turn the words of one entry into what the file will hold."""
    kind = KIND_AT.get((place.kind, entry.path))
    if kind is None:
        _refuse_path(place, entry.path)
    key = f"{place.words} {entry.path}"
    if entry.taken_out:
        if entry.values:
            _refuse(key, "is to be taken out and has a value", f"write {entry.path} {_TAKE_OUT} alone")
        return Written(place, entry.path, None)
    fields = fields_of([kind.entry])
    content: dict[str, Value] = {}
    problems: list[Problem] = []
    for name, raw in entry.values.items():
        try:
            content[name] = _value(f"{key}.{name}", name, raw, fields.get(name), list(fields))
        except InputError as error:
            problems += error.problems
    missing = [name for name, info in fields.items() if info.is_required() and name not in entry.values]
    if missing or not entry.values:
        what = "has no value" if missing in ([], ["value"]) else f"comes without {' and '.join(missing)}"
        _refuse(key, what, f"write {entry.path} {how_to_write(kind.entry)}")
    if problems:
        raise InputError(problems)
    stamps: dict[str, Value | None] = {"by": by, "on": on, "note": None}
    last = {name: content.pop(name, stamp) for name, stamp in stamps.items()}
    return Written(
        place, entry.path, content | {name: value for name, value in last.items() if value is not None}
    )


def _value(key: str, name: str, raw: str, field_info: FieldInfo | None, known: list[str]) -> Value:
    """Turn one value into what TOML holds; whether it is in range is for the model to say."""
    if field_info is None:
        near = get_close_matches(name, known, 1, 0.5)
        _refuse(
            key, "is not known here", f"did you mean {near[0]}?" if near else f"known are {', '.join(known)}"
        )
    quantity = quantity_of(field_info.annotation, field_info.metadata)
    if quantity is not None:
        if _NUMBER.fullmatch(raw):
            units = _units_of(quantity, raw)
            said = "" if name == "value" else f"{name}="
            _refuse(key, f"{raw} has no unit", "write " + " or ".join(f"{said}{raw}{unit}" for unit in units))
        return raw
    types = (field_info.annotation, *get_args(field_info.annotation))
    if int in types:
        if not re.fullmatch(r"\d{1,3}", raw):
            _refuse(key, f"{raw} is not a whole number", "write a plain number, for example 3")
        return int(raw)
    if date in types:
        try:
            return date.fromisoformat(raw)
        except ValueError:
            _refuse(key, f"{raw} is not a day", "write the year first, for example 2026-03-14")
    choices = choices_of(field_info.annotation)
    if choices:
        plain = re.sub(r"[\s-]+", "_", raw.strip().lower())
        return plain if plain in choices else _WORDS.get(plain, plain)
    return raw


def _units_of(quantity: Quantity, number: str) -> tuple[str, ...]:
    """The units in which a builder would give such a number of a quantity, inches first."""
    in_thou = quantity.dimension == "length" and quantity.most <= _LARGE
    small = "/" in number or abs(float(number)) < 1.0
    return (
        ("in", "mm")
        if quantity.dimension == "length" and (small or not in_thou)
        else _UNITS_FOR[quantity.dimension]
    )


def how_to_write(model: type[SpecModel]) -> str:
    """The values of an entry as somebody would type them: ``go=18thou tight=19thou``."""
    fields = fields_of([model])
    if "go" in fields:
        return "go=18thou tight=19thou"
    texts = {
        name: " or ".join(map(str, choices_of(info.annotation)))
        or "".join(str((info.examples or ["..."])[0]).split())
        for name, info in fields.items()
        if info.is_required()
    }
    return _typed(texts)


def how_to_enter(kind: ReadingKind, system: System) -> str:
    """The words of an entry with dots where the reading goes: ``ring.top.gap go=...thou tight=...thou``."""
    fields = fields_of([kind.entry])
    needed = [name for name, info in fields.items() if info.is_required()]
    needed = (
        needed
        or [name for name in fields if name == "value"]
        or [name for name in fields if name not in Entry.model_fields][:1]
    )
    texts = {}
    for name in ("go", "tight") if kind.blades else needed:
        quantity = quantity_of(fields[name].annotation, fields[name].metadata)
        choices = " or ".join(map(str, choices_of(fields[name].annotation)))
        texts[name] = (
            f"...{_units_of(quantity, '1')[0 if system == 'in' else -1]}" if quantity else choices or "..."
        )
    return f"{kind.path} {_typed(texts)}"


def _typed(values: Mapping[str, str]) -> str:
    """Values by name as they are typed; the value itself goes without its name."""
    return " ".join(text if name == "value" else f"{name}={text}" for name, text in values.items())


def _example_of(kind: str) -> str:
    return {
        "bore": "for example ring.top.gap go=18thou tight=19thou",
        "main": "for example clearance 2.0thou",
        "crank": "for example end_play 6thou",
    }[kind]


def _refuse_path(place: BenchPlace, path: str) -> NoReturn:
    """Say what is wrong with the path of an entry, and which was probably meant."""
    root = PLACES[place.kind]
    keys = tuple(re.sub(r"[\s-]+", "_", path.lower()).split("."))
    for length in range(1, len(keys) + 1):
        models = look_up(root, keys[:length])[1]
        if not models:
            shown = ".".join(keys[:length])
            advice = advice_on_unknown(root, keys[:length])
            near = re.fullmatch(r"did you mean (\w+)\?", advice)
            full = ".".join((*keys[: length - 1], near[1], *keys[length:])) if near else ""
            _refuse(place.words, f"{shown} is not known", f"did you mean {full}?" if near else advice)
        if issubclass(models[0], Entry) and length < len(keys):
            entry = ".".join(keys[:length])
            _refuse(place.words, f"{entry} goes no deeper", f"write {entry} {how_to_write(models[0])}")
    inner = ", ".join(f"{'.'.join(keys)}.{name}" for name in fields_of(look_up(root, keys)[1]))
    _refuse(place.words, f"{'.'.join(keys)} is not an entry yet", f"write one of {inner}")


def _refuse(key: str, what: str, right: str) -> NoReturn:
    raise refused("", key, what, right)
