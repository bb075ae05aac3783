"""Where changed parts meet others through the turn: certified least distance, and the arcs in which they bite."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Hashable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from geometry.arrays import Array, Mask
from geometry.assembly import Assembly
from geometry.clearance.excuses import excused
from geometry.clearance.limits import DEFAULTS, limit_for
from geometry.clearance.pairs import Pair, law_of, limit_of, places
from geometry.clearance.place import Place
from geometry.collision.broad_phase import boxed, reach_bounds
from geometry.collision.certify import TOLERANCE_MM, Approach, Memory, certify_all
from geometry.collision.distance_curve import distance_curves, overlaps
from geometry.kinematics.laws import period_deg
from geometry.mistakes.mistake import CrankArc

TOLD_MM = 3.0
"""Pairs that stay farther apart than this are not followed up: more than twice the usual limits."""
GRID_DEG = 10.0
SPLIT, STAGES = 16, 2
"""Into how many parts a step of the grid is cut, and how often: arc ends to 0.04 degrees."""


@dataclass(frozen=True, slots=True, eq=False)
class Meeting:
    """Two places with their least distance over the turn.

    Attributes
    ----------
    mine, other : the changed place and what it comes near
    approach : certified least distance, as put together
    limit_mm, limit_source : the least that is wanted
    period_deg : 360, or 720 where cam or valves take part
    """

    mine: Place
    other: Place
    approach: Approach
    limit_mm: float
    limit_source: str
    period_deg: float

    @property
    def names(self) -> tuple[str, str]:
        """Names of the two, by which the same meeting is found again."""
        return self.mine.name, self.other.name


@dataclass(frozen=True, slots=True, eq=False)
class Followed:
    """Places of one engine whose meetings are wanted.

    Attributes
    ----------
    assembly : the engine as put together
    mine : chooses the places that a mistake moves
    only : names of the pairs to follow; None: all
    """

    assembly: Assembly
    mine: Callable[[Place], bool]
    only: Collection[tuple[str, str]] | None = None


def _pairs(everything: Sequence[Place], asked: Followed, near_mm: float) -> list[Pair]:
    """Chosen places with everything that may come so near, the chosen one first."""
    if asked.only is not None and not asked.only:
        return []
    chosen = [place for place in everything if asked.mine(place)]
    others = [
        place
        for place in everything
        if not asked.mine(place) and any(_along(place, mine) < near_mm for mine in chosen)
    ]
    names, here = asked.only, [*chosen, *others]
    row = excused(asked.assembly, here)
    return [
        Pair(a, b, limit_of(a.group, b.group), period_deg(a.law, b.law))
        for i, a in enumerate(chosen)
        for j, b in enumerate(others, len(chosen))
        if _along(a, b) < near_mm and b.body is not a.body and row[i, j] < 0
        and (names is None or (a.name, b.name) in names)
    ]  # fmt: skip


def _along(a: Place, b: Place) -> float:
    """Distance along the crank, mm: nothing moves that way."""
    return max(a.x_mm[0] - b.x_mm[1], b.x_mm[0] - a.x_mm[1])


def _within_reach(pairs: Sequence[Pair], near_mm: float) -> list[Pair]:
    """Those that may come so near."""
    if not pairs:
        return []
    movers = list({id(place): place for pair in pairs for place in (pair.a, pair.b)}.values())
    index = {id(mover): k for k, mover in enumerate(movers)}
    bounds = reach_bounds([boxed(mover) for mover in movers])
    return [pair for pair in pairs if bounds[index[id(pair.a)], index[id(pair.b)]] <= near_mm]


@lru_cache(maxsize=2)
def _places_by_body(assembly: Assembly) -> dict[int, list[Place]]:
    """The places of every body of an engine that is asked for again and again, by the body's identity."""
    found: defaultdict[int, list[Place]] = defaultdict(list)
    for place in places(assembly):
        found[id(place.body)].append(place)
    return found


def _everything(assembly: Assembly, right: Assembly) -> list[Place]:
    """Every place of an engine; those of bodies that it shares with the right one are made once."""
    frames = {body.frame for body in right.bodies}
    alike = all(law_of(assembly, frame) == law_of(right, frame) for frame in frames)
    known = _places_by_body(right) if alike else {}
    standing = {id(body) for body in right.bodies} if alike else set()
    found: list[Place] = []
    for body in assembly.bodies:
        found += known.get(id(body), []) if id(body) in standing else places(assembly, [body])
    return found


