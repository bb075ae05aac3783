"""What of a file's data has the kind that the format asks for: what rules of proportion can be worked out from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, get_args, get_origin

from pydantic.fields import FieldInfo

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
    return _table([Engine], data)


def _table(models: Iterable[type[SpecModel]], table: Mapping[str, Any]) -> dict[str, Any]:
    fields = fields_of(models)
    kept = {key: _value(fields[key], value) for key, value in table.items() if key in fields}
    return {key: value for key, value in kept.items() if value is not None}


def _value(field: FieldInfo, value: Any) -> Any:
    """What is written, or what of it can be used; None where nothing can."""
    inner, is_list = models_in(field.annotation), _holds(field.annotation, list)
    if inner and isinstance(value, Mapping):
        if _holds(field.annotation, dict):
            return {key: _table(inner, row) for key, row in value.items() if isinstance(row, Mapping)}
        return None if is_list else _table(inner, value)
    if inner:
        rows = value if is_list and isinstance(value, list) else None
        return rows and [_table(inner, row) if isinstance(row, Mapping) else {} for row in rows]
    if isinstance(value, Mapping):
        return value if _holds(field.annotation, dict) else None
    if isinstance(value, list):
        return value if is_list else None
    choices = choices_of(field.annotation)
    is_open = quantity_of(field.annotation, field.metadata) is not None or not choices
    return value if is_open or (not isinstance(value, bool) and value in choices) else None


def _holds(annotation: Any, kind: type) -> bool:
    """Whether a value may be such a container."""
    return get_origin(annotation) is kind or any(_holds(part, kind) for part in get_args(annotation))
