"""Every clearance of an engine over its full turn: what comes near, certified, and what does not, with its bound."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geometry.arrays import Array, Index
from geometry.assembly import Assembly
from geometry.clearance.inside import swallowed
from geometry.clearance.pairs import Listing, Pair, Skipped, listed
from geometry.collision.broad_phase import NEAR_MM, boxed, reach_bounds
from geometry.collision.certify import TOLERANCE_MM, Approach, Memory, certify_all


@dataclass(frozen=True, slots=True, eq=False)
class Near:
    """A pair that comes near, and its certified least distance."""

    pair: Pair
    approach: Approach


@dataclass(frozen=True, slots=True, eq=False)
class Far:
    """A pair that never comes near, and a proved lower bound of its distance over the whole period."""

    pair: Pair
    bound_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class FullTurn:
    """All pairs of an engine.

    Attributes
    ----------
    near : pairs that come nearer than ``near_mm``, the closest first
    listing : any two places of the engine
    far_rows : which of those that could meet never come nearer
    far_mm : their proved bounds
    """

    near: tuple[Near, ...]
    listing: Listing
    far_rows: Index
    far_mm: Array

    @property
    def far(self) -> list[Far]:
        """Every pair proved never to come near, with the proved bound; made anew each time, and there are many."""
        return self.far_within(np.inf)

    def far_within(self, bound_mm: float) -> list[Far]:
        """Those of them whose bound is below so much."""
        chosen = np.nonzero(self.far_mm < bound_mm)[0].tolist()
        return [Far(self.listing.pair(int(self.far_rows[k])), float(self.far_mm[k])) for k in chosen]

    @property
    def skipped(self) -> list[Skipped]:
        """Every pair that is no clearance, with the reason; made anew each time, and there are many."""
        return self.listing.skipped()


def full_turn(
    assembly: Assembly,
    near_mm: float = NEAR_MM,
    tolerance_mm: float = TOLERANCE_MM,
    memory: Memory | None = None,
) -> FullTurn:
    """Certify every pair of an engine that comes near, and keep the bound of every pair that does not.

    Parameters
    ----------
    near_mm : what counts as near
    tolerance_mm : certified half-width of each least distance
    memory : answers to reuse, for sweeps and what-if questions
    """
    listing = listed(assembly)
    bounds = _reach(listing)
    rows = np.nonzero(bounds <= near_mm)[0]
    pairs = [listing.pair(int(row)) for row in rows]
    found = certify_all(
        [(pair.a, pair.b) for pair in pairs],
        [pair.period_deg for pair in pairs],
        tolerance_mm,
        near_mm,
        memory,
    )
    apart = np.array([approach.bound_only for approach in found], dtype=bool)
    floors = np.array([approach.floor_mm for approach in found], dtype=float)
    never = np.nonzero(bounds > near_mm)[0]
    near = [Near(p, approach) for p, approach in zip(pairs, found, strict=True) if not approach.bound_only]
    near = _with_swallowed(near, listing)
    near.sort(key=lambda n: n.approach.min_mm)
    return FullTurn(
        tuple(near),
        listing,
        np.concatenate([never, rows[apart]]),
        np.concatenate([bounds[never], floors[apart]]),
    )


@lru_cache(maxsize=1)
def turn_of(assembly: Assembly) -> tuple[FullTurn, Memory]:
    """``full_turn`` with what it remembers for questions that follow, of the engine that was asked of last.

    A report and its bounds over values in doubt rest on the same turn, which is certified once.
    """
    memory = Memory()
    return full_turn(assembly, memory=memory), memory


def _reach(listing: Listing) -> Array:
    """Proved bounds (m,) of the pairs that could meet, from the reach of whole places."""
    asked, at = np.unique(listing.wanted, return_inverse=True)
    bounds = reach_bounds([boxed(listing.places[k]) for k in asked])
    a, b = at.reshape(-1, 2).T
    return np.asarray(bounds[a, b])


def _with_swallowed(near: list[Near], listing: Listing) -> list[Near]:
    """Add what lies wholly within a measured solid, unless its surface has told of the overlap already."""
    surface = np.array([place.surface for place in listing.places])
    rows = np.nonzero(surface[listing.wanted].any(axis=1))[0]
    found = {
        _places(pair): Near(pair, approach)
        for pair, approach in swallowed([listing.pair(int(row)) for row in rows])
    }
    if not found:
        return near
    told = {_solids(n.pair) for n in near if n.approach.min_mm < 0}
    more = {key: n for key, n in found.items() if _solids(n.pair) not in told}
    return [n for n in near if _places(n.pair) not in more] + list(more.values())


def _places(pair: Pair) -> tuple[int, int]:
    return id(pair.a), id(pair.b)


def _solids(pair: Pair) -> frozenset[int]:
    """What a pair is about when places of one measured surface are not told apart."""
    return frozenset(id(p.body) if p.surface else id(p) for p in (pair.a, pair.b))