@dataclass(slots=True, eq=False)
class _Known:
    """What was found on one engine, so that bores that are alike are solved once.

    ``arcs`` holds, by the key of a pair, where it bites, counted from the crank angle that is zero in its standard
    place (``congruence``).
    """

    memory: Memory = field(default_factory=Memory)
    arcs: dict[Hashable, tuple[CrankArc, ...]] = field(default_factory=dict)


@lru_cache(maxsize=4)
def _known(spec_id: int) -> _Known:
    return _Known()


def meetings(
    right: Assembly, asked: Sequence[Followed], near_mm: float = TOLD_MM
) -> list[tuple[Meeting, ...]]:
    """Everything that chosen places come near, the closest first; of all that is asked at once.

    One search for all of them costs hardly more than one for a single bore.

    Parameters
    ----------
    right : the engine as designed
    asked : engines of that one design, and their places
    near_mm : pairs that stay farther apart are not followed up; without limit: all that share a stretch of the crank
    """
    chosen = [_pairs(_everything(one.assembly, right), one, min(near_mm, TOLD_MM)) for one in asked]
    if np.isfinite(near_mm):
        within = {id(pair) for pair in _within_reach([pair for pairs in chosen for pair in pairs], near_mm)}
        chosen = [[pair for pair in pairs if id(pair) in within] for pairs in chosen]
    every = [pair for pairs in chosen for pair in pairs]
    found = iter(
        certify_all(
            [(pair.a, pair.b) for pair in every],
            [pair.period_deg for pair in every],
            TOLERANCE_MM,
            near_mm,
            _known(id(right.spec)).memory,
        )
    )
    return [
        _met(one.assembly, [(pair, next(found)) for pair in pairs], near_mm)
        for one, pairs in zip(asked, chosen, strict=True)
    ]


def _met(assembly: Assembly, found: Sequence[tuple[Pair, Approach]], near_mm: float) -> tuple[Meeting, ...]:
    """Those that come near enough, each with its limit."""
    out = []
    for pair, approach in found:
        if approach.bound_only or approach.min_mm >= near_mm:
            continue
        limit = limit_for(assembly.spec, pair.limit) if pair.limit in DEFAULTS else None
        least, source = (limit.least_mm, limit.source) if limit else (0.0, "parts must not touch")
        out.append(Meeting(pair.a, pair.b, approach, least, source, pair.period_deg))
    return tuple(sorted(out, key=lambda m: m.approach.min_mm))


def biting_arcs(assembly: Assembly, met: Sequence[Meeting]) -> list[tuple[CrankArc, ...]]:
    """Stretches of crank angle in which each pair bites; empty where it clears. Pairs that are alike bite alike."""
    known = _known(id(assembly.spec))
    keyed = [
        known.memory.prints.of([(side.law, side.pieces) for side in (one.mine, one.other)], one.period_deg)
        for one in met
    ]
    bites = [one.approach.min_mm < 0.0 for one in met]
    new = {key: k for k, (key, _) in reversed(list(enumerate(keyed))) if bites[k] and key not in known.arcs}
    for k, arcs in zip(new.values(), _biting_arcs([met[k] for k in new.values()]), strict=True):
        known.arcs[keyed[k][0]] = _turned(arcs, -keyed[k][1].zero_deg, met[k].period_deg)
    return [
        _turned(known.arcs[key], place.zero_deg, one.period_deg) if bite else ()
        for one, (key, place), bite in zip(met, keyed, bites, strict=True)
    ]


def _turned(arcs: Sequence[CrankArc], by_deg: float, period_deg: float) -> tuple[CrankArc, ...]:
    """Arcs counted from another crank angle; those without an end stay as they are."""
    found = []
    for arc in arcs:
        length = arc.end_deg - arc.start_deg
        start = arc.start_deg if length >= period_deg else (arc.start_deg + by_deg) % period_deg
        found.append(CrankArc(start, start + length, arc.bite_mm))
    return tuple(sorted(found, key=lambda arc: arc.start_deg))


