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
from geometry.doubts.margins import Margins, alike, margins_of, towards

Spread: TypeAlias = Literal["uniform", "normal"]
"""Any value within the doubt as likely as any other; or the bell curve with the doubt as plus and minus 3 sigma, cut
off there."""
Margin: TypeAlias = Callable[[Mapping[str, float], Sequence[Doubtful]], Sequence[float]]
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
class Exactly:
    """How answers are worked out exactly, and for how many sets at most.

    Attributes
    ----------
    margins : gives them at a point
    is_dear : whether an answer takes long
    most, most_dear : for how many sets, where no dear answer is undecided and where one is
    """

    margins: Margin
    most: int = 400
    most_dear: int = 0
    is_dear: Callable[[Doubtful], bool] = lambda answer: False


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


CERTAIN: Final = Probability(1.0, 1.0, 1.0)
NEVER: Final = Probability(0.0, 0.0, 0.0)


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
    in_all : anything outside a limit that stops the work (not what is only worth a second look)
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
    exactly: Exactly | None = None,
) -> Trouble:
    """Draw sets of parts and count those that give trouble.

    Parameters
    ----------
    answers : all answers; those without a limit play no part
    coordinates : the values in doubt
    chosen : one spread for all values
    sets, seed : how many sets are drawn, and what the drawing starts from; the same seed draws the same
    exactly : how sets are put right that the sums cannot decide; without, they stay undecided
    """
    margins = margins_of(answers, [c.key for c in coordinates])
    spreads: dict[str, Spread] = {c.key: spread_of(c, chosen) for c in coordinates}
    random = np.random.default_rng(seed)
    values = drawn(sets, coordinates, spreads, random)
    judged = _judged(margins, values, coordinates)
    strata = _strata(judged, margins, exactly)
    if exactly is not None:
        for stratum in strata:
            _put_right(stratum, judged, margins, values, coordinates, exactly, random)
    each = [
        AnswerChance(answer, _of_one(j, answer, judged, strata)) for j, answer in enumerate(margins.answers)
    ]
    each.sort(key=lambda one: (-one.odds.estimate, -one.odds.high))
    in_all = _in_all(margins.answers, judged, strata)
    return Trouble(sets, seed, spreads, in_all, tuple(each))


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
    shape = (len(values), len(margins.answers))
    wrong, surely, near = (np.zeros(shape, dtype=np.bool_) for _ in range(3))
    for start in range(0, len(values), _CHUNK):
        part = slice(start, start + _CHUNK)
        ways = towards_values(values[part], coordinates)
        found, error = margins.at(*ways), margins.error_at(*ways)
        error = np.where(settled | (error <= small), 0.0, error)
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


@dataclass(eq=False, slots=True)
class _Stratum:
    """Sets of which an equal share is worked out exactly.

    ``sets`` (s,) which; ``most`` of them; ``told`` by answer and by set: outside a limit, worked out exactly.
    """

    sets: Mask
    most: int
    told: dict[int, dict[int, bool]]


def _strata(judged: _Judged, margins: Margins, exactly: Exactly | None) -> tuple[_Stratum, _Stratum]:
    """The sets that are undecided about a dear answer, and the other undecided ones."""
    dear = np.array(
        [exactly is not None and exactly.is_dear(answer) for answer in margins.answers], dtype=bool
    )
    undecided: Mask = np.any(judged.doubtful, axis=1)
    with_dear: Mask = np.any(judged.doubtful & dear, axis=1)
    most, most_dear = (0, 0) if exactly is None else (exactly.most, exactly.most_dear)
    return _Stratum(with_dear, most_dear, {}), _Stratum(undecided & ~with_dear, most, {})


