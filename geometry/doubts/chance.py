"""How likely a set of parts within the doubt gives trouble: anything outside its limit, for each answer and in all.

Sets of parts are drawn at random, each value by its own spread and independent of the others, and judged by the
margins added up (``margins``). Where a margin lies within the error of the sum from its limit, the sum decides
nothing: a part of those sets, drawn at random among them, is worked out exactly, and what the sum said of all of them
is put right by how often it was wrong there. That is a difference estimator over strata (W. G. Cochran, Sampling
Techniques, 3rd ed. 1977, chapters 5 and 12, from memory); it is unbiased as long as the sum is in error by no more
than is said of it. The interval for a share is E. B. Wilson's (J. American Statistical Association 22, 1927, pages
209-212), widened by the uncertainty of what was put right; nothing in ``n`` is told as at most 3 in ``n`` (J. A. Hanley
and A. Lippman-Hand, If nothing goes wrong, is everything all right?, JAMA 249, 1983, pages 1743-1745).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final, Literal, TypeAlias

import numpy as np

from geometry.arrays import Array, Mask
from geometry.doubts.answers import Doubtful
from geometry.doubts.box import Coordinate
from geometry.doubts.margins import Margins, margins_of, towards

Spread: TypeAlias = Literal["uniform", "normal"]
"""Any value within the doubt as likely as any other; or the bell curve with the doubt as plus and minus 3 sigma, cut
off there."""
Exact: TypeAlias = Callable[[Mapping[str, float], Sequence[Doubtful]], Sequence[float]]
"""The margins of some answers at given values of all that is in doubt; minus infinity where nothing can be put
together."""

SETS: Final = 10_000
SEED: Final = 1
SIGMAS: Final = 3.0
Z_95: Final = 1.959964
"""Of the normal distribution, for 95 in 100 between."""
ROUNDING: Final = 1e-9
_CHUNK: Final = 2000


@dataclass(frozen=True, slots=True)
class Probability:
    """A probability with its error.

    Attributes
    ----------
    estimate : what was found
    low, high : between these with 95 in 100; ``high`` alone where none was seen
    doubtful : share of the sets that the sum could not decide
    exact, corrected : how many of those were worked out exactly, and of how many of these the sum had been wrong
    """

    estimate: float
    low: float
    high: float
    doubtful: float = 0.0
    exact: int = 0
    corrected: int = 0


@dataclass(frozen=True, slots=True)
class AnswerChance:
    """How likely one answer is outside its limits."""

    answer: Doubtful
    odds: Probability


@dataclass(frozen=True, slots=True)
class Trouble:
    """How likely a set of parts gives trouble.

    Attributes
    ----------
    sets, seed : how many were drawn, and from which seed
    spreads : by value
    in_all : anything outside its limit
    each : answer by answer, the likeliest first; settled ones among them
    """

    sets: int
    seed: int
    spreads: Mapping[str, Spread]
    in_all: Probability
    each: tuple[AnswerChance, ...]


def spread_of(coordinate: Coordinate, chosen: Spread | None) -> Spread:
    """The spread that is chosen for all, else uniform for what nobody measured and normal for a tolerance."""
    return chosen or ("uniform" if coordinate.assumed else "normal")


def chance(
    answers: Sequence[Doubtful],
    coordinates: Sequence[Coordinate],
    chosen: Spread | None = None,
    sets: int = SETS,
    seed: int = SEED,
    exact: Exact | None = None,
    most_exact: int = 0,
) -> Trouble:
    """Draw sets of parts and count those that give trouble.

    Parameters
    ----------
    answers : all answers; those without a limit play no part
    coordinates : the values in doubt
    chosen : one spread for all values
    sets, seed : how many sets are drawn, and what the drawing starts from; the same seed draws the same
    exact, most_exact : works out margins exactly, and for how many sets at most
    """
    margins = margins_of(answers, [c.key for c in coordinates])
    spreads: dict[str, Spread] = {c.key: spread_of(c, chosen) for c in coordinates}
    random = np.random.default_rng(seed)
    values = drawn(sets, coordinates, spreads, random)
    judged = _judged(margins, values, coordinates)
    put_right = _exactly(judged, margins, values, coordinates, exact, most_exact, random)
    each = [
        AnswerChance(answer, _share(judged.wrong[:, j], judged.doubtful[:, j], put_right.get(j, {})))
        for j, answer in enumerate(margins.answers)
    ]
    each.sort(key=lambda one: (-one.odds.estimate, -one.odds.high))
    return Trouble(sets, seed, spreads, _in_all(judged, put_right), tuple(each))


def drawn(
    sets: int, coordinates: Sequence[Coordinate], spreads: Mapping[str, Spread], random: np.random.Generator
) -> Array:
    """(s, m) values in their house units, each column by its spread, independent of each other."""
    columns = [c.lowest + (c.highest - c.lowest) * _places(sets, spreads[c.key], random) for c in coordinates]
    return np.column_stack(columns) if columns else np.zeros((sets, 0))


def _places(sets: int, spread: Spread, random: np.random.Generator) -> Array:
    """Between lowest (0) and highest (1)."""
    if spread == "uniform":
        return random.random(sets)
    found = random.standard_normal(sets)
    while (beyond := np.abs(found) > SIGMAS).any():
        found[beyond] = random.standard_normal(int(beyond.sum()))
    return (found / SIGMAS + 1.0) / 2.0


@dataclass(frozen=True, eq=False)
class _Judged:
    """What the sums say of each set and answer: (s, a) each.

    ``wrong`` is outside a limit by the sum; ``doubtful`` so near to a limit that the sum may be in error about it.
    """

    wrong: Mask
    doubtful: Mask


def _judged(margins: Margins, values: Array, coordinates: Sequence[Coordinate]) -> _Judged:
    small = ROUNDING * np.maximum(1.0, np.abs(margins.nominal))
    settled = (margins.lowest >= 0.0) | (margins.highest < 0.0)
    error = np.where(settled | (margins.error <= small), 0.0, margins.error)
    shape = (len(values), len(margins.answers))
    wrong, surely, near = (np.zeros(shape, dtype=np.bool_) for _ in range(3))
    for start in range(0, len(values), _CHUNK):
        part = slice(start, start + _CHUNK)
        found = margins.at(*towards_values(values[part], coordinates))
        found = np.clip(found, margins.lowest, margins.highest)  # what was proved holds for every set
        sure = found < -error
        close = (np.abs(found) <= error) & (error > 0.0)
        for row, answer in enumerate(margins.of):
            wrong[part, answer] |= found[:, row] < 0.0
            surely[part, answer] |= sure[:, row]
            near[part, answer] |= close[:, row]
    return _Judged(wrong, near & ~surely)


def towards_values(values: Array, coordinates: Sequence[Coordinate]) -> tuple[Array, Array]:
    """Values as shares of the way from nominal to lowest and to highest."""
    lowest = np.array([c.lowest for c in coordinates])
    width = np.array([c.highest - c.lowest or 1.0 for c in coordinates])
    return towards((values - lowest) / width, coordinates)


_PutRight: TypeAlias = "dict[int, dict[int, bool]]"
"""By answer and by set: outside a limit, worked out exactly."""


def _exactly(
    judged: _Judged,
    margins: Margins,
    values: Array,
    coordinates: Sequence[Coordinate],
    exact: Exact | None,
    most: int,
    random: np.random.Generator,
) -> _PutRight:
    """Work out a part of the sets that the sums cannot decide, chosen at random among them."""
    found: _PutRight = {}
    if exact is None:
        return found
    undecided = random.permutation(np.flatnonzero(judged.doubtful.any(axis=1)))
    for place in undecided[:most]:
        wanted = [int(j) for j in np.flatnonzero(judged.doubtful[place])]
        point = {c.key: float(v) for c, v in zip(coordinates, values[place], strict=True)}
        told = exact(point, [margins.answers[j] for j in wanted])
        for j, margin in zip(wanted, told, strict=True):
            found.setdefault(j, {})[int(place)] = not margin >= 0.0
    return found


def _in_all(judged: _Judged, put_right: _PutRight) -> Probability:
    """Of any answer at all: a set is decided where one answer is surely outside, or where none is in doubt."""
    told: dict[int, bool] = {}
    for answers in put_right.values():
        for place, outside in answers.items():
            told[place] = told.get(place, False) or outside
    decided: Mask = np.any(judged.wrong & ~judged.doubtful, axis=1)
    doubtful: Mask = np.any(judged.doubtful, axis=1) & ~decided
    wrong: Mask = np.any(judged.wrong, axis=1)
    return _share(wrong, doubtful, {place: outside for place, outside in told.items() if doubtful[place]})


def _share(wrong: Mask, doubtful: Mask, told: Mapping[int, bool]) -> Probability:
    """The share of sets that are outside, by the sums put right, and its error."""
    sets = len(wrong)
    by_sums, undecided = float(wrong.mean()), int(doubtful.sum())
    exact = len(told)
    corrections = [float(outside) - float(wrong[place]) for place, outside in told.items()]
    corrected = sum(c != 0.0 for c in corrections)
    weight = undecided / sets
    surely = float((wrong & ~doubtful).mean())
    found = by_sums + (weight * sum(corrections) / exact if exact else 0.0)
    found = min(max(found, surely), surely + weight)
    low, high = wilson(found, sets)
    if undecided > exact:
        reach = weight if not exact else Z_95 * weight * _spread_of_corrections(corrected, exact, undecided)
        low = max(found - sqrt((found - low) ** 2 + reach**2), 0.0)
        high = min(found + sqrt((high - found) ** 2 + reach**2), 1.0)
    if found == 0.0:
        low, high = 0.0, min(high if undecided > exact else 3.0 / sets, 1.0)
    return Probability(found, low, high, weight, exact, corrected)


def _spread_of_corrections(corrected: int, exact: int, undecided: int) -> float:
    """Standard error of the mean correction; a share of wrong ones that is never taken for nothing (Laplace)."""
    share = (corrected + 1.0) / (exact + 2.0)
    return sqrt(share * (1.0 - share) / exact * (1.0 - exact / undecided))


def wilson(share: float, count: int) -> tuple[float, float]:
    """Wilson's interval of a share seen in ``count`` cases, for 95 in 100."""
    z2 = Z_95 * Z_95
    middle = (share + z2 / (2.0 * count)) / (1.0 + z2 / count)
    half = Z_95 / (1.0 + z2 / count) * sqrt(share * (1.0 - share) / count + z2 / (4.0 * count * count))
    return max(middle - half, 0.0), min(middle + half, 1.0)
