"""How much to take off: the smallest notch at the bore bottom, or flat on a bolt head, that restores a limit.

Both are found by trying: the changed solid is certified like any other, and each dimension is halved in on until
no smaller one, to ``STEP_MM``, keeps the limit.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from geometry.assembly import Assembly
from geometry.clearance.certify import TOLERANCE_MM, Memory, Mover, certify_all
from geometry.clearance.pairs import Pair
from geometry.clearance.turn import FullTurn
from geometry.parts.block_features import bore_walls
from geometry.parts.block_section import block_section
from geometry.parts.solids import Array, Cylinder, Group, Hull, Piece
from geometry.spec.block import Notch

STEP_MM: Final = 0.05
CORNERS: Final = 96
WIDEST: Final = 0.9
"""A notch wider than this share of the bore is no notch any more."""
Sides = Literal["both", "major", "minor"]


@dataclass(frozen=True, slots=True)
class NotchRelief:
    """A notch at the bottom of every bore.

    Attributes
    ----------
    width_mm, height_mm, depth_mm : along the crank, up from the bottom, into the wall
    sides : on which side of the bore
    floor_mm : proved least distance of the rods to the bores with it
    """

    width_mm: float
    height_mm: float
    depth_mm: float
    sides: Sides
    floor_mm: float


@dataclass(frozen=True, slots=True)
class FlatRelief:
    """A flat on the outer side of each bolt head or nut: taken off by ``depth_mm``, ``left_mm`` from the axis."""

    place: str
    depth_mm: float
    left_mm: float
    floor_mm: float


def notch_relief(
    assembly: Assembly, turn: FullTurn, limit_mm: float, highest_mm: float
) -> NotchRelief | None:
    """The smallest notch that gives every rod its limit to the bores; None when none does or none is needed.

    Parameters
    ----------
    assembly : its own notch, if any, is replaced
    turn : its certified clearances
    limit_mm : least distance wanted of rods, caps and bolts to the bores
    highest_mm : a notch may not reach higher than this above the bottom of the bore (the oil ring needs wall)
    """
    pairs = [n.pair for n in turn.near if _rod_and_wall(n.pair)]
    if not pairs:
        return None
    floor_of = _notch_floor(assembly, pairs)
    bore = assembly.spec.block.bore
    start = (WIDEST * bore.diameter_mm, highest_mm, bore.wall_mm)
    sides: Sides = "both"
    if floor_of(*start, sides) < limit_mm:
        return None
    choices: tuple[Sides, ...] = ("major", "minor")
    for one in choices:
        if floor_of(*start, one) >= limit_mm:
            sides = one
            break
    width, height, depth = start
    height = _smallest(lambda value: floor_of(width, value, depth, sides) >= limit_mm, height)
    depth = _smallest(lambda value: floor_of(width, height, value, sides) >= limit_mm, depth)
    width = _smallest(lambda value: floor_of(value, height, depth, sides) >= limit_mm, width)
    return NotchRelief(width, height, depth, sides, floor_of(width, height, depth, sides))


def _rod_and_wall(pair: Pair) -> bool:
    return {pair.a.group, pair.b.group} == {Group.ROD, Group.BLOCK} and "bore_wall" in (
        pair.a.feature,
        pair.b.feature,
    )


def _notch_floor(assembly: Assembly, pairs: Sequence[Pair]) -> Callable[[float, float, float, Sides], float]:
    """Proved least distance over all pairs as a function of the notch."""
    memory = Memory()
    layout = assembly.layout

    def floor(width: float, height: float, depth: float, sides: Sides) -> float:
        notch = Notch.model_construct(width_mm=width, height_mm=height, depth_mm=depth, sides=sides)
        bore = assembly.spec.block.bore.model_copy(update={"notch": notch})
        block = assembly.spec.block.model_copy(update={"bore": bore})
        section = block_section(assembly.spec.model_copy(update={"block": block}), layout)
        walls: dict[str, tuple[Piece, ...]] = {}
        for bank in section.banks:
            for number, x in zip(bank.bores, bank.bores_x_mm, strict=True):
                walls[f"bore {number}"] = tuple(bore_walls(section, bank, x))
        changed = []
        for pair in pairs:
            wall, rod = (pair.a, pair.b) if pair.a.feature == "bore_wall" else (pair.b, pair.a)
            changed.append((rod.mover, replace(wall.mover, pieces=walls[wall.place])))
        return _floor(changed, [p.period_deg for p in pairs], memory)

    return floor


def _floor(pairs: Sequence[tuple[Mover, Mover]], periods: Sequence[float], memory: Memory) -> float:
    found = certify_all(pairs, list(periods), TOLERANCE_MM, np.inf, memory)
    return min(approach.floor_mm for approach in found)


def _smallest(keeps: Callable[[float], bool], enough: float) -> float:
    """The smallest value that keeps the limit, to ``STEP_MM``, given one that does."""
    low, high = 0.0, enough
    while high - low > STEP_MM:
        middle = (low + high) / 2
        low, high = (low, middle) if keeps(middle) else (middle, high)
    return high


def flat_relief(
    assembly: Assembly, turn: FullTurn, limit_mm: float, place: str = "head"
) -> FlatRelief | None:
    """The smallest flat on the outer side of the bolt heads (or nuts) that restores their limit; None if none does.

    Parameters
    ----------
    turn : certified clearances of the assembly
    limit_mm : least distance wanted to block and cam
    place : ``head`` or ``nut``
    """
    pairs = [
        n.pair
        for n in turn.near
        if n.pair.limit in ("rod_to_block", "rod_to_cam")
        and any(p.feature == "rod_bolt" and p.place == place for p in (n.pair.a, n.pair.b))
    ]
    if not pairs:
        return None
    periods = [p.period_deg for p in pairs]
    bolt = assembly.spec.rod.bolt
    radius = (bolt.head_diameter_mm if place == "head" else bolt.nut_diameter_mm or 0.0) / 2
    deepest = radius - bolt.diameter_mm / 2
    memory = Memory()

    def floor(depth: float) -> float:
        return _floor([_with_flat(pair, depth) for pair in pairs], periods, memory)

    if deepest <= 0 or floor(deepest) < limit_mm:
        return None
    depth = _smallest(lambda value: floor(value) >= limit_mm, deepest)
    return FlatRelief(place, depth, radius - depth, floor(depth))


def _with_flat(pair: Pair, depth_mm: float) -> tuple[Mover, Mover]:
    bolt, other = (pair.a, pair.b) if pair.a.feature == "rod_bolt" else (pair.b, pair.a)
    pieces = tuple(_flattened(p, depth_mm) if isinstance(p, Cylinder) else p for p in bolt.mover.pieces)
    return replace(bolt.mover, pieces=pieces), other.mover


def _flattened(head: Cylinder, depth_mm: float) -> Hull:
    """The head as a prism around its cylinder, cut by a plane square to y on the side away from the rod."""
    X = np.asarray(head.X_AP)
    outer = 1.0 if X[1, 3] > 0 else -1.0
    angle = 2 * np.pi * np.arange(CORNERS) / CORNERS
    ring: Array = head.radius_mm / np.cos(np.pi / CORNERS) * np.column_stack([np.cos(angle), np.sin(angle)])
    cut = head.radius_mm - depth_mm
    kept = [point for point in ring if outer * point[1] <= cut]
    for here, following in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        a, b = outer * here[1] - cut, outer * following[1] - cut
        if a * b < 0:
            kept.append(here + (following - here) * (a / (a - b)))
    flat = np.array(kept)
    half = head.length_mm / 2
    points = np.vstack([np.column_stack([flat, np.full(len(flat), z)]) for z in (-half, half)])
    return Hull(points, X)
