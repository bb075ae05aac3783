"""What to measure next: the values whose doubt leaves a verdict open, the one that is worth most for its minutes first.

A value is worth measuring when it belongs to the cheapest set of measurements that settles every verdict. Which set
that is hangs on what the values truly are, and nobody knows that beforehand: so it is worked out for a number of
engines drawn from within the doubt, each by the greedy cover of its open answers (share of what each still needs, over
the minutes). A value's rank is the share of those engines in which its set holds the value; among equals, its share of
the open intervals over its minutes. The greedy cover is that of L. A. Wolsey, An analysis of the greedy algorithm for
the submodular set covering problem, Combinatorica 2 (1982), from memory; to choose by what would have been best in
each drawn case is known as hindsight optimisation.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array, Mask
from geometry.doubts.answers import Doubtful
from geometry.doubts.box import Coordinate
from geometry.doubts.margins import Margins, alike, margins_of, sides_of, towards
from geometry.spec.proportions.row import Instrument

ENGINES = 128
"""Engines drawn from within the doubt."""
MANY_VALUES = 4
"""An answer on so many values worth measuring may be had quicker by measuring the clearance itself."""
CLEARANCES = "clearances"
"""The section whose answers are distances that clay can take."""
_LEAST_SHARE = 0.005
"""A smaller share of an open interval is not spoken of."""
_NO_SHARE = 1e-6
_WORTH_IT = 1.1
"""A value whose doubt is not more than this times what its instrument leaves gains nothing by being measured."""
_TINY = 1e-12


@dataclass(frozen=True, slots=True)
class Means:
    """How one value is measured.

    Attributes
    ----------
    instrument : its name in the table of instruments
    minutes, again_minutes : for this value alone; and with the instrument in hand at the same part
    leaves : how far out the value may still be then, either way, in its house unit
    part : what has to be on the bench for it
    how : in the trade's words
    """

    instrument: Instrument
    minutes: float
    again_minutes: float
    leaves: float
    part: str
    how: str


@dataclass(frozen=True, slots=True)
class NextMeasure:
    """One value that is worth measuring.

    Attributes
    ----------
    key, nominal, lowest, highest : the value, what is counted with, and the least and the most that it may be
    assumed : nobody measured it
    means : how it is measured
    minutes : what it costs at its place in the list: less where an earlier entry left the instrument at the part
    same_set_up_as : that earlier entry's key; empty where there is none
    needed : share of the engines within the doubt in which the cheapest way to settle all takes this value in
    share : its share of all that is open, between 0 and 1
    answers : the open answers that lean on it, the most doubtful first
    closely : how far out it may still be, either way, for those answers to settle that its instrument can settle
        (all of an answer's values being brought down in the same proportion, true values as nominal)
    too_fine : those of the answers that would ask for less than the instrument leaves
    """

    key: str
    nominal: float
    lowest: float
    highest: float
    assumed: bool
    means: Means
    minutes: float
    same_set_up_as: str
    needed: float
    share: float
    answers: tuple[Doubtful, ...]
    closely: float
    too_fine: tuple[Doubtful, ...]


@dataclass(frozen=True, slots=True)
class Directly:
    """One open answer that may be measured itself rather than by all that it leans on.

    Attributes
    ----------
    answer : the clearance
    keys : the values that would have to be measured in its place
    their_minutes : what those cost together
    """

    answer: Doubtful
    keys: tuple[str, ...]
    their_minutes: float


@dataclass(frozen=True, slots=True)
class Plan:
    """What to measure, the first first; and what stays open then.

    Attributes
    ----------
    measures : in this order; measure the first, and ask again
    directly : clearances that are cheaper to measure themselves
    beyond : open answers that no listed value leans on: what they lean on is as well known as it can be
    """

    measures: tuple[NextMeasure, ...]
    directly: tuple[Directly, ...]
    beyond: tuple[Doubtful, ...]


def what_next(
    answers: Sequence[Doubtful],
    coordinates: Sequence[Coordinate],
    means: Mapping[str, Means],
    clay_minutes: float,
    seed: int = 0,
) -> Plan:
    """Rank the values whose doubt leaves a verdict open.

    Parameters
    ----------
    answers : all answers; those that are settled play no part
    coordinates : the values in doubt
    means : how each of them is measured, by key; one without is not listed
    clay_minutes : what it costs to measure one clearance itself
    seed : of the engines that are drawn
    """
    still_open = [answer for answer in answers if answer.settled == "open"]
    wanted = [c for c in coordinates if c.key in means and _half(c) > _WORTH_IT * means[c.key].leaves]
    shares = _shares(margins_of(still_open, [c.key for c in wanted]))
    useful: Mask = np.any(shares > _NO_SHARE, axis=0)
    wanted = [c for c, use in zip(wanted, useful, strict=True) if use]
    if not wanted:
        return Plan((), (), tuple(still_open))
    ways = [means[c.key] for c in wanted]
    keys = [c.key for c in wanted]
    distinct = _distinct(still_open, keys)
    needed = _covers(distinct, wanted, ways, seed).mean(axis=0)
    worth = _shares(distinct).sum(axis=0) / [way.minutes for way in ways]
    order = [int(k) for k in np.lexsort((-worth, -np.round(needed, 9)))]
    measures = _listed(order, still_open, wanted, ways, needed, shares[:, useful])
    reached: Mask = np.any(shares[:, useful] > _NO_SHARE, axis=1)
    beyond = tuple(answer for answer, any_value in zip(still_open, reached, strict=True) if not any_value)
    return Plan(measures, _directly(measures, clay_minutes), beyond)


def _half(coordinate: Coordinate) -> float:
    return (coordinate.highest - coordinate.lowest) / 2.0


def _shares(margins: Margins) -> Array:
    """(a, m) the part of each answer's open interval that each value accounts for, by the row most in doubt."""
    spans = margins.most - margins.least
    rows = spans / np.maximum(np.maximum(margins.highest - margins.lowest, spans.sum(axis=1)), _TINY)[:, None]
    rows[(margins.lowest >= 0.0) | (margins.highest < 0.0)] = 0.0
    shares = np.zeros((len(margins.answers), rows.shape[1]))
    np.maximum.at(shares, margins.of, rows)
    return shares


def _distinct(answers: Sequence[Doubtful], keys: Sequence[str]) -> Margins:
    """Without the answers that say the same of another bore: they settle together, and one of them is enough."""
    return margins_of([answers[place] for place in sorted(set(alike(answers)))], keys)


def _drawn(count: int, coordinates: Sequence[Coordinate], seed: int) -> tuple[Array, Array]:
    """Values spread evenly over the doubt, one stratum each (Latin hypercube).

    Returns
    -------
    Two arrays (count, m): how far each value lies from its nominal towards its lowest, and towards its highest.
    """
    random = np.random.default_rng(seed)
    ranks = np.argsort(random.random((count, len(coordinates))), axis=0)
    part = (ranks + random.random(ranks.shape)) / count
    return towards(part, coordinates)


def _covers(margins: Margins, coordinates: Sequence[Coordinate], ways: Sequence[Means], seed: int) -> Mask:
    """(s, m) for each drawn engine, which values the cheapest set of measurements holds that settles all."""
    gains, needs = _gains_and_needs(margins, coordinates, ways, *_drawn(ENGINES, coordinates, seed))
    return _pruned(_greedy(gains, needs, ways), gains, needs, ways)


def _gains_and_needs(
    margins: Margins, coordinates: Sequence[Coordinate], ways: Sequence[Means], below: Array, above: Array
) -> tuple[Array, Array]:
    """What measuring each value brings each answer nearer to its verdict, and what the answer needs.

    Returns
    -------
    gains : (s, n, m) zero or more
    needs : (s, n) zero where the answer cannot be settled by any measuring
    """
    down = margins.least * margins.scale_down[:, None]
    up = margins.most * margins.scale_up[:, None]
    parts = below[:, None, :] * margins.at_lowest + above[:, None, :] * margins.at_highest
    parts *= np.where(parts < 0.0, margins.scale_down[:, None], margins.scale_up[:, None])
    good = margins.nominal + parts.sum(axis=2) >= 0.0
    left = np.array([way.leaves / _half(c) for way, c in zip(ways, coordinates, strict=True)])
    gains = np.where(good[:, :, None], parts - down, up - parts) - (up - down) / 2.0 * left
    gains = np.clip(gains, 0.0, None)
    needs = np.where(good, np.maximum(-margins.lowest, 0.0), np.maximum(margins.highest + _TINY, 0.0))
    # an answer that one limit puts outside asks nothing more of its other limit
    outside = np.zeros((len(needs), len(margins.answers)), dtype=np.bool_)
    for row, answer in enumerate(margins.of):
        outside[:, answer] |= ~good[:, row]
    needs = np.where(good & outside[:, margins.of], 0.0, needs)
    return gains, np.where(needs > gains.sum(axis=2), 0.0, needs)


def _greedy(gains: Array, needs: Array, ways: Sequence[Means]) -> Mask:
    """(s, m) sets that cover every need: at each step what fills the greatest share of the needs for its minutes."""
    minutes, again = np.array([[way.minutes, way.again_minutes] for way in ways]).T
    together = _together(ways)
    rest = needs.copy()
    chosen = np.zeros((len(gains), len(ways)), dtype=np.bool_)
    whole = np.where(needs > 0.0, needs, 1.0)
    active = np.flatnonzero(rest.max(axis=1) > 0.0)
    while active.size:
        filled = np.minimum(rest[active, :, None], gains[active]) / whole[active, :, None]
        cost = np.where(chosen[active] @ together > 0, again, minutes)
        worth = np.where(chosen[active], -1.0, filled.sum(axis=1) / cost)
        best = worth.argmax(axis=1)
        chosen[active, best] = True
        rest[active] = rest[active] - gains[active, :, best]
        rest[rest <= 1e-9 * whole] = 0.0
        active = active[rest[active].max(axis=1) > 0.0]
    return chosen


def _together(ways: Sequence[Means]) -> Array:
    """(m, m) one where two values share an instrument and a part."""
    return np.array([[float(_set_up(a) == _set_up(b)) for b in ways] for a in ways])


def _set_up(way: Means) -> tuple[Instrument, str]:
    return way.instrument, way.part


def _pruned(chosen: Mask, gains: Array, needs: Array, ways: Sequence[Means]) -> Mask:
    """The same sets without what turned out to be more than is needed, the dearest dropped first."""
    got = (gains * chosen[:, None, :]).sum(axis=2)
    for k in np.argsort([-way.minutes for way in ways], kind="stable"):
        without = got - gains[:, :, k]
        spare = chosen[:, k] & (without >= needs * (1.0 - 1e-9)).all(axis=1)
        chosen[spare, k] = False
        got[spare] = without[spare]
    return chosen


def _listed(
    order: Sequence[int],
    answers: Sequence[Doubtful],
    coordinates: Sequence[Coordinate],
    ways: Sequence[Means],
    needed: Array,
    shares: Array,
) -> tuple[NextMeasure, ...]:
    """The entries in their order, each with what it costs there."""
    measures: list[NextMeasure] = []
    in_hand: dict[tuple[Instrument, str], str] = {}
    for k in order:
        c, way = coordinates[k], ways[k]
        same = in_hand.setdefault(_set_up(way), c.key)
        again = same != c.key
        least = min(_LEAST_SHARE, float(shares[:, k].max()) / 2.0)
        own = [answer for j, answer in enumerate(answers) if shares[j, k] > least]
        own.sort(key=_gravity)
        closely, too_fine = _closeness(own, _half(c), way.leaves)
        measures.append(
            NextMeasure(
                c.key, c.nominal, c.lowest, c.highest, c.assumed, way,
                way.again_minutes if again else way.minutes, same if again else "",
                float(needed[k]), float(shares[:, k].mean()),
                tuple(own), closely, too_fine,
            )
        )  # fmt: skip
    return tuple(measures)


def _gravity(answer: Doubtful) -> float:
    """The part of its margin's interval that lies within the limits: the less, the graver."""
    low, high = answer.margin_lowest or 0.0, answer.margin_highest or 0.0
    return high / max(high - low, _TINY)


def _closeness(own: Sequence[Doubtful], half: float, leaves: float) -> tuple[float, tuple[Doubtful, ...]]:
    """The half-width that a value may keep, and the answers that would ask for less than its instrument leaves."""
    may_keep = [(half * _bearable(answer), answer) for answer in own]
    within_reach = [kept for kept, _ in may_keep if kept >= leaves]
    too_fine = tuple(answer for kept, answer in may_keep if kept < leaves)
    return min(within_reach or [kept for kept, _ in may_keep], default=half), too_fine


def _bearable(answer: Doubtful) -> float:
    """The share of its doubt with which an open answer would settle, true values as nominal."""
    sides = sides_of(answer)
    outside = [side for side in sides if side.margin < 0.0]
    if outside:
        return max(-side.margin / max(side.highest - side.margin, _TINY) for side in outside)
    return min(side.margin / max(side.margin - side.lowest, _TINY) for side in sides)


def _directly(measures: Sequence[NextMeasure], clay_minutes: float) -> tuple[Directly, ...]:
    """The open clearances whose values cost more to measure than the clearance itself."""
    leaning: dict[int, list[NextMeasure]] = {}
    found: dict[int, Doubtful] = {}
    for measure in measures:
        for answer in measure.answers:
            found[id(answer)] = answer
            leaning.setdefault(id(answer), []).append(measure)
    offers = []
    for at, answer in found.items():
        keys = tuple(measure.key for measure in leaning[at])
        minutes = sum(measure.minutes for measure in leaning[at])
        if answer.section == CLEARANCES and len(keys) >= MANY_VALUES and minutes > clay_minutes:
            offers.append(Directly(answer, keys, minutes))
    return tuple(sorted(offers, key=lambda offer: -offer.their_minutes))
