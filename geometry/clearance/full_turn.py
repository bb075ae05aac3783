"""Every clearance of an engine over its full turn: what comes near, certified, and what does not, with its bound."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.assembly import Assembly
from geometry.clearance.inside import swallowed
from geometry.clearance.pairs import Pair, Skipped, pairs_of
from geometry.collision.broad_phase import NEAR_MM, LeftOut, reach_bounds
from geometry.collision.certify import TOLERANCE_MM, Approach, Memory, certify_all
from geometry.collision.piece_broad_phase import Narrowed, Narrower, boxed


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
    movers = list({id(p): p for pair in pairs for p in (pair.a, pair.b)}.values())
    index = {id(mover): k for k, mover in enumerate(movers)}
    bounds = reach_bounds([boxed(mover) for mover in movers])
    within: list[Pair] = []
    asked: list[Narrowed] = []
    far: list[LeftOut] = []
    narrower = Narrower(near_mm)
    for pair in pairs:
        bound = float(bounds[index[id(pair.a)], index[id(pair.b)]])
        if bound > near_mm:
            far.append(LeftOut(pair.a.name, pair.b.name, "out of reach", bound))
            continue
        fewer = narrower.narrowed(pair.a, pair.b)
        if fewer.a.pieces:
            within.append(pair)
            asked.append(fewer)
        else:
            far.append(LeftOut(pair.a.name, pair.b.name, "out of reach", fewer.bound_mm))
    found = certify_all(
        [(few.a, few.b) for few in asked],
        [p.period_deg for p in within],
        tolerance_mm,
        near_mm,
        memory,
    )
    near = []
    for pair, few, approach in zip(within, asked, found, strict=True):
        if approach.bound_only:
            floor = min(approach.floor_mm, few.bound_mm)
            far.append(LeftOut(approach.a, approach.b, "proved farther", floor))
        else:
            near.append(Near(pair, approach))
    near = _with_swallowed(near, pairs)
    near.sort(key=lambda n: n.approach.min_mm)
    return FullTurn(tuple(near), tuple(far), tuple(skipped))


def _with_swallowed(near: list[Near], pairs: list[Pair]) -> list[Near]:
    """Add what lies wholly within a measured solid, unless its surface has told of the overlap already."""
    found = {id(pair): Near(pair, approach) for pair, approach in swallowed(pairs)}
    if not found:
        return near
    told = {_solids(n.pair) for n in near if n.approach.min_mm < 0}
    more = {key: n for key, n in found.items() if _solids(n.pair) not in told}
    return [n for n in near if id(n.pair) not in more] + list(more.values())


def _solids(pair: Pair) -> frozenset[int]:
    """What a pair is about when places of one measured surface are not told apart."""
    return frozenset(id(p.body) if p.surface else id(p) for p in (pair.a, pair.b))
