"""Which keys a model knows at a path, and which of them somebody probably meant."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from difflib import get_close_matches
from fractions import Fraction
from math import log
from typing import Any, Final, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from geometry.spec.base import SpecModel, name_in_file, quantity_of
from geometry.spec.locate import Path, written
from geometry.unit_text import units_of
from geometry.units import DIMENSIONS, System, UnitError, parse

_NEAR: Final = 0.6
"""Least likeness of two words, as difflib counts it, for one to be suggested for the other."""
_MOST_KEYS_LISTED: Final = 12
_LEAST_THOU: Final = 0.1
"""Nobody writes hundredths of a thousandth of an inch: a smaller number is never one of thou."""
_LARGE: Final = 10.0
"""From here on a number of which nothing is known may well be one of thou."""
_FOREIGN: Final = log(4)
_NEARLY: Final = log(3)
"""How many times further from the usual a unit of the file's own system may be than another one, before that is
thought of; and how many times further than the nearest it is still named."""


def models_in(annotation: Any) -> tuple[type[SpecModel], ...]:
    """Every model that a value of this annotation may be or may hold in arrays or tables."""
    if isinstance(annotation, type) and issubclass(annotation, SpecModel):
        return (annotation,)
    return tuple(model for part in get_args(annotation) for model in models_in(part))


def fields_of(models: Iterable[type[SpecModel]]) -> dict[str, FieldInfo]:
    """Fields by the key that the file uses, over all the models; the first model wins."""
    fields: dict[str, FieldInfo] = {}
    for model in models:
        for name, field in model.model_fields.items():
            fields.setdefault(field.alias or name, field)
    return fields


def look_up(root: type[SpecModel], path: Path) -> tuple[FieldInfo | None, tuple[type[SpecModel], ...]]:
    """Field at a path and the models that its table may be; ``(None, ())`` where the path is unknown."""
    field: FieldInfo | None = None
    models: tuple[type[SpecModel], ...] = (root,)
    any_key = False
    for part in path:
        if isinstance(part, int):
            continue
        if any_key:
            any_key = False
            continue
        fields = fields_of(models)
        if part not in fields:
            return None, ()
        field = fields[part]
        models = models_in(field.annotation)
        any_key = get_origin(field.annotation) is dict
    return field, models


def advice_on_unknown(root: type[SpecModel], path: Path) -> str:
    """What to write in place of an unknown key: the nearest one, its right place, or all that there are."""
    key = str(path[-1])
    known = list(fields_of(look_up(root, path[:-1])[1]))
    if not known:
        return "remove it"
    near = name_in_file(key.lower().replace("-", "_"))
    found = [near] if near in known else get_close_matches(near, known, 1, _NEAR)
    elsewhere = next(_places_of(root, near, (), ()), None)
    place = f"in [{written(elsewhere)}]" if elsewhere else "at the top of the file"
    if found and elsewhere is not None and found[0] != near:
        return f"did you mean {found[0]}, or does it belong {place}?"
    if found:
        return f"did you mean {found[0]}?"
    if elsewhere is not None:
        return f"it belongs {place}"
    shown = sorted(known)[:_MOST_KEYS_LISTED]
    more = f" and {len(known) - len(shown)} more" if len(known) > len(shown) else ""
    return f"known here are {', '.join(shown)}{more}"


def _places_of(
    model: type[SpecModel], key: str, path: Path, above: tuple[type[SpecModel], ...]
) -> Iterator[Path]:
    """Every table of the file that knows the key, outermost first."""
    if model in above:
        return
    fields = fields_of([model])
    if key in fields:
        yield path
    for name, field in fields.items():
        for inner in models_in(field.annotation):
            yield from _places_of(inner, key, (*path, name), (*above, model))


def choices_of(annotation: Any) -> list[Any]:
    """The fixed choices that an annotation allows, empty when it is open."""
    if get_origin(annotation) is Literal:
        return list(get_args(annotation))
    return [choice for part in get_args(annotation) for choice in choices_of(part)]


def nearest_choice(value: object, choices: Iterable[object]) -> str:
    """The choice that was probably meant, as it is written in the file, or an empty text."""
    texts = {str(choice): choice for choice in choices}
    near = get_close_matches(str(value).lower().replace("_", "-").replace(" ", "-"), list(texts), 1, _NEAR)
    return as_toml(texts[near[0]]) if near else ""


def example_of(field: FieldInfo, system: System) -> str:
    """A good value of a field as a file in these units has it, or an empty text when none is known."""
    if field.examples:
        example = _first_in(field.examples, system)
        is_toml = isinstance(example, str) and example.startswith(("[", "{"))
        return str(example) if is_toml else as_toml(example)
    quantity = quantity_of(field.annotation, field.metadata)
    is_array = get_origin(field.annotation) in (tuple, list)
    if quantity is not None:
        example = _first_in(DIMENSIONS[quantity.dimension].examples, system)
        return f'["{example}", ...]' if is_array else f'"{example}"'
    if choices := choices_of(field.annotation):
        return " or ".join(as_toml(choice) for choice in choices)
    examples: dict[Any, str] = {bool: "true", int: "1", float: "1.0", str: '"text"'}
    return examples.get(field.annotation, "")


def likely_written(number: str, field: FieldInfo, system: System) -> tuple[str, ...]:
    """A bare length with the unit that was probably meant: the one that brings it nearest to what the key usually is.

    Parameters
    ----------
    number : as it was written, without a unit
    field : a field that holds lengths
    system : the units that the file is written in; others are thought of only where these are far from the usual

    Returns
    -------
    The likeliest first, and every other that is nearly as likely.
    """
    usual_mm = _usual_mm(field)
    value = abs(float(Fraction(number)))
    units = ("in", "mm", "thou") if value >= _LEAST_THOU else ("in", "mm")
    if usual_mm is None or not value:
        own = (unit for unit in units if (unit == "mm") == (system == "mm"))
        return tuple(f"{number} {unit}" for unit in own if unit != "thou" or value >= _LARGE)
    far = {
        unit: abs(log(parse(f"{value!r} {unit}", "length") / usual_mm))
        + (_FOREIGN if (unit == "mm") != (system == "mm") else 0.0)
        for unit in units
    }
    likely = (unit for unit in sorted(far, key=far.__getitem__) if far[unit] <= min(far.values()) + _NEARLY)
    return tuple(f"{number} {unit}" for unit in likely)


def _usual_mm(field: FieldInfo) -> float | None:
    """How large the values of a field usually are; None where neither an example nor a default tells it."""
    for example in field.examples or ():
        with suppress(UnitError):
            return abs(parse(str(example), "length"))
    plain = isinstance(field.default, int | float) and not isinstance(field.default, bool)
    return float(field.default) if plain and field.default > 0 else None


def _first_in(examples: Sequence[Any], system: System) -> Any:
    """The first example in these units, or else the first of all."""
    return next((example for example in examples if units_of(str(example)) == system), examples[0])


def as_toml(value: object) -> str:
    """A plain value as TOML shows it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list | tuple):
        return f"[{', '.join(as_toml(item) for item in value)}]"
    if isinstance(value, dict):
        return f"{{{', '.join(f'{key} = {as_toml(item)}' for key, item in value.items())}}}"
    if isinstance(value, str):
        return f"'{value}'" if '"' in value else f'"{value}"'
    return str(value)