@dataclass(slots=True, eq=False)
class _Biting:
    """One pair that bites, sampled over its period, and the ends of its arcs, ever closer."""

    meeting: Meeting
    grid: Array
    bites: Mask
    low: Array
    high: Array
    rises: Mask

    @classmethod
    def over(cls, meeting: Meeting, grid: Array, bites: Mask) -> _Biting:
        """From what bites on the grid. The worst angle is its first, so that the deepest bite is never missed."""
        bites[0] = True
        edges = np.nonzero(bites != np.roll(bites, -1))[0]
        return cls(meeting, grid, bites, grid[edges], grid[edges] + GRID_DEG, ~bites[edges])

    @property
    def pair(self) -> tuple[Place, Place]:
        """The two."""
        return self.meeting.mine, self.meeting.other

    def asked(self) -> Array:
        """The angles to ask next, (ends, SPLIT - 1): halving, with all that it may ask asked at once."""
        return self.low[:, None] + (self.high - self.low)[:, None] * (np.arange(1, SPLIT) / SPLIT)

    def closer(self, inside: Mask) -> None:
        """Halve by what was found there."""
        low, width = self.low, self.high - self.low
        left, step = np.zeros(low.size, dtype=np.intp), SPLIT
        while step > 1:
            step //= 2
            before = inside[np.arange(low.size), left + step - 1] == ~self.rises
            left += np.where(before, step, 0)
        self.low, self.high = low + width * left / SPLIT, low + width * (left + 1) / SPLIT

    def arcs(self, distance: Array) -> tuple[CrankArc, ...]:
        """What was found, with the distances on the grid where it bites."""
        worst, period = -self.meeting.approach.min_mm, self.meeting.period_deg
        if not self.low.size:
            return (CrankArc(0.0, period, worst),)
        ends = np.where(self.rises, self.high, self.low)
        return _arcs(ends, self.rises, self.grid[self.bites], distance, worst, period)


def _biting_arcs(met: Sequence[Meeting]) -> list[tuple[CrankArc, ...]]:
    """The same, found on these pairs.

    The grid starts at the certified worst angle; another place where the same two bite again is found when it is wider
    than a step of the grid.
    """
    if not met:
        return []
    grids = [np.asarray(one.approach.crank_deg + np.arange(0.0, one.period_deg, GRID_DEG)) for one in met]
    bites = overlaps([(one.mine, one.other) for one in met], grids, TOLERANCE_MM)
    found = [_Biting.over(*one) for one in zip(met, grids, bites, strict=True)]
    open_ = [one for one in found if one.low.size]
    for _ in range(STAGES if open_ else 0):
        asked = [one.asked() for one in open_]
        told = overlaps([one.pair for one in open_], [angles.ravel() for angles in asked], TOLERANCE_MM)
        for one, angles, inside in zip(open_, asked, told, strict=True):
            one.closer(inside.reshape(angles.shape))
    depths = _depths(found)
    return [one.arcs(depth) for one, depth in zip(found, depths, strict=True)]


def _depths(found: Sequence[_Biting]) -> list[Array]:
    """Distances on the grid where each bites; of a single arc the deepest is known, and none is asked."""
    several = [k for k, one in enumerate(found) if one.low.size > 2]
    out = [np.zeros(int(one.bites.sum())) for one in found]
    if several:
        pairs, angles = zip(*((found[k].pair, found[k].grid[found[k].bites]) for k in several), strict=True)
        for k, curve in zip(several, distance_curves(pairs, angles, TOLERANCE_MM), strict=True):
            out[k] = curve.distance_mm
    return out


def _arcs(
    ends: Array, rises: Mask, grid: Array, distance: Array, worst_mm: float, period: float
) -> tuple[CrankArc, ...]:
    """Couple each start with the end that follows it round the period."""
    found = []
    stops = ends[~rises]
    for start in ends[rises]:
        length = float(np.min((stops - start) % period))
        inside = (grid - start) % period <= length
        depth = float(-distance[inside].min()) if inside.any() else 0.0
        found.append(CrankArc(float(start % period), float(start % period) + length, depth))
    deepest = max(range(len(found)), key=lambda k: found[k].bite_mm)
    found[deepest] = replace(found[deepest], bite_mm=worst_mm)
    return tuple(sorted(found, key=lambda arc: arc.start_deg))