def _put_right(
    stratum: _Stratum,
    judged: _Judged,
    margins: Margins,
    values: Array,
    coordinates: Sequence[Coordinate],
    exactly: Exactly,
    random: np.random.Generator,
) -> None:
    """Work out a part of the sets that the sums cannot decide, chosen at random among them."""
    first = alike(margins.answers)
    for place in random.permutation(np.flatnonzero(stratum.sets))[: stratum.most]:
        wanted = [int(j) for j in np.flatnonzero(judged.doubtful[place])]
        asked = sorted({first[j] for j in wanted})
        point = {c.key: float(v) for c, v in zip(coordinates, values[place], strict=True)}
        found = dict(zip(asked, exactly.margins(point, [margins.answers[j] for j in asked]), strict=True))
        for j in wanted:
            stratum.told.setdefault(j, {})[int(place)] = not found[first[j]] >= 0.0


def _of_one(j: int, answer: Doubtful, judged: _Judged, strata: Sequence[_Stratum]) -> Probability:
    """Of one answer; what is settled is certain."""
    if answer.settled != "open":
        return CERTAIN if answer.settled == "outside" else NEVER
    parts = [(one.sets & judged.doubtful[:, j], one.told.get(j, {})) for one in strata]
    return _probability(judged.wrong[:, j], parts)


def _in_all(answers: Sequence[Doubtful], judged: _Judged, strata: Sequence[_Stratum]) -> Probability:
    """Of any answer that stops the work: a set is decided where one is surely outside, or where none is in doubt."""
    stops = np.array([answer.severity == "stop" for answer in answers], dtype=bool)
    verdicts = {answer.settled for answer in answers if answer.severity == "stop"}
    if "open" not in verdicts or "outside" in verdicts:
        return CERTAIN if "outside" in verdicts else NEVER
    decided: Mask = np.any(judged.wrong & ~judged.doubtful & stops, axis=1)
    undecided: Mask = np.any(judged.doubtful & stops, axis=1)
    parts = []
    for stratum in strata:
        open_ = stratum.sets & undecided & ~decided
        told: dict[int, bool] = {}
        for j, outside in stratum.told.items():
            if stops[j]:
                told |= {
                    place: told.get(place, False) or out for place, out in outside.items() if open_[place]
                }
        parts.append((open_, told))
    wrong: Mask = np.any(judged.wrong & stops, axis=1)
    return _probability(wrong, parts)


def _probability(wrong: Mask, strata: Sequence[tuple[Mask, Mapping[int, bool]]]) -> Probability:
    """The share of sets that are outside, by the sums put right, and its error.

    Parameters
    ----------
    wrong : (s,) outside by the sums
    strata : sets (s,) that the sums cannot decide, and what was found of some of them, by set
    """
    sets = len(wrong)
    found = float(wrong.mean())
    surely, weight, spread, unknown = found, 0.0, 0.0, 0.0
    exact = corrected = 0
    for undecided, told in strata:
        count, share = int(undecided.sum()), float(undecided.mean())
        weight += share
        surely -= float((wrong & undecided).mean())
        corrections = [float(outside) - float(wrong[place]) for place, outside in told.items()]
        exact += len(told)
        corrected += (changed := sum(c != 0.0 for c in corrections))
        if told:
            found += share * sum(corrections) / len(told)
            spread += (share * _spread_of_corrections(changed, len(told), count)) ** 2
        else:
            unknown += share
    found = min(max(found, surely), surely + weight)
    low, high = wilson(found, sets)
    reach = Z_95 * sqrt(spread)
    low = found - sqrt((found - low) ** 2 + reach**2) - unknown
    high = found + sqrt((high - found) ** 2 + reach**2) + unknown
    if weight == 0.0 or exact == round(weight * sets):
        # none, or every one, of so many: at most 3 in so many are otherwise
        low = 1.0 - 3.0 / sets if found == 1.0 else low
        high = 3.0 / sets if found == 0.0 else high
    low, high = (0.0 if found == 0.0 else max(low, 0.0)), (1.0 if found == 1.0 else min(high, 1.0))
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
