"""The form of a record file: its tables and its limits, made from the kinds of reading."""

from __future__ import annotations

from collections.abc import Mapping
from types import GenericAlias
from typing import Any, Final

from pydantic import Field, create_model

from geometry.record.catalogue import KINDS, LIMITS
from geometry.record.kind import ReadingKind
from geometry.record.limits import LengthLimit, MassLimit, TorqueLimit
from geometry.record.model import Record
from geometry.spec.base import SpecModel

_TOLD_FIRST: Final = (
    "diameter", "ring", "piston", "rod", "cap", "shell", "ring.top", "ring.second", "ring.upper_rail", "ring.expander",
    "ring.expander.angle", "ring.expander.ends", "piston.way", "piston.number", "rod.way", "rod.number", "rod.length",
)  # fmt: skip
"""Keys in the order in which messages list those of a table; the others follow in the order of the job."""


def _told(path: str) -> int:
    return _TOLD_FIRST.index(path) if path in _TOLD_FIRST else len(_TOLD_FIRST)


def _table(kinds: Mapping[str, ReadingKind], path: str = "") -> type[SpecModel]:
    """The model of the table at a path, of all the kinds of reading below it."""
    inside = [each for each in kinds if each.startswith(path)]
    names = dict.fromkeys(each.removeprefix(path).partition(".")[0] for each in inside)
    fields: dict[str, Any] = {}
    base: type[SpecModel] = SpecModel
    for name in sorted(names, key=lambda name: _told(f"{path}{name}")):
        kind = kinds.get(f"{path}{name}")
        base = kind.table if kind else base
        inner = kind.entry if kind else _table(kinds, f"{path}{name}.")
        fields[name] = (inner | None, Field(default=None, description=kind.words if kind else None))
    return create_model(f"{path.title()}Found", __base__=base, **fields)


def _place(place: str) -> type[SpecModel]:
    return _table({kind.path: kind for kind in KINDS if kind.place == place})


def _limits() -> type[SpecModel]:
    models: dict[str, type[SpecModel]] = {"length": LengthLimit, "torque": TorqueLimit, "mass": MassLimit}
    fields: dict[str, Any] = {
        limit.name: (models[limit.dimension] | None, Field(default=None, description=limit.words))
        for limit in LIMITS.values()
    }
    return create_model("RecordLimits", __base__=SpecModel, **fields)


PLACES: Final = {place: _place(place) for place in ("bore", "main", "crank")}
"""The model of what was found at each kind of place."""
RECORD_LIMITS: Final = _limits()
"""Figures of the part makers or your own, in place of the trade's."""
_TABLES: Final[dict[str, Any]] = {
    "limits": (RECORD_LIMITS, RECORD_LIMITS()),
    "bore": (GenericAlias(dict, (str, PLACES["bore"])), {}),
    "main": (GenericAlias(dict, (str, PLACES["main"])), {}),
    "crank": (PLACES["crank"], PLACES["crank"]()),
}
FORM: Final = create_model("RecordForm", __base__=Record, **_TABLES)
"""The model of a whole record file."""
