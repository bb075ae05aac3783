"""Where changed parts meet others through the turn: certified least distance, and the arcs in which they bite."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from geometry.arrays import Array, Mask
from geometry.assembly import Assembly
from geometry.clearance.excuses import excused
from geometry.clearance.limits import DEFAULTS, limit_for
from geometry.clearance.pairs import Pair, limit_of, places
from geometry.clearance.place import Place
from geometry.collision.certify import TOLERANCE_MM, Approach, Memory, certify_all
from geometry.collision.distance_curve import distance_curve
from geometry.kinematics.laws import period_deg
from geometry.mistakes.mistake import CrankArc

TOLD_MM = 3.0
"""Pairs that stay farther apart than this are not followed up: more than twice the usual limits."""
GRID_DEG = 10.0
FINE_STEPS = 8
"""Halvings of a grid step: arc ends to 0.04 degrees."""


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


def _pairs(assembly: Assembly, mine: Callable[[Place], bool]) -> Iterator[Pair]:
    """Chosen places with everything that could meet them, the chosen one first."""
    everything = places(assembly)
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


@lru_cache(maxsize=4)
def _memory(spec_id: int) -> Memory:
    """Answers kept per engine, so that bores that are alike are solved once."""
    return Memory()


def meetings(
    assembly: Assembly, mine: Callable[[Place], bool], only: Collection[tuple[str, str]] | None = None
) -> tuple[Meeting, ...]:
    """Everything that chosen places come near, the closest first.

    Parameters
    ----------
    assembly : as put together
    mine : chooses the places that a mistake moves
    only : names of the pairs to follow, however far apart; None: all that come near
    """
    chosen = list(_pairs(assembly, mine))
    if only is not None:
        chosen = [pair for pair in chosen if (pair.a.name, pair.b.name) in only]
    movers = [(pair.a, pair.b) for pair in chosen]
    periods = [pair.period_deg for pair in chosen]
    memory = _memory(id(assembly.spec))
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


def biting_arcs(meeting: Meeting) -> tuple[CrankArc, ...]:
    """Stretches of crank angle in which a pair bites; empty when it clears.

    The grid starts at the certified worst angle, so that the deepest bite is never missed; another place where the
    same two bite again is found when it is wider than a step of the grid.
    """
    worst = meeting.approach
    if worst.min_mm >= 0.0:
        return ()
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
    for _ in range(FINE_STEPS):
        middle = (low + high) / 2
        inside = distance_curve(a, b, middle, TOLERANCE_MM).distance_mm < 0.0
        before = inside == ~rises
        low, high = np.where(before, middle, low), np.where(before, high, middle)
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
