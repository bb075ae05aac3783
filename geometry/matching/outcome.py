"""What goes where, with each clearance, its limit and its verdict; how level the decks are and how even the weights."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.kinematics.layout import Layout
from geometry.matching.columns import FITS
from geometry.matching.fits import AXES, ROUNDING_MM, FitTable, Shelf
from geometry.matching.solve import Assignment

MatchState = Literal["within", "within whatever the doubt", "open", "below", "above"]


@dataclass(frozen=True, slots=True)
class MatchedFit:
    """One clearance of one bore.

    Attributes
    ----------
    name, words : a key of ``columns.FITS``, and what it says
    bore : the builder's number
    value_mm, low_mm, high_mm : of the sizes as measured, and the least and the most within their doubt
    least_mm, most_mm : limits; None where there is none
    source : who says the limit
    """

    name: str
    bore: int
    value_mm: float
    low_mm: float
    high_mm: float
    least_mm: float | None
    most_mm: float | None
    source: str

    @property
    def words(self) -> str:
        """What it is."""
        return FITS[self.name]

    @property
    def state(self) -> MatchState:
        """The verdict."""
        if self.least_mm is not None and self.value_mm < self.least_mm - ROUNDING_MM:
            return "below"
        if self.most_mm is not None and self.value_mm > self.most_mm + ROUNDING_MM:
            return "above"
        if self.high_mm - self.low_mm <= ROUNDING_MM:
            return "within"
        low_is_in = self.least_mm is None or self.low_mm >= self.least_mm - ROUNDING_MM
        high_is_in = self.most_mm is None or self.high_mm <= self.most_mm + ROUNDING_MM
        return "within whatever the doubt" if low_is_in and high_is_in else "open"

    @property
    def outside(self) -> bool:
        """Outside its limits as measured."""
        return self.state in ("below", "above")


@dataclass(frozen=True, slots=True)
class MatchSpread:
    """Numbers that should be alike: what they are, and the least and the most of them in the house unit."""

    words: str
    dimension: str
    least: float
    most: float


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """An assignment seen from the bench.

    Attributes
    ----------
    numbers : of the bores, ascending
    goes : by bore, the name of each part by kind; kinds that are not matched are missing
    fits : every clearance that is judged, bore by bore
    mass_kg : what goes up and down in each bore, of what was weighed; empty where nothing was
    spreads : decks and weights
    cost : of the goal
    """

    numbers: tuple[int, ...]
    goes: Mapping[int, Mapping[str, str]]
    fits: tuple[MatchedFit, ...]
    mass_kg: Mapping[int, float]
    spreads: tuple[MatchSpread, ...]
    cost: float

    @property
    def all_within(self) -> bool:
        """Every clearance lies within its limits whatever the doubt."""
        return not any(fit.outside or fit.state == "open" for fit in self.fits)


def as_listed(shelf: Shelf) -> Assignment:
    """The first part of each kind in the first bore, and so on."""
    kinds = [kind for kind in shelf.parts if kind != "bore"]
    places: dict[str, tuple[int | None, ...]] = {}
    for kind in kinds:
        row = tuple(place for place, part in enumerate(shelf.parts[kind]) for _ in range(part.count))
        places[kind] = row[: len(shelf.numbers)]
    return Assignment(places, float("nan"), False)


def outcome_of(shelf: Shelf, layout: Layout, assignment: Assignment) -> Outcome:
    """Look at an assignment: every clearance of every bore that has all its parts.

    Parameters
    ----------
    shelf : the parts
    layout : of the engine, which says what shares a throw
    assignment : what goes where
    """
    goes = {
        number: {
            kind: shelf.parts[kind][place].name
            for kind, places in assignment.places.items()
            if (place := places[at]) is not None
        }
        for at, number in enumerate(shelf.numbers)
    }
    fits = tuple(fit for at in range(len(shelf.numbers)) for fit in fits_at(shelf, assignment, at))
    mass = {}
    if shelf.mass_kg is not None:
        for at, number in enumerate(shelf.numbers):
            here = places_at(shelf, assignment, at)
            if here is not None:
                mass[number] = float(shelf.mass_kg[_index(shelf.mass_kg.shape, here)])
    spreads = tuple(_spreads(shelf, layout, assignment, fits, mass))
    return Outcome(shelf.numbers, goes, fits, mass, spreads, assignment.cost)


def places_at(shelf: Shelf, assignment: Assignment, at: int) -> tuple[int, ...] | None:
    """Where the parts of one bore stand on ``AXES``; None where one of them is missing."""
    found: list[int] = []
    for kind in AXES:
        place = at if kind == "bore" else assignment.places[kind][at] if kind in assignment.places else 0
        if place is None:
            return None
        found.append(place)
    return tuple(found)


def fits_at(shelf: Shelf, assignment: Assignment, at: int) -> Iterator[MatchedFit]:
    """The clearances of one bore, by its place; of what is missing none."""
    place, number = places_at(shelf, assignment, at), shelf.numbers[at]
    if place is not None:
        for fit in shelf.fits:
            yield _matched(
                fit, number, _index(fit.known.value.shape, place), 0, float(fit.least_mm), float(fit.most_mm)
            )
    for kind, fit in shelf.rings.items():
        ring = assignment.places[kind][at]
        if ring is not None:
            yield _matched(
                fit, number, (ring, at), at, float(float(fit.least_mm[at])), float(float(fit.most_mm[at]))
            )


def _index(shape: tuple[int, ...], place: tuple[int, ...]) -> tuple[int, ...]:
    """A place on ``AXES`` in an array that has no say on some of them."""
    return tuple(0 if length == 1 else at for length, at in zip(shape, place, strict=True))


def _matched(
    fit: FitTable, number: int, index: tuple[int, ...], source: int, least: float, most: float
) -> MatchedFit:
    value, low, high = (float(side[index]) for side in (fit.known.value, fit.known.low, fit.known.high))
    return MatchedFit(
        fit.name, number, value, low, high, least if np.isfinite(least) else None,
        most if np.isfinite(most) else None, fit.sources[min(source, len(fit.sources) - 1)],
    )  # fmt: skip


def _spreads(
    shelf: Shelf,
    layout: Layout,
    assignment: Assignment,
    fits: tuple[MatchedFit, ...],
    mass: Mapping[int, float],
) -> Iterator[MatchSpread]:
    decks = [fit.value_mm for fit in fits if fit.name == "deck"]
    if decks:
        yield MatchSpread("decks", "length", min(decks), max(decks))
    if mass:
        yield MatchSpread(
            f"{' and '.join(shelf.weighed)}, by bore", "mass", min(mass.values()), max(mass.values())
        )
    rods = shelf.parts.get("rod", ())
    if rods and "big mass" in rods[0].sizes:
        big: dict[int, float] = {}
        for at, number in enumerate(shelf.numbers):
            place = assignment.places["rod"][at]
            if place is not None:
                throw = layout.site(number).throw
                big[throw] = big.get(throw, 0.0) + rods[place].sizes["big mass"].value
        if big:
            yield MatchSpread("rods' big ends, by throw", "mass", min(big.values()), max(big.values()))
