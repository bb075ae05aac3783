"""What an engine file leaves out, filled in by proportion and counted: so that twenty values are an engine."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Final, get_origin

from pydantic.fields import FieldInfo

from geometry.doubt import read_doubtful
from geometry.spec.base import Quantity, SpecModel, quantity_of
from geometry.spec.engine import Engine
from geometry.spec.known import fields_of, look_up, models_in
from geometry.spec.locate import Path, read_written, written
from geometry.spec.proportions.block import section_mm
from geometry.spec.proportions.given import Rounding, Usual, facts_of
from geometry.spec.proportions.row import Proportion
from geometry.spec.proportions.shaped import shaped
from geometry.spec.proportions.table import usual
from geometry.units import DIMENSIONS, INCH_MM, System, UnitError

BASICS: Final = ("engine.layout", "engine.numbering", "block.bore.diameter", "crank.stroke")
"""What must be written; and ``engine.bank_angle`` in a vee. Everything else may be filled."""
FALLBACK: Final = {"block.bore.diameter": 90.0, "crank.stroke": 84.0, "engine.bank_angle": 90.0}
"""Taken where a basic value is missing or cannot be read: its own refusal is all that is told then."""
SECTION: Final[Path] = ("block", "crankcase", "section")
LEAST: Final = 0.1
"""Taken, in the house unit, where a rule gives nothing or less for what must be above that: what is written is at odds
with itself then, and is refused by a rule of its own."""
DIGITS: Final = 4
"""Digits behind the point, in house units, of what is filled."""
_BANKS: Final = {"inline": ("line",), "vee": ("left", "right"), "flat": ("left", "right")}


@dataclass(slots=True)
class Completed:
    """The data of an engine file with all that it needs.

    Attributes
    ----------
    data : as a TOML reader gives them, what was missing written as text with its unit
    paths : the quantities that were filled in
    chosen : keys of what is no quantity and was filled in, as the user writes them
    """

    data: dict[str, Any]
    paths: list[Path] = field(default_factory=list)
    chosen: list[str] = field(default_factory=list)


def missing_basics(data: Mapping[str, Any]) -> tuple[str, ...]:
    """Which of the few keys that must be written are not."""
    wanted = [*BASICS, "engine.bank_angle"] if _at(data, ("engine", "layout")) == "vee" else list(BASICS)
    return tuple(key for key in wanted if _at(data, tuple(key.split("."))) is None)


def fill(data: Mapping[str, Any], lengths_in: System = "mm") -> Completed:
    """Fill in what an engine needs and its file does not say.

    What is written stays as it is, right or wrong: whether it can be used is asked afterwards, of the whole. What must
    be written is never filled in; the rest is then worked out from another engine's, only to be complete.

    Parameters
    ----------
    data : as a TOML reader gives them
    lengths_in : units that lengths are filled in with
    """
    filled = Completed(deepcopy(dict(data)))
    for path, value in choices(shaped(filled.data)):
        if _put(filled.data, path, value):
            filled.chosen.append(written(path))
    sound = shaped(filled.data)
    values = given_of(sound, lambda row, value: round(value, DIGITS))
    for path in missing_quantities(sound):
        if written(path) in BASICS:
            continue
        _fill_one(filled, path, values, lengths_in)
    return filled


def given_of(
    data: Mapping[str, Any], rounded: Rounding | None = None, fallback: Mapping[str, float] = FALLBACK
) -> Usual:
    """What a file's data say, ready for the rules of proportion: house-unit values by key, and facts of the layout.

    Parameters
    ----------
    data : as a TOML reader or a model gives them; what is no quantity, or cannot be read, is left out
    rounded : what to make of values that rules give
    fallback : values for keys that the data do not hold
    """
    data = shaped(data)
    known: dict[str, float] = dict(_readable(data, ()))
    facts = facts_of({**data, "engine": _general(data)}, split=bool(known.get("crank.split")))
    if facts["flat"]:
        known["engine.bank_angle"] = 180.0

    def sound(row: Proportion, value: float) -> float:
        if value <= 0.0 and quantity_at(row.key).least == 0.0:
            value = LEAST
        return value if rounded is None else rounded(row, value)

    return Usual({**fallback, **known, **facts}, usual, sound)


@cache
def quantity_at(key: str) -> Quantity:
    """The quantity that a key of the engine file holds."""
    path = read_written(key.replace("[]", ""))
    found = None if path is None else look_up(Engine, path)[0]
    quantity = None if found is None else quantity_of(found.annotation, found.metadata)
    assert quantity is not None, key
    return quantity


def _general(data: Mapping[str, Any]) -> dict[str, Any]:
    """The [engine] table with layout and numbering that can be counted with."""
    general = dict(data["engine"]) if isinstance(data.get("engine"), Mapping) else {}
    if general.get("layout") not in _BANKS:
        general["layout"] = "inline"
    numbering = general.get("numbering")
    written_banks = numbering if isinstance(numbering, Mapping) else {}
    banks = {
        bank: numbers for bank, numbers in written_banks.items() if isinstance(numbers, list) and numbers
    }
    general["numbering"] = banks or {bank: [1] for bank in _BANKS[general["layout"]]}
    return general


def _readable(value: Any, path: Path) -> Iterator[tuple[str, float]]:
    """Every quantity of a file's data that can be read, by key."""
    if isinstance(value, Mapping):
        for key, inner in value.items():
            yield from _readable(inner, (*path, key))
    elif isinstance(value, list):
        for place, inner in enumerate(value):
            yield from _readable(inner, (*path, place))
    else:
        found, _ = look_up(Engine, path)
        quantity = None if found is None else quantity_of(found.annotation, found.metadata)
        if quantity is None:
            return
        number = _number(value, quantity)
        if number is not None:
            yield written(path), number


