"""An engine file with all that it says of each value: what it is, how far it may be out, and where it comes from."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from geometry.doubt import Doubt, Origin, read_doubtful
from geometry.spec.base import Quantity, quantity_of
from geometry.spec.doubts import DoubtTable
from geometry.spec.engine import Engine
from geometry.spec.known import look_up
from geometry.spec.load import EngineFile, read_engine
from geometry.spec.locate import Path, written
from geometry.spec.proportions.row import DimensionKind
from geometry.spec.proportions.shares import band, kind_of_dimension, out_of, told
from geometry.spec.proportions.table import usual
from geometry.unit_text import pieces_of


@dataclass(frozen=True, slots=True)
class KnownValue:
    """One quantity of the engine file and how well it is known, in the house unit of its dimension.

    Attributes
    ----------
    path : keys and positions (from 0) that lead to it
    dimension : a key of ``units.DIMENSIONS``
    nominal, lowest, highest : the value that is counted with, and the least and the most that it may be
    origin : where it comes from
    reason : why it may be so far out, in words; empty where it is in no doubt
    """

    path: Path
    dimension: str
    nominal: float
    lowest: float
    highest: float
    origin: Origin = "measured"
    reason: str = ""

    @property
    def key(self) -> str:
        """As the user writes it: ``piston.grooves[2].root``."""
        return written(self.path)

    @property
    def assumed(self) -> bool:
        """Nobody measured it."""
        return self.origin in ("about", "filled")

    @property
    def in_doubt(self) -> bool:
        """It may be something else than its nominal."""
        return self.highest > self.lowest


@dataclass(frozen=True, eq=False)
class Described:
    """An engine at its nominal values, and how well each of them is known.

    Attributes
    ----------
    spec : the engine at nominal values
    values : every quantity that the file holds or that was filled in for it, in the order of the file's models;
        defaults of the format are not among them
    chosen : keys of what is no quantity (a kind, a shape, a side) and was filled in, as the user writes them
    """

    spec: Engine
    values: tuple[KnownValue, ...]
    chosen: tuple[str, ...] = ()

    @property
    def assumed(self) -> tuple[KnownValue, ...]:
        """The values that nobody measured."""
        return tuple(value for value in self.values if value.assumed)

    @property
    def doubted(self) -> tuple[KnownValue, ...]:
        """The values that may be something else than their nominal."""
        return tuple(value for value in self.values if value.in_doubt)

    @cached_property
    def _data(self) -> dict[str, Any]:
        return self.spec.model_dump(by_alias=True, exclude_unset=True)

    def at(self, changes: Mapping[Path, float]) -> Engine:
        """The engine with some values changed, by path, in house units.

        Raises
        ------
        pydantic.ValidationError : the parts are at odds with each other then
        KeyError : a path that the file does not have
        """
        data = deepcopy(self._data)
        for path, value in changes.items():
            holder: Any = data
            for step in path[:-1]:
                holder = holder[step]
            if isinstance(holder, dict) and path[-1] not in holder:
                raise KeyError(path)
            holder[path[-1]] = value
        return Engine.model_validate(data)


def load_described(path: str | os.PathLike[str], overrides: Mapping[str, str] | None = None) -> Described:
    """Read an engine file, with values of the command line laid over it, and how well each value is known.

    Raises
    ------
    InputError : as ``load_engine``
    """
    read = read_engine(path, overrides)
    return Described(read.spec, tuple(_known_values(read)), read.chosen)


def _known_values(read: EngineFile) -> Iterator[KnownValue]:
    """Every quantity that was written, as well as it is known by its own text, and every one that was filled in."""
    spec, data, filled = read.spec, read.data, set(read.filled)
    for path, number in _numbers(spec.model_dump(by_alias=True, exclude_unset=True), ()):
        field, _ = look_up(Engine, path)
        quantity = None if field is None else quantity_of(field.annotation, field.metadata)
        if quantity is not None and path in filled:
            yield _filled(path, quantity, number, spec.doubt)
        elif quantity is not None:
            yield _known(path, quantity, number, _text_at(data, path), spec.doubt)


def _filled(path: Path, quantity: Quantity, number: float, table: DoubtTable) -> KnownValue:
    """One quantity that nobody wrote."""
    out = out_of(kind_of(path, quantity.dimension), "filled", table)
    lowest, highest = band(number, quantity, out)
    row = usual(written(path))
    said = f"not in the file: {row.told}" if row is not None and row.told else "not in the file"
    reason = f"{said}; {told(out)}" if told(out) else said
    return KnownValue(path, quantity.dimension, number, lowest, highest, "filled", reason)


def _known(path: Path, quantity: Quantity, number: float, text: str, table: DoubtTable) -> KnownValue:
    """One quantity: measured, with its tolerance, or about so much."""
    doubt = read_doubtful(text, quantity.dimension) if not pieces_of(text).plain else Doubt(number)
    origin: Origin = "about" if doubt.about else "measured"
    if doubt.own:
        reason = "as far out as it is written"
        return KnownValue(path, quantity.dimension, number, doubt.lowest, doubt.highest, origin, reason)
    if not doubt.about:
        return KnownValue(path, quantity.dimension, number, number, number)
    out = out_of(kind_of(path, quantity.dimension), "about", table)
    lowest, highest = band(number, quantity, out)
    return KnownValue(path, quantity.dimension, number, lowest, highest, origin, told(out))


def kind_of(path: Path, dimension: str) -> DimensionKind:
    """How the dimension at a path comes to be; parts of one bore alone as those of all."""
    row = usual(written(path))
    return kind_of_dimension(dimension) if row is None else row.kind


def _text_at(data: Any, path: Path) -> str:
    """What stands in the file at a path; empty where it is no text."""
    for step in path:
        data = data[step]
    return data if isinstance(data, str) else ""


def _numbers(data: Any, path: Path) -> Iterator[tuple[Path, float]]:
    if isinstance(data, dict):
        for key, inner in data.items():
            yield from _numbers(inner, (*path, key))
    elif isinstance(data, list):
        for place, inner in enumerate(data):
            yield from _numbers(inner, (*path, place))
    elif isinstance(data, int | float) and not isinstance(data, bool):
        yield path, float(data)
