"""Every clearance of every combination of measured parts, its limits, and who says them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from geometry.arrays import Array, Mask
from geometry.checks.fits import rod_oil_fit, wall_fit
from geometry.matching.columns import KINDS, Goal, MeasuredPart
from geometry.matching.sheet import Sheet
from geometry.record.kinds.heights import deck_range
from geometry.rings.fitted import gap_target_of
from geometry.rings.gap import gap_in_other_bore
from geometry.spec.engine import Engine
from geometry.trade import FitRange
from geometry.units import System

AXES: Final = ("piston", "pin", "rod", "shells", "bore")
"""Kinds of parts that meet each other; arrays of clearances have an axis for each, of length 1 where it has no say."""
RINGS: Final = ("top ring", "second ring")
"""Kinds that meet nothing but their bore."""
NO_LIMIT: Final = "no limit is known: write one in the table `limit`"


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """Sizes as an array over ``AXES``, mm or kg: as measured, and the least and most that they may be."""

    value: Array
    low: Array
    high: Array

    def __add__(self, other: Measured) -> Measured:
        return Measured(self.value + other.value, self.low + other.low, self.high + other.high)

    def __sub__(self, other: Measured) -> Measured:
        return Measured(self.value - other.value, self.low - other.high, self.high - other.low)


@dataclass(frozen=True, slots=True, eq=False)
class FitTable:
    """One clearance of all combinations.

    Attributes
    ----------
    name : a key of ``columns.FITS``
    axes : the kinds that it is between
    known : over ``AXES``; of a ring (rings, bores)
    least_mm, most_mm : limits, of the same number of axes; minus and plus infinity where there is none
    sources : who says the limit, one for each bore or one for all
    leans : how the clearance changes with a size: by kind and column
    """

    name: str
    axes: tuple[str, ...]
    known: Measured
    least_mm: Array
    most_mm: Array
    sources: tuple[str, ...]
    leans: Mapping[tuple[str, str], float]

    @property
    def within(self) -> Mask:
        """Where it lies within its limits, as measured."""
        return self._between(self.known.value, self.known.value)

    @property
    def surely_within(self) -> Mask:
        """Where it lies within its limits whatever the doubt."""
        return self._between(self.known.low, self.known.high)

    def _between(self, low: Array, high: Array) -> Mask:
        return np.asarray((low >= self.least_mm - ROUNDING_MM) & (high <= self.most_mm + ROUNDING_MM))


ROUNDING_MM: Final = 1e-7


@dataclass(frozen=True, slots=True, eq=False)
class Shelf:
    """All parts on the shelf, and what they are held to.

    Attributes
    ----------
    spec : the engine that they are for
    numbers : of its bores, ascending
    parts : by kind; bores in the order of ``numbers``, also where nobody measured them
    fits : over ``AXES``; rings : by kind
    mass_kg : what goes up and down, over ``AXES``, of the parts that were weighed; None where none was
    weighed : what was weighed of it, in words
    goals : what each thing counts
    notes : what is not judged, and why
    """

    spec: Engine
    numbers: tuple[int, ...]
    parts: Mapping[str, tuple[MeasuredPart, ...]]
    fits: tuple[FitTable, ...]
    rings: Mapping[str, FitTable]
    mass_kg: Array | None
    weighed: tuple[str, ...]
    goals: Mapping[str, Goal]
    notes: tuple[str, ...]


def lay_parts_out(spec: Engine, sheet: Sheet, system: System) -> Shelf:
    """Work out every clearance of the parts of a sheet.

    Parameters
    ----------
    spec : the engine; its sizes stand for those that the sheet leaves out
    sheet : the parts
    system : units of the words of limits
    """
    return _Builder(spec, sheet, system).shelf()


class _Builder:
    def __init__(self, spec: Engine, sheet: Sheet, system: System) -> None:
        self.spec, self.sheet, self.system = spec, sheet, system
        self.numbers = tuple(sorted(n for bank in spec.engine.numbering.banks().values() for n in bank))
        parts = dict(sheet.parts)
        listed = parts.get("bore") or [MeasuredPart("bore", str(n), 0) for n in self.numbers]
        parts["bore"] = tuple(sorted(listed, key=lambda part: int(part.name)))
        self.parts = parts
        self.notes: list[str] = []

    def shelf(self) -> Shelf:
        fits = tuple(
            fit for fit in (self._wall(), self._oil(), self._deck(), *self._pins()) if fit is not None
        )
        rings: dict[str, FitTable] = {kind: self._ring(kind) for kind in RINGS if kind in self.parts}
        mass, weighed = self._mass()
        return Shelf(
            self.spec,
            self.numbers,
            self.parts,
            fits,
            rings,
            mass,
            weighed,
            self.sheet.goals,
            tuple(self.notes),
        )

    def _has(self, kind: str, column: str) -> bool:
        return any(column in part.sizes for part in self.parts.get(kind, ()))

    def _sizes(self, kind: str, column: str) -> Measured:
        """One column over ``AXES``; the engine file's size, of each bore its own, where it was not measured."""
        if self._has(kind, column):
            found = [part.sizes[column] for part in self.parts[kind]]
            shape = [1] * len(AXES)
            shape[AXES.index(kind)] = len(found)
            rows = [(s.value, s.value - s.minus, s.value + s.plus) for s in found]
            return Measured(*(np.array(side).reshape(shape) for side in zip(*rows, strict=True)))
        design = next(one.design for one in KINDS[kind] if one.words == column)
        shape = [1] * (len(AXES) - 1) + [len(self.numbers)]
        sizes = np.array([design(self.spec.of_bore(number)) or 0.0 for number in self.numbers]).reshape(shape)
        if kind in self.parts and kind != "bore":  # parts of the shelf are nobody's own
            sizes = np.full([1] * len(AXES), design(self.spec) or 0.0)
        return Measured(sizes, sizes, sizes)

    def _limited(
        self, name: str, axes: tuple[str, ...], known: Measured, usual: FitRange | None,
        leans: Mapping[tuple[str, str], float],
    ) -> FitTable | None:  # fmt: skip
        fit = self.sheet.limits.get(name, usual)
        if fit is None:
            self.notes.append(f"{name}: {NO_LIMIT}.")
            return None
        least = -np.inf if fit.least_mm is None else fit.least_mm
        most = np.inf if fit.most_mm is None else fit.most_mm
        measured = tuple(axis for axis in axes if axis in self.parts)
        return FitTable(name, measured, known, np.array(least), np.array(most), (fit.source.text,), leans)

    def _wall(self) -> FitTable | None:
        if not (self._has("piston", "diameter") or self._has("bore", "diameter")):
            return None
        known = self._sizes("bore", "diameter") - self._sizes("piston", "diameter")
        leans = {("bore", "diameter"): 1.0, ("piston", "diameter"): -1.0}
        return self._limited("piston to wall", ("piston", "bore"), known, wall_fit(self.spec), leans)

    def _oil(self) -> FitTable | None:
        if not (self._has("rod", "housing") or self._has("shells", "wall") or self._has("bore", "crankpin")):
            return None
        wall = self._sizes("shells", "wall")
        known = self._sizes("rod", "housing") - wall - wall - self._sizes("bore", "crankpin")
        leans = {("rod", "housing"): 1.0, ("shells", "wall"): -2.0, ("bore", "crankpin"): -1.0}
        axes = ("rod", "shells", "bore")
        return self._limited("oil clearance", axes, known, rod_oil_fit(self.spec), leans)

    def _deck(self) -> FitTable | None:
        measured = (("piston", "height"), ("rod", "length"), ("bore", "deck height"))
        if not any(self._has(*one) for one in measured):
            return None
        rod = self._sizes("rod", "length")
        reach = Measured(*(self._top_mm(side) for side in (rod.value, rod.low, rod.high)))
        known = self._sizes("bore", "deck height") - reach - self._sizes("piston", "height")
        leans = dict(zip(measured, (-1.0, -1.0, 1.0), strict=True))
        usual = deck_range(self.spec, self.system)
        fit = FitRange(usual.least, usual.most, usual.source)
        return self._limited("deck", ("piston", "rod", "bore"), known, fit, leans)

    def _top_mm(self, rod_mm: Array) -> Array:
        """Height of the piston pin at its true top dead centre: throw and rod in one line, beside the bore's axis."""
        reach = self.spec.crank.stroke_mm / 2 + rod_mm
        return np.asarray(np.sqrt(reach**2 - self.spec.piston.pin.offset_mm**2))

    def _pins(self) -> Iterator[FitTable | None]:
        for kind, name in (("piston", "pin in piston"), ("rod", "pin in rod")):
            if self._has(kind, "pin bore"):
                known = self._sizes(kind, "pin bore") - self._sizes("pin", "diameter")
                leans = {(kind, "pin bore"): 1.0, ("pin", "diameter"): -1.0}
                yield self._limited(name, (kind, "pin"), known, None, leans)

    def _ring(self, kind: str) -> FitTable:
        """End gaps (rings, bores): pi times the difference of diameter where it was measured in another bore."""
        walls = self._sizes("bore", "diameter")
        usual_mm = self.spec.rings.gap_bore_mm or self.spec.block.bore.diameter_mm
        rows = []
        for part in self.parts[kind]:
            gap, measured_in = part.sizes["gap"], part.sizes.get("in bore")
            in_mm = usual_mm if measured_in is None else measured_in.value
            carried = [gap_in_other_bore(gap.value, in_mm, float(wall)) for wall in walls.value.ravel()]
            out = np.pi * (walls.high - walls.value).ravel(), np.pi * (walls.value - walls.low).ravel()
            if measured_in is not None:
                out = out[0] + np.pi * measured_in.minus, out[1] + np.pi * measured_in.plus
            rows.append(
                (
                    np.array(carried),
                    np.array(carried) - gap.minus - out[1],
                    np.array(carried) + gap.plus + out[0],
                )
            )
        known = Measured(*(np.array(side) for side in zip(*rows, strict=True)))
        name, fit = f"{kind} gap", self.sheet.limits.get(f"{kind} gap")
        role = kind.split()[0]
        targets = [gap_target_of(self.spec, role, float(wall)) for wall in walls.value.ravel()]
        least = [target.min_mm if fit is None else fit.least_mm for target in targets]
        most = [target.max_mm if fit is None else fit.most_mm for target in targets]
        sources = tuple(target.source.text if fit is None else fit.source.text for target in targets)
        return FitTable(
            name, (kind, "bore"), known,
            np.array([-np.inf if one is None else one for one in least]),
            np.array([np.inf if one is None else one for one in most]),
            sources, {(kind, "gap"): 1.0},
        )  # fmt: skip

    def _mass(self) -> tuple[Array | None, tuple[str, ...]]:
        weighed = {
            "piston": ("piston", "mass"),
            "pin": ("pin", "mass"),
            "rod's small end": ("rod", "small mass"),
        }
        there = {words: one for words, one in weighed.items() if self._has(*one)}
        if not there:
            return None, ()
        return sum((self._sizes(*one).value for one in there.values()), np.zeros([1] * len(AXES))), tuple(
            there
        )
