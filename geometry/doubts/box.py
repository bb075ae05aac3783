"""All that an engine may be within the doubt about its values: a box with one side a value, and the engine in it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from geometry.assembly import Assembly, assemble
from geometry.built import AS_DESIGNED, Built
from geometry.spec.base import SpecModel
from geometry.spec.described import Described
from geometry.spec.engine import Engine
from geometry.spec.locate import Path


@dataclass(frozen=True, slots=True)
class Coordinate:
    """One value in doubt, in its house unit.

    Attributes
    ----------
    key : as the user writes it; for a reading of a build record its place and path
    nominal, lowest, highest : what is counted with, and the least and the most that it may be
    assumed : nobody measured it
    path : where it stands in the engine file; None for a reading
    lay : lays a value over the engine as put together, of the engine file's model as it is at that point, since a
        reading holds whatever the values are that it is the sum of; for a reading only
    """

    key: str
    nominal: float
    lowest: float
    highest: float
    assumed: bool
    path: Path | None = None
    lay: Callable[[Engine, Built, float], Built] | None = None


@dataclass(frozen=True, eq=False)
class DoubtBox:
    """The engine at any values within their doubt; a point names the values by key that differ from nominal.

    Attributes
    ----------
    described : the engine file
    coordinates : one for each value in doubt; readings in the order in which they are laid over the engine
    built : how the engine is put together, apart from the readings among the coordinates
    """

    described: Described
    coordinates: tuple[Coordinate, ...]
    built: Built = AS_DESIGNED

    def spec_at(self, point: Mapping[str, float]) -> Engine:
        """The engine file's model at a point; what is consistent at nominal values is not asked again."""
        changes: dict[Any, Any] = {}
        for coordinate in self.coordinates:
            if coordinate.path is not None and coordinate.key in point:
                table = changes
                for step in coordinate.path[:-1]:
                    table = table.setdefault(step, {})
                table[coordinate.path[-1]] = point[coordinate.key]
        spec = _changed(self.described.spec, changes) if changes else self.described.spec
        assert isinstance(spec, Engine)
        return spec

    def built_at(self, point: Mapping[str, float]) -> Built:
        """How the engine is put together at a point; readings that it does not name hold with their nominal value."""
        readings = [coordinate for coordinate in self.coordinates if coordinate.lay is not None]
        if not readings:
            return self.built
        spec, built = self.spec_at(point), self.built
        for reading in readings:
            assert reading.lay is not None
            built = reading.lay(spec, built, point.get(reading.key, reading.nominal))
        return built

    def assembly_at(self, point: Mapping[str, float]) -> Assembly:
        """The engine at a point, put together.

        Raises
        ------
        GeometryError : it cannot be put together there
        """
        return assemble(self.spec_at(point), self.built_at(point))


def box_of(described: Described, built: Built = AS_DESIGNED) -> DoubtBox:
    """The box of an engine file's values in doubt."""
    sides = (
        Coordinate(value.key, value.nominal, value.lowest, value.highest, value.assumed, value.path)
        for value in described.doubted
    )
    return DoubtBox(described, tuple(sides), built)


def _changed(holder: Any, changes: Mapping[Any, Any]) -> Any:
    """A copy with values changed, told by step and table within it, made without asking its rules again."""
    if isinstance(holder, list):
        items = list(holder)
        for place, change in changes.items():
            items[place] = _within(items[place], change)
        return items
    if isinstance(holder, dict):
        return {**holder, **{name: _within(holder[name], change) for name, change in changes.items()}}
    model: type[SpecModel] = type(holder)
    names = _names(model)
    found = {names[name]: _within(getattr(holder, names[name]), change) for name, change in changes.items()}
    return holder.model_copy(update=found)


def _within(value: Any, change: Any) -> Any:
    return _changed(value, change) if isinstance(change, dict) else change


@cache
def _names(model: type[SpecModel]) -> dict[str, str]:
    """The attribute of each key of a table."""
    return {field.alias or name: name for name, field in model.model_fields.items()}
