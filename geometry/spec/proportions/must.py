"""Which keys of each table must be written: what an editor marks as missing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from geometry.spec.base import SpecModel, quantity_of
from geometry.spec.engine import Engine
from geometry.spec.known import fields_of, models_in
from geometry.spec.locate import Path, written
from geometry.spec.proportions.fill import BASICS, choices
from geometry.spec.proportions.table import usual


def must_be_written() -> dict[str, list[str]]:
    """Keys that no rule fills in, by the name of the model whose table they stand in.

    A table must be there where something in it must be, and the format requires the table.
    """
    found: dict[str, set[str]] = defaultdict(set)
    for model, key in _wanted(Engine, ()):
        found[model.__name__].add(key)
    return {name: sorted(keys) for name, keys in found.items()}


def _wanted(model: type[SpecModel], path: Path) -> Iterator[tuple[type[SpecModel], str]]:
    filled_in = {written(chosen) for chosen, _ in choices({})}
    for key, field in fields_of([model]).items():
        here, inner = (*path, key), models_in(field.annotation)
        within = [pair for one in inner for pair in _wanted(one, here)]
        yield from within
        if not field.is_required():
            continue
        name = written(here)
        row = usual(f"{name}[1]") or usual(name)
        quantity = quantity_of(field.annotation, field.metadata) is not None
        ruled = row is not None and (bool(row.told) or row.rule is not None)
        if name in BASICS:
            yield model, key
        elif inner:
            asked = any(one.__name__ == table.__name__ for one in inner for table, _ in within)
            if asked and name not in filled_in:
                yield model, key
        elif name not in filled_in and not (quantity and ruled):
            yield model, key