def _number(value: Any, quantity: Quantity) -> float | None:
    """A quantity in its house unit; None where it will be refused."""
    try:
        number = read_doubtful(value, quantity.dimension).nominal if isinstance(value, str) else float(value)
    except (UnitError, TypeError, ValueError, OverflowError):
        return None
    above = number > quantity.least or (number == quantity.least and not quantity.above)
    return number if above and number <= quantity.most and not isinstance(value, bool) else None


def choices(data: dict[str, Any]) -> Iterator[tuple[Path, Any]]:
    """What is no quantity and an engine cannot be without, by path; what is written already is left to the caller."""
    general = _general(data)
    yield ("engine", "name"), "My engine"
    if general["layout"] != "inline":
        yield ("engine", "leading_bank"), "left"
    yield ("crank", "throws"), _throws(data, general)
    yield ("rod", "beam", "section"), "I"
    nut = any(_at(data, ("rod", "bolt", key)) is not None for key in ("nut_diameter", "nut_height"))
    yield ("rod", "bolt", "kind"), "bolt_and_nut" if nut else "cap_screw"
    dished = _at(data, ("piston", "crown", "diameter")) is not None
    yield ("piston", "crown", "shape"), "dish" if dished else "flat"
    rings = _rings(data)
    if not _at(data, ("piston", "grooves")):
        yield ("piston", "grooves"), [{"ring": ring} for ring in rings]
    yield ("rings", "top", "face"), "barrel"
    if "second" in rings:
        yield ("rings", "second", "face"), "taper"


def _rings(data: Mapping[str, Any]) -> list[str]:
    """The rings of a piston: those of its grooves, else those that the file describes, else the usual three."""
    grooves = _at(data, ("piston", "grooves"))
    if isinstance(grooves, list) and grooves:
        return [groove.get("ring", "") for groove in grooves if isinstance(groove, Mapping)]
    return ["top", "second", "oil"]


