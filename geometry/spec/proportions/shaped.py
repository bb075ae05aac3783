"""What of a file's data has the kind that the format asks for: what rules of proportion can be worked out from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, get_args, get_origin

from geometry.spec.base import SpecModel, quantity_of
from geometry.spec.engine import Engine
from geometry.spec.known import choices_of, fields_of, models_in


def shaped(data: Mapping[str, Any]) -> dict[str, Any]:
    """Tables where tables belong, lists where lists do, and of fixed choices only those that there are.

    All else is left out, as if it were not written: it is refused when the whole is read, and nothing should be
    worked out from it before. Places in lists stay as they are.

    Parameters
    ----------
    data : as a TOML reader or a model gives them
    """
    return _table((Engine,), data)


def _table(models: tuple[type[SpecModel], ...], table: Mapping[str, Any]) -> dict[str, Any]:
    kinds = _kinds(models)
    kept = {key: _value(kinds[key], value) for key, value in table.items() if key in kinds}
    return {key: value for key, value in kept.items() if value is not None}


@dataclass(frozen=True, slots=True)
class _Kind:
    """What a key may hold: tables of these models, a list, a table by name, one of these choices (empty: any)."""

    models: tuple[type[SpecModel], ...]
    is_list: bool
    is_dict: bool
    choices: tuple[Any, ...]


@cache
def _kinds(models: tuple[type[SpecModel], ...]) -> dict[str, _Kind]:
    """What each key of a table may hold."""
    found = {}
    for key, field in fields_of(models).items():
        note = field.annotation
        is_quantity = quantity_of(note, field.metadata) is not None
        choices = () if is_quantity else tuple(choices_of(note))
        found[key] = _Kind(models_in(note), _holds(note, list), _holds(note, dict), choices)
    return found


def _value(kind: _Kind, value: Any) -> Any:
    """What is written, or what of it can be used; None where nothing can."""
    if kind.models and isinstance(value, Mapping):
        if kind.is_dict:
            return {key: _table(kind.models, row) for key, row in value.items() if isinstance(row, Mapping)}
        return None if kind.is_list else _table(kind.models, value)
    if kind.models:
        rows = value if kind.is_list and isinstance(value, list) else None
        return rows and [_table(kind.models, row) if isinstance(row, Mapping) else {} for row in rows]
    if isinstance(value, Mapping):
        return value if kind.is_dict else None
    if isinstance(value, list):
        return value if kind.is_list else None
    return value if not kind.choices or (not isinstance(value, bool) and value in kind.choices) else None


def _holds(annotation: Any, kind: type) -> bool:
    """Whether a value may be such a container."""
    return get_origin(annotation) is kind or any(_holds(part, kind) for part in get_args(annotation))
