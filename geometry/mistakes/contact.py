"""Where changed parts meet others through the turn: certified least distance, and the arcs in which they bite."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Hashable, Iterator, Sequence
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
from geometry.collision.distance_curve import distance_curve
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


def _pairs(everything: Sequence[Place], assembly: Assembly, mine: Callable[[Place], bool]) -> Iterator[Pair]:
    """Chosen places with everything that could meet them, the chosen one first."""
    row = excused(assembly, everything)
    chosen = [mine(place) for place in everything]
    for i, a in enumerate(everything):
        if not chosen[i]:
            continue
        for j, b in enumerate(everything):
            apart = max(a.x_mm[0] - b.x_mm[1], b.x_mm[0] - a.x_mm[1])  # nothing moves along the crank
            if apart >= TOLD_MM or chosen[j] or b.body is a.body or row[i, j] >= 0:
                continue
            yield Pair(a, b, limit_of(a.group, b.group), period_deg(a.law, b.law))


def _within_reach(pairs: Sequence[Pair]) -> list[Pair]:
    """Those that may come nearer than is told."""
    movers = list({id(place): place for pair in pairs for place in (pair.a, pair.b)}.values())
    index = {id(mover): k for k, mover in enumerate(movers)}
    bounds = reach_bounds([boxed(mover) for mover in movers])
    return [pair for pair in pairs if bounds[index[id(pair.a)], index[id(pair.b)]] <= TOLD_MM]


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
    right: Assembly,
    assembly: Assembly,
    mine: Callable[[Place], bool],
    only: Collection[tuple[str, str]] | None = None,
) -> tuple[Meeting, ...]:
    """Everything that chosen places come near, the closest first.

    Parameters
    ----------
    right, assembly : the engine as designed, and as put together
    mine : chooses the places that a mistake moves
    only : names of the pairs to follow, however far apart; None: all that come near
    """
    chosen = list(_pairs(_everything(assembly, right), assembly, mine))
    if only is not None:
        chosen = [pair for pair in chosen if (pair.a.name, pair.b.name) in only]
    else:
        chosen = _within_reach(chosen)
    movers = [(pair.a, pair.b) for pair in chosen]
    periods = [pair.period_deg for pair in chosen]
    memory = _known(id(assembly.spec)).memory
    found = []
    for pair, approach in zip(
        chosen,
        certify_all(movers, periods, TOLERANCE_MM, TOLD_MM if only is None else np.inf, memory),
        strict=True,
    ):
        if approach.bound_only or (only is None and approach.min_mm >= TOLD_MM):
            continue
        limit = limit_for(assembly.spec, pair.limit) if pair.limit in DEFAULTS else None
        found.append(
            Meeting(
                pair.a,
                pair.b,
                approach,
                limit.least_mm if limit else 0.0,
                limit.source if limit else "parts must not touch",
                pair.period_deg,
            )
        )
    return tuple(sorted(found, key=lambda m: m.approach.min_mm))


def biting_arcs(assembly: Assembly, meeting: Meeting) -> tuple[CrankArc, ...]:
    """Stretches of crank angle in which a pair bites; empty when it clears. Pairs that are alike bite alike."""
    if meeting.approach.min_mm >= 0.0:
        return ()
    known = _known(id(assembly.spec))
    sides = [(place.law, place.pieces) for place in (meeting.mine, meeting.other)]
    key, place = known.memory.prints.of(sides, meeting.period_deg)
    if key not in known.arcs:
        known.arcs[key] = _turned(_biting_arcs(meeting), -place.zero_deg, meeting.period_deg)
    return _turned(known.arcs[key], place.zero_deg, meeting.period_deg)


def _turned(arcs: Sequence[CrankArc], by_deg: float, period_deg: float) -> tuple[CrankArc, ...]:
    """Arcs counted from another crank angle; those without an end stay as they are."""
    found = []
    for arc in arcs:
        length = arc.end_deg - arc.start_deg
        start = arc.start_deg if length >= period_deg else (arc.start_deg + by_deg) % period_deg
        found.append(CrankArc(start, start + length, arc.bite_mm))
    return tuple(sorted(found, key=lambda arc: arc.start_deg))


def _biting_arcs(meeting: Meeting) -> tuple[CrankArc, ...]:
    """The same, found on this pair.

    The grid starts at the certified worst angle, so that the deepest bite is never missed; another place where the
    same two bite again is found when it is wider than a step of the grid.
    """
    worst = meeting.approach
    period = meeting.period_deg
    a, b = meeting.mine, meeting.other
    grid = worst.crank_deg + np.arange(0.0, period, GRID_DEG)
    distance = distance_curve(a, b, grid, TOLERANCE_MM).distance_mm
    bites = distance < 0.0
    bites[0] = True
    if bites.all():
        return (CrankArc(0.0, period, -worst.min_mm),)
    edges = np.nonzero(bites != np.roll(bites, -1))[0]
    low, high = grid[edges], grid[edges] + GRID_DEG
    rises = ~bites[edges]
    for _ in range(STAGES):
        # halving, with all that it may ask asked at once
        share, width = np.arange(1, SPLIT) / SPLIT, high - low
        asked = low[:, None] + width[:, None] * share
        inside = distance_curve(a, b, asked.ravel(), TOLERANCE_MM).distance_mm.reshape(asked.shape) < 0.0
        left, step = np.zeros(low.size, dtype=np.intp), SPLIT
        while step > 1:
            step //= 2
            before = inside[np.arange(low.size), left + step - 1] == ~rises
            left += np.where(before, step, 0)
        low, high = low + width * left / SPLIT, low + width * (left + 1) / SPLIT
    return _arcs(np.where(rises, high, low), rises, grid, distance, -worst.min_mm, period)


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