def _throws(data: Mapping[str, Any], general: Mapping[str, Any]) -> Any:
    """The usual crank of a layout with so many throws."""
    bores = sum(len(numbers) for numbers in general["numbering"].values())
    to_throw = _at(data, ("crank", "rods_per_throw")) or (2 if general["layout"] == "vee" else 1)
    count = max(1, bores // (to_throw if to_throw in (1, 2) else 1))
    if general["layout"] == "flat" and count in (2, 4, 6):
        return "boxer"
    even = {1: "single", 2: "twin-360", 3: "three", 5: "five", 6: "inline-six"}
    if count == 4:
        return "cross-plane" if general["layout"] == "vee" else "flat-plane"
    return even.get(count, [f"{720.0 / count * k % 360.0:.6g} deg" for k in range(count)])


def missing_quantities(data: Mapping[str, Any]) -> Iterator[Path]:
    """Every quantity that an engine needs and the data do not hold, in the order of the models."""
    yield from _missing(Engine, data, ())
    numbering = _general(data)["numbering"]
    bank = max(len(numbers) for numbers in numbering.values())
    throws, spacing = _at(data, ("crank", "throws")), _at(data, ("block", "bore", "spacing"))
    lone = throws == "single" or (isinstance(throws, list) and len(throws) == 1)
    wanted: list[tuple[bool, Path]] = [
        (bank > 1, ("block", "bore", "spacing")),
        (bank == 1 and lone and spacing is None, ("crank", "cheek", "thickness")),
        (bool(_at(data, ("crank", "split"))), ("crank", "split_web")),
        (_at(data, ("rod", "bolt", "kind")) == "bolt_and_nut", ("rod", "bolt", "nut_diameter")),
        (_at(data, ("rod", "bolt", "kind")) == "bolt_and_nut", ("rod", "bolt", "nut_height")),
        (_at(data, ("piston", "crown", "shape")) in ("dish", "dome"), ("piston", "crown", "diameter")),
    ]  # fmt: skip
    yield from (path for needed, path in wanted if needed and _at(data, path) is None)
    for ring in ("second", "oil"):
        table = _at(data, ("rings", ring))
        if ring in _rings(data) and table is None:
            yield from _missing(look_up(Engine, ("rings", ring))[1][0], {}, ("rings", ring))


def _missing(model: type[SpecModel], table: Mapping[str, Any], path: Path) -> Iterator[Path]:
    """Required quantities of a model that its table does not hold; tables that are written are gone through too."""
    for key, found in fields_of([model]).items():
        inner, value = models_in(found.annotation), table.get(key)
        if inner and isinstance(value, list):
            for place, row in enumerate(value):
                if isinstance(row, Mapping):
                    yield from _missing(inner[0], row, (*path, key, place))
        elif inner and get_origin(found.annotation) is not list:
            if isinstance(value, Mapping) or (value is None and found.is_required()):
                yield from _missing(inner[0], value or {}, (*path, key))
        elif value is None and _is_wanted(found):
            yield (*path, key)


def _is_wanted(found: FieldInfo) -> bool:
    return found.is_required() and quantity_of(found.annotation, found.metadata) is not None


def _fill_one(filled: Completed, path: Path, values: Usual, lengths_in: System) -> None:
    """One quantity, or the section of the crankcase; what no rule knows is left out, and refused as ever."""
    if path == SECTION:
        points = [[round(number, DIGITS) for number in point] for point in section_mm(values)]
        if _put(filled.data, path, [[_text(n, "length", lengths_in) for n in point] for point in points]):
            filled.paths += [(*path, k, axis) for k in range(len(points)) for axis in (0, 1)]
        return
    key = written(path)
    row = usual(key)
    if row is None or row.rule is None:
        return
    if _put(filled.data, path, _text(values[key], quantity_at(key).dimension, lengths_in)):
        filled.paths.append(path)


def _text(value: float, dimension: str, lengths_in: System) -> str:
    """A value as the file would have it."""
    if dimension == "length" and lengths_in == "in":
        return f"{value / INCH_MM:.10g} in"
    return f"{value:.10g} {DIMENSIONS[dimension].house}"


def _at(data: Any, path: Path) -> Any:
    """What stands at a path; None where nothing does."""
    for step in path:
        if isinstance(data, list) and isinstance(step, int) and step < len(data):
            data = data[step]
        elif isinstance(data, Mapping):
            data = data.get(step)
        else:
            return None
    return data


def _put(data: dict[str, Any], path: Path, value: Any) -> bool:
    """Write a value where there is none; False where there is one, or where something else stands in its way."""
    holder: Any = data
    for step in path[:-1]:
        if isinstance(holder, dict):
            holder = holder.setdefault(step, {})
        elif isinstance(holder, list) and isinstance(step, int):
            holder = holder[step]
        else:
            return False
    if not isinstance(holder, dict) or path[-1] in holder:
        return False
    holder[path[-1]] = value
    return True
