"""Where nothing works: the smallest set of parts to blame, and what size would do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations, product
from math import inf
from typing import Final, Literal

import numpy as np

from geometry.arrays import Mask
from geometry.matching.costs import BORE_LAYER, PIN_LAYER, SHELL_LAYER, layers
from geometry.matching.fits import AXES, FitTable, Shelf
from geometry.matching.outcome import MatchedFit, fits_at
from geometry.matching.solve import Assignment, most_of

GROWS: Final = ("diameter",)
"""Metal only comes off the block and the crank: a bore grows by it, deck height and crankpin shrink."""
Cause = Literal["alone", "few parts", "few bores", "together"]
MOST_LEFT: Final = 6
"""Spare parts of a kind that are tried in a bore that is left empty; the first of the file."""


@dataclass(frozen=True, slots=True)
class NeededSize:
    """What size of one part would bring one clearance within its limits in one bore.

    Attributes
    ----------
    kind, name, column : of the part; of a bore its number
    bore : the builder's number
    fit : the clearance that is outside
    now_mm : its size as measured
    low_mm, high_mm : the sizes that would do; infinite where that side is open
    """

    kind: str
    name: str
    column: str
    bore: int
    fit: str
    now_mm: float
    low_mm: float
    high_mm: float


@dataclass(frozen=True, slots=True)
class LeftBore:
    """A bore that cannot be filled beside the others, with the spare parts that come nearest to it.

    Attributes
    ----------
    bore : the builder's number
    parts : by kind, the name of the nearest spare part
    outside : the clearances that are outside their limits then
    sizes : for each of them, what size of each part would do
    """

    bore: int
    parts: Mapping[str, str]
    outside: tuple[MatchedFit, ...]
    sizes: tuple[NeededSize, ...]


@dataclass(frozen=True, slots=True)
class Blame:
    """Why no assignment keeps all limits.

    Attributes
    ----------
    cause : ``alone``: a part that fits nowhere, or a bore that nothing fits; ``few parts``: bores that have fewer parts
        between them than they are; ``few bores``: parts that have fewer bores; ``together``: every part can be placed,
        all of them cannot
    kind : of the parts that are too few
    parts : kind and name of those to blame
    fit : the one clearance that is to blame, where it is one
    filled : how many bores can be filled at once
    left : those that cannot
    """

    cause: Cause
    kind: str
    parts: tuple[tuple[str, str], ...]
    fit: str | None
    filled: int
    left: tuple[LeftBore, ...]


def blame(shelf: Shelf) -> Blame:
    """Find out why a shelf has no assignment within all limits, for the sizes as measured."""
    found = most_of(shelf)
    left = tuple(_left_bores(shelf, found))
    filled = len(shelf.numbers) - len(left)
    able = _able(shelf)
    alone = tuple(_alone(shelf, able))
    if alone:
        kind, name = alone[0]
        return Blame("alone", kind, alone, _one_fit(shelf, kind, name), filled, left)
    short = min((set_ for set_ in _sets(shelf, able) if set_[2]), key=lambda set_: len(set_[2]), default=None)
    if short is not None:
        cause, kind, parts = short
        return Blame(cause, kind, parts, None, filled, left)
    together = [("bore", str(one.bore)) for one in left]
    together += [(kind, name) for one in left for kind, name in one.parts.items()]
    return Blame("together", "", tuple(together), None, filled, left)


def _able(shelf: Shelf) -> dict[str, Mask]:
    """By kind, which part can be in which bore (parts, bores), whatever the others are."""
    found = layers(shelf, False)
    shells = found[SHELL_LAYER].allowed
    triples = np.asarray(found[BORE_LAYER].allowed & _any(shells, 1)[None])
    pins = found.get(PIN_LAYER)
    if pins is not None:
        triples = triples & _any(pins.allowed, 1)[:, :, None]
    able: dict[str, Mask] = {}
    if "piston" in shelf.parts:
        able["piston"] = _any(triples, 1)
    if "rod" in shelf.parts:
        able["rod"] = _any(triples, 0)
    if pins is not None:
        able["pin"] = np.einsum("pir,prb->ib", pins.allowed, triples).astype(bool)
    if "shells" in shelf.parts:
        able["shells"] = _any(shells & _any(triples, 0)[:, None, :], 0)
    able |= {kind: fit.within for kind, fit in shelf.rings.items()}
    return able


def _any(mask: Mask, axis: int) -> Mask:
    return np.asarray(mask.any(axis=axis))


def _alone(shelf: Shelf, able: Mapping[str, Mask]) -> Iterator[tuple[str, str]]:
    """Bores that no part fits, then parts that fit no bore, of kinds that have no spare ones for them."""
    for at, number in enumerate(shelf.numbers):
        if any(not pairs[:, at].any() for pairs in able.values()):
            yield "bore", str(number)
    for kind, pairs in able.items():
        counts = np.array([part.count for part in shelf.parts[kind]])
        idle = ~pairs.any(axis=1)
        if counts[~idle].sum() < len(shelf.numbers):
            for place in np.flatnonzero(idle):
                yield kind, shelf.parts[kind][place].name


def _one_fit(shelf: Shelf, kind: str, name: str) -> str | None:
    """The clearance that alone keeps a part out of every bore."""
    names = [part.name for part in shelf.parts[kind]]
    place = names.index(name)
    for fit in (*shelf.fits, *shelf.rings.values()):
        if kind in fit.axes:
            axes = AXES if fit.known.value.ndim == len(AXES) else fit.axes
            within = np.take(fit.within, place, axis=axes.index(kind))
            if not within.any():
                return fit.name
    return None


def _sets(shelf: Shelf, able: Mapping[str, Mask]) -> Iterator[tuple[Cause, str, tuple[tuple[str, str], ...]]]:
    """For each kind the smallest set of bores with too few parts, and of parts with too few bores; else empty."""
    for kind, pairs in able.items():
        counts = [part.count for part in shelf.parts[kind]]
        names = [
            part.name for part, count in zip(shelf.parts[kind], counts, strict=True) for _ in range(count)
        ]
        each = np.repeat(pairs, counts, axis=0)
        bores = _too_few(each)
        between = dict.fromkeys(name for name, row in zip(names, each, strict=True) if row[list(bores)].any())
        told = [*(("bore", str(shelf.numbers[at])) for at in bores), *((kind, name) for name in between)]
        yield "few parts", kind, tuple(told) if bores else ()
        if len(each) == len(shelf.numbers):
            parts = _too_few(each.T)
            at = np.flatnonzero(each[list(parts)].any(axis=0)).tolist() if parts else []
            told = [
                *((kind, names[place]) for place in parts),
                *(("bore", str(shelf.numbers[k])) for k in at),
            ]
            yield "few bores", kind, tuple(told)


def _too_few(pairs: Mask) -> tuple[int, ...]:
    """The smallest set of columns that have fewer rows between them than they are; none where none has.

    Source: P. Hall, 1935: one kind of part can be given out if and only if there is no such set.
    """
    masks = [int("".join("1" if one else "0" for one in pairs[:, at]), 2) for at in range(pairs.shape[1])]
    for size in range(1, len(masks) + 1):
        for bores in combinations(range(len(masks)), size):
            together = 0
            for at in bores:
                together |= masks[at]
            if together.bit_count() < size:
                return bores
    return ()


def _left_bores(shelf: Shelf, found: Assignment) -> Iterator[LeftBore]:
    """The bores left empty, each with the spare parts that come nearest to it."""
    spare = {kind: _spare(shelf, found, kind) for kind in found.places}
    for at, number in enumerate(shelf.numbers):
        lacking = [kind for kind, places in found.places.items() if places[at] is None]
        if not lacking:
            continue
        best: tuple[float, dict[str, int]] = (inf, {})
        for chosen in product(*(spare[kind][:MOST_LEFT] for kind in lacking)):
            places = dict(zip(lacking, chosen, strict=True))
            off = sum(_off(fit) for fit in fits_at(shelf, _filled(found, at, places), at))
            best = min(best, (off, places), key=lambda one: one[0])
        places = best[1]
        if not places:
            continue
        for kind, place in places.items():
            spare[kind].remove(place)
        fits = [fit for fit in fits_at(shelf, _filled(found, at, places), at) if fit.outside]
        names = {kind: shelf.parts[kind][place].name for kind, place in places.items()}
        sizes = tuple(size for fit in fits for size in _sizes(shelf, fit, {**places, "bore": at}))
        yield LeftBore(number, names, tuple(fits), sizes)


def _spare(shelf: Shelf, found: Assignment, kind: str) -> list[int]:
    used = list(found.places[kind])
    return [
        place for place, part in enumerate(shelf.parts[kind]) for _ in range(part.count - used.count(place))
    ]


def _filled(found: Assignment, at: int, places: Mapping[str, int]) -> Assignment:
    """The assignment with one bore filled."""
    filled = {kind: list(row) for kind, row in found.places.items()}
    for kind, place in places.items():
        filled[kind][at] = place
    return Assignment({kind: tuple(row) for kind, row in filled.items()}, inf, False)


def _off(fit: MatchedFit) -> float:
    """How far a clearance is outside its limits, mm."""
    below = 0.0 if fit.least_mm is None else fit.least_mm - fit.value_mm
    above = 0.0 if fit.most_mm is None else fit.value_mm - fit.most_mm
    return max(0.0, below, above)


def _sizes(shelf: Shelf, fit: MatchedFit, places: Mapping[str, int]) -> Iterator[NeededSize]:
    """What size of each part would bring a clearance within its limits."""
    table: FitTable = next(one for one in (*shelf.fits, *shelf.rings.values()) if one.name == fit.name)
    least = -inf if fit.least_mm is None else fit.least_mm
    most = inf if fit.most_mm is None else fit.most_mm
    for (kind, column), lean in sorted(table.leans.items(), key=lambda item: item[0][0] == "bore"):
        if kind in places and column in shelf.parts[kind][places[kind]].sizes:
            part = shelf.parts[kind][places[kind]]
            now = part.sizes[column].value
            low, high = sorted(now + (side - fit.value_mm) / lean for side in (least, most))
            if kind != "bore" or (low > now if column in GROWS else high < now):
                yield NeededSize(kind, part.name, column, fit.bore, fit.name, now, low, high)
