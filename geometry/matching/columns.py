"""Kinds of parts that are matched, and what may be known of each: the columns of a parts file."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from geometry.spec.engine import Engine
from geometry.units import INCH_MM


@dataclass(frozen=True, slots=True)
class Size:
    """A size or weight as measured, in the house unit, with how far it may be out below and above."""

    value: float
    minus: float = 0.0
    plus: float = 0.0


@dataclass(frozen=True, slots=True)
class MeasuredPart:
    """One row of a parts file.

    Attributes
    ----------
    kind : a key of ``KINDS``
    name : as the builder calls it; of a bore its number
    line : in the file
    sizes : by column
    count : how many there are alike, of which each goes into one bore
    """

    kind: str
    name: str
    line: int
    sizes: dict[str, Size] = field(default_factory=dict)
    count: int = 1


@dataclass(frozen=True, slots=True)
class SizeColumn:
    """One column.

    Attributes
    ----------
    words : as it is headed
    dimension : ``length`` or ``mass``
    design : what the engine file has for it; None where it has nothing
    """

    words: str
    dimension: str
    design: Callable[[Engine], float | None]


def _nothing(spec: Engine) -> None:
    del spec


KINDS: Final[dict[str, tuple[SizeColumn, ...]]] = {
    "bore": (
        SizeColumn("diameter", "length", lambda spec: spec.block.bore.diameter_mm),
        SizeColumn("deck height", "length", lambda spec: spec.block.deck_height_mm),
        SizeColumn("crankpin", "length", lambda spec: spec.crank.pin.diameter_mm),
    ),
    "piston": (
        SizeColumn("diameter", "length", lambda spec: spec.block.bore.diameter_mm - spec.piston.skirt.clearance_mm),
        SizeColumn("height", "length", lambda spec: spec.piston.compression_height_mm),
        SizeColumn("pin bore", "length", _nothing),
        SizeColumn("mass", "mass", lambda spec: spec.piston.mass_kg),
    ),
    "pin": (
        SizeColumn("diameter", "length", lambda spec: spec.piston.pin.diameter_mm),
        SizeColumn("mass", "mass", _nothing),
    ),
    "rod": (
        SizeColumn("length", "length", lambda spec: spec.rod.length_mm),
        SizeColumn("housing", "length", lambda spec: spec.rod.big_end.bore_mm),
        SizeColumn("pin bore", "length", _nothing),
        SizeColumn("small mass", "mass", lambda spec: spec.rod.mass_small_kg),
        SizeColumn("big mass", "mass", lambda spec: spec.rod.mass_big_kg),
    ),
    "shells": (SizeColumn("wall", "length", lambda spec: spec.rod.bearing.wall_mm),),
    "top ring": (SizeColumn("gap", "length", _nothing), SizeColumn("in bore", "length", _nothing)),
    "second ring": (SizeColumn("gap", "length", _nothing), SizeColumn("in bore", "length", _nothing)),
}  # fmt: skip
"""Columns by kind. The words are those of the parts file."""
NEEDED: Final = {"shells": ("wall",), "top ring": ("gap",), "second ring": ("gap",)}
"""Columns without which a row says nothing."""
COUNTED: Final = "shells"
"""The kind of which a row may stand for several alike, under ``pairs``."""

FITS: Final = {
    "piston to wall": "piston to wall, on the diameter at the skirt",
    "oil clearance": "big-end oil clearance, on the diameter",
    "deck": "crown below the deck at top dead centre",
    "pin in piston": "piston pin in the piston, on the diameter",
    "pin in rod": "piston pin in the rod, on the diameter; below zero it is pressed in",
    "top ring gap": "end gap of the top ring, as it is cut",
    "second ring gap": "end gap of the second ring, as it is cut",
}
"""Everything that is held to limits, as the table ``limit`` of a parts file calls it, and in words."""


@dataclass(frozen=True, slots=True)
class Goal:
    """What one thing counts in the goal: a deviation of ``one`` costs ``weight``, twice as much costs four times that.

    Attributes
    ----------
    one : in the house unit; None for a clearance, where it is half of what lies between its limits
    """

    weight: float
    one: float | None = None


LEVEL: Final = "decks level"
EVEN: Final = "weights even"
GOALS: Final[dict[str, Goal]] = {
    **{name: Goal(1.0) for name in FITS},
    LEVEL: Goal(1.0, 0.001 * INCH_MM),
    EVEN: Goal(1.0, 0.002),
}
"""The goal where a parts file says nothing else. One thou of deck and 2 g: common practice, no source."""
