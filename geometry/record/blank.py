"""What is filled in to make an entry: its blanks with their units and choices, in the ways in which it can be given."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final, Literal, TypeAlias, get_args

from pydantic.fields import FieldInfo

from geometry.record.document import Content
from geometry.record.entry import Entry
from geometry.record.kind import ReadingAt
from geometry.record.readings import SMALL_MM
from geometry.spec.base import Quantity, quantity_of
from geometry.spec.known import choices_of, fields_of
from geometry.unit_text import NUMBER
from geometry.units import System

Plain: TypeAlias = dict[str, str | int]
"""The content of an entry as JSON holds it: a day as text, the year first."""

STAMPS: Final = tuple(fields_of([Entry]))
"""What every entry may say of itself, whatever it is about."""
_UNITS: Final[dict[str, dict[System, tuple[str, ...]]]] = {
    "small": {"in": ("thou", "in", "mm"), "mm": ("mm", "thou", "in")},
    "length": {"in": ("in", "mm"), "mm": ("mm", "in")},
    "torque": {"in": ("lbf*ft", "N*m", "lbf*in"), "mm": ("N*m", "lbf*ft", "lbf*in")},
    "angle": {"in": ("deg",), "mm": ("deg",)},
    "mass": {"in": ("g", "oz"), "mm": ("g", "oz")},
}
_SMALL_QUANTITY_MM: Final = 30.0
_WORDS: Final = {
    "value": "reading", "go": "goes", "tight": "tight", "depth": "depth below the deck", "along": "along the crank",
    "across": "across it", "datum": "counted from", "resolution": "read to the nearest", "piston": "piston",
    "pin": "pin", "rod": "rod", "shells": "shells", "top_ring": "top ring", "second_ring": "second ring",
}  # fmt: skip
_CHOICES: Final = {
    "correct": "the right way round", "turned": "turned by half a turn",
    "up": "the right side up", "down": "upside down",
    "top": "top groove", "second": "second groove", "yes": "fitted", "missing": "missing", "butted": "ends butted",
    "overlapped": "ends overlapped", "rod": "in the rod", "cap": "in the cap", "in_notch": "in its notch",
    "out": "out of its notch", "front": "front of the engine", "thrust": "major thrust side",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Choice:
    """One of the answers that a blank knows; ``right`` where it is what should be found."""

    value: str
    words: str
    right: bool


@dataclass(frozen=True, slots=True)
class Blank:
    """One value to be filled in.

    Attributes
    ----------
    name : as typed and as written in the file
    words, hint : what it is, shortly and in a sentence
    kind : ``quantity`` is a number with a unit
    needed : the entry cannot do without it in this way of giving it
    units : those in which it is given at the bench, the usual one first; empty for what is no quantity
    signed : whether it may be below zero
    choices : all that it may say; empty where that is open
    """

    name: str
    words: str
    hint: str
    kind: Literal["quantity", "choice", "text"]
    needed: bool
    units: tuple[str, ...] = ()
    signed: bool = False
    choices: tuple[Choice, ...] = ()


@dataclass(frozen=True, slots=True)
class EntryForm:
    """One way of giving an entry: a pair of blades, or a single figure."""

    key: Literal["blades", "one"]
    words: str
    blanks: tuple[Blank, ...]


def forms_of(at: ReadingAt) -> tuple[EntryForm, ...]:
    """Every way of giving an entry at a place, the usual one first."""
    fields = {name: info for name, info in fields_of([at.kind.entry]).items() if name not in STAMPS}
    if "go" not in fields:
        needed = [name for name, info in fields.items() if info.is_required()]
        return (EntryForm("one", "as read", _blanks(at, fields, needed)),)
    both = {"go", "tight"}
    pair = {name: fields[name] for name in fields if name not in ("value", "resolution")}
    pair = {name: pair[name] for name in sorted(pair, key=lambda name: name not in both)}
    one = {name: info for name, info in fields.items() if name not in both}
    forms = (
        EntryForm("blades", "feeler blades", _blanks(at, pair, ["go"])),
        EntryForm("one", "one figure", _blanks(at, one, ["value"])),
    )
    return forms if at.kind.blades else forms[::-1]


def form_filled(forms: tuple[EntryForm, ...], content: Content) -> EntryForm:
    """The way in which an entry was given."""
    return next((form for form in forms if (form.key == "blades") == ("go" in content)), forms[0])


def plain(content: Content) -> Plain:
    """Content as JSON holds it."""
    return {name: value.isoformat() if isinstance(value, date) else value for name, value in content.items()}


def filled(content: Content) -> dict[str, tuple[str, str]]:
    """What stands in each blank of an entry: the number, or word, as it was written, and its unit."""
    found = {}
    for name, value in plain(content).items():
        number = NUMBER.fullmatch(value.strip()) if isinstance(value, str) and name not in STAMPS else None
        found[name] = (number[1], number[2].strip()) if number else (str(value), "")
    return found


def _blanks(at: ReadingAt, fields: Mapping[str, FieldInfo], needed: list[str]) -> tuple[Blank, ...]:
    return tuple(_blank(at, name, info, name in needed) for name, info in fields.items())


def _blank(at: ReadingAt, name: str, info: FieldInfo, needed: bool) -> Blank:
    words, hint = _WORDS.get(name, name.replace("_", " ")), info.description or ""
    quantity = quantity_of(info.annotation, info.metadata)
    if quantity is not None:
        units = _UNITS[_units_of(at, name, quantity)][at.bench.system]
        return Blank(name, words, hint, "quantity", needed, units, signed=quantity.least < 0.0)
    choices = _choices(at, name, info.annotation)
    return Blank(name, words, hint, "choice" if choices else "text", needed, choices=choices)


def _units_of(at: ReadingAt, name: str, quantity: Quantity) -> str:
    """A length is small where it can be no other, or where the reading itself is held against small limits."""
    if quantity.dimension != "length":
        return quantity.dimension
    limit = at.limit if name == "value" and at.kind.judge is None else None
    ends = [] if limit is None else [end for end in (limit.least, limit.most) if end is not None]
    small = quantity.most <= _SMALL_QUANTITY_MM or (ends and max(map(abs, ends)) < SMALL_MM)
    return "small" if small else "length"


def _choices(at: ReadingAt, name: str, annotation: Any) -> tuple[Choice, ...]:
    wanted = at.wanted.value if name == "value" and at.wanted is not None else None
    values: list[Any] = choices_of(annotation)
    if int in (annotation, *get_args(annotation)):  # the number stamped on a part
        values = [place.number for place in at.bench.places(at.place.kind)]
    return tuple(
        Choice(str(value), _CHOICES.get(str(value), f"{at.place.kind} {value}"), value == wanted)
        for value in values
    )
