"""Every clearance of an engine over its full turn: what comes near, certified, and what does not, with its bound."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from geometry.assembly import Assembly
from geometry.clearance.certify import TOLERANCE_MM, Approach, Memory, certify_all
from geometry.clearance.pairs import Pair, Skipped, pairs_of
from geometry.clearance.prune import LeftOut, reach_bounds

NEAR_MM: Final = 6.0
"""Pairs proved farther apart than this are left at their bound: several times every limit of the trade."""


@dataclass(frozen=True, slots=True, eq=False)
class Near:
    """A pair that comes near, and its certified least distance."""

    pair: Pair
    approach: Approach


@dataclass(frozen=True, slots=True, eq=False)
class FullTurn:
    """All pairs of an engine.

    Attributes
    ----------
    near : pairs that come nearer than ``near_mm``, the closest first
    far : pairs proved never to come nearer, with the proved bound
    skipped : pairs that are no clearance, with the reason
    """

    near: tuple[Near, ...]
    far: tuple[LeftOut, ...]
    skipped: tuple[Skipped, ...]


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
    pairs, skipped = pairs_of(assembly)
    movers = list({id(p.mover): p.mover for pair in pairs for p in (pair.a, pair.b)}.values())
    index = {id(mover): k for k, mover in enumerate(movers)}
    bounds = reach_bounds(movers)
    within: list[Pair] = []
    far: list[LeftOut] = []
    for pair in pairs:
        bound = float(bounds[index[id(pair.a.mover)], index[id(pair.b.mover)]])
        if bound > near_mm:
            far.append(LeftOut(pair.a.mover.name, pair.b.mover.name, "out of reach", bound))
        else:
            within.append(pair)
    found = certify_all(
        [(p.a.mover, p.b.mover) for p in within],
        [p.period_deg for p in within],
        tolerance_mm,
        near_mm,
        memory,
    )
    near = []
    for pair, approach in zip(within, found, strict=True):
        if approach.bound_only:
            far.append(LeftOut(approach.a, approach.b, "proved farther", approach.floor_mm))
        else:
            near.append(Near(pair, approach))
    near.sort(key=lambda n: n.approach.min_mm)
    return FullTurn(tuple(near), tuple(far), tuple(skipped))
