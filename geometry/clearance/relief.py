"""How much to take off: the smallest notch at the bore bottom, or flat on a bolt head, that restores a limit.

Both are found by trying: the changed solid is certified like any other, in steps of what a shop can hold. Depth,
height and the two ends of a notch along the crank are independent of one another: each is the least at which the
wall that is left behind, above or beside it stands clear.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor
from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.clearance.full_turn import FullTurn, Near
from geometry.clearance.least import SHOP_STEP_MM, least_from_above
from geometry.clearance.pairs import Pair
from geometry.clearance.place import Place
from geometry.clearance.words import bore_of
from geometry.collision.certify import TOLERANCE_MM, Memory, certify_all
from geometry.collision.mover import Mover
from geometry.kinematics.poses import compose, translation
from geometry.kinematics.slider_crank import dead_centres
from geometry.parts.shapes.block_features import (
    THINNEST_MM,
    bore_profile,
    bore_walls,
    is_right,
    towards_partner,
)
from geometry.parts.shapes.block_section import Bank, BlockSection, block_section
from geometry.solids import Cylinder, Hull, Piece, Revolved
from geometry.spec.block import Notch, NotchSides
from geometry.units import System, show

CORNERS: Final = 96
WIDEST: Final = 0.95
"""A notch reaching further from the bore's axis along the crank than this share of its radius is no notch."""
OIL_RING_SPARE_MM: Final = 2.0
"""Wall kept between the top of a notch and the oil ring at bottom dead centre (common practice, no source)."""
SEARCH_MM: Final = 0.03
"""Half-width of the certificates while sizes are searched; the answer is certified like every other."""
CLEAR_MM: Final = 2.0
"""Once the wall stands so far clear of its limit, how far does not matter."""


@dataclass(frozen=True, slots=True)
class NotchRelief:
    """A notch at the bottom of every bore.

    Attributes
    ----------
    width_mm, height_mm, depth_mm : along the crank, up from the bottom, into the wall
    offset_mm : how far its middle stands from the bore's axis, towards the bore that shares the throw
    sides : on which side of the bore
    floor_mm : proved least distance of what it was cut for to the bores with it
    wall_mm : wall left behind it; 0 where it goes right through
    """

    width_mm: float
    height_mm: float
    depth_mm: float
    offset_mm: float
    sides: NotchSides
    floor_mm: float
    wall_mm: float

    @property
    def notch(self) -> Notch:
        """As the engine file holds it."""
        return Notch.model_construct(
            width_mm=self.width_mm, height_mm=self.height_mm, depth_mm=self.depth_mm,
            sides=self.sides, offset_mm=self.offset_mm,
        )  # fmt: skip

    def written(self, system: System) -> str:
        """The table ``block.bore.notch`` as one writes it."""
        sizes = {
            "width": self.width_mm, "height": self.height_mm, "depth": self.depth_mm, "offset": self.offset_mm
        }  # fmt: skip
        texts = [f'{key} = "{show(value, "length", system)}"' for key, value in sizes.items() if value]
        return "{ " + ", ".join([*texts, f'sides = "{self.sides}"']) + " }"


@dataclass(frozen=True, slots=True)
class FlatRelief:
    """A flat on the outer side of each bolt head or nut: taken off by ``depth_mm``, ``left_mm`` from the axis."""

    place: str
    depth_mm: float
    left_mm: float
    floor_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Short:
    """A pair that misses its limit at the wall of a bore: what moves, which bore, on which side of it."""

    moving: Place
    wall: Place
    period_deg: float
    least_mm: float
    short_mm: float
    right: bool


def notch_room_mm(assembly: Assembly) -> float:
    """How high a notch may reach above the bottom of the bore, so that the oil ring keeps its wall."""
    spec = assembly.spec
    oil = max(groove.from_crown_mm + groove.height_mm for groove in spec.piston.grooves)
    bottoms = dead_centres(assembly.linkage).bottom_height_mm
    lowest = min(
        float(bottom) + assembly.design(site.bore).piston.compression_height_mm - oil
        for site, bottom in zip(assembly.layout.bores, bottoms, strict=True)
    )
    return max(lowest - (spec.block.deck_height_mm - spec.block.bore.length_mm) - OIL_RING_SPARE_MM, 0.0)


def short_of(assembly: Assembly, near: Sequence[Near], least_mm: Callable[[Pair], float]) -> list[Short]:
    """The pairs of moving parts and walls of bores that miss their limit."""
    found = []
    for n in near:
        if "bore_wall" not in (n.pair.a.feature, n.pair.b.feature):
            continue
        least, is_first = least_mm(n.pair), n.pair.a.feature == "bore_wall"
        wall, moving = (n.pair.a, n.pair.b) if is_first else (n.pair.b, n.pair.a)
        bore = bore_of(wall)
        if n.approach.floor_mm >= least or bore is None:
            continue
        at, lean = n.approach.at_a_mm, np.radians(assembly.layout.site(bore).bank_deg)
        across = float(at[1] * np.cos(lean) + at[2] * np.sin(lean))
        short = least - n.approach.floor_mm
        found.append(Short(moving, wall, n.pair.period_deg, least, short, across > 0))
    return found


def notch_relief(
    assembly: Assembly,
    short: Sequence[Short],
    system: System,
    highest_mm: float,
    memory: Memory | None = None,
) -> NotchRelief | None:
    """The smallest notch that gives every one of these pairs its limit; None when none does or none is short.

    Parameters
    ----------
    assembly : its own notch, if any, is replaced
    short : from ``short_of``
    system : in whose steps the sizes are rounded, to the safe side
    highest_mm : a notch may not reach higher than this above the bottom of the bore (the oil ring needs wall)
    """
    if not short:
        return None
    section = block_section(assembly.spec, assembly.layout)
    sides = _sides(section, short)
    wanted: tuple[NotchSides, ...] = (sides,) if sides == "both" else (sides, "both")
    for choice in wanted:
        search = _Search(section, tuple(short), choice == "both", SHOP_STEP_MM[system], memory or Memory())
        found = search.smallest(choice, highest_mm)
        if found is not None:
            return found
    return None


def _sides(section: BlockSection, short: Sequence[Short]) -> NotchSides:
    """On which side of the bores the pairs come near."""
    names: tuple[NotchSides, NotchSides]
    names = ("inboard", "outboard") if section.spec.engine.layout == "vee" else ("major", "minor")
    found = {names[is_right(section, _bank(section, s), names[0]) != s.right] for s in short}
    return found.pop() if len(found) == 1 else "both"


def _bank(section: BlockSection, short: Short) -> Bank:
    return next(bank for bank in section.banks if bore_of(short.wall) in bank.bores)


@dataclass(frozen=True, slots=True, eq=False)
class _Search:
    """The search for one notch; lengths along the crank count towards the bore that shares the throw."""

    section: BlockSection
    short: tuple[Short, ...]
    both: bool
    step_mm: float
    memory: Memory

    def smallest(self, sides: NotchSides, highest_mm: float) -> NotchRelief | None:
        """Height, ends and depth, each the least, then all of them tried together."""
        bank = _bank(self.section, self.short[0])
        reach = floor(WIDEST * bank.radius_mm / self.step_mm) * self.step_mm
        height = self._steps(lambda n: self._above(n, reach), floor(highest_mm / self.step_mm))
        if height is None:
            return None
        ends = self._ends(reach)
        if ends is None:
            return None
        wall = bank.half_mm - bank.radius_mm
        most = floor((wall - THINNEST_MM) / self.step_mm)
        depth = self._steps(lambda n: self._behind(n, height, ends), most)
        through = ceil(wall / self.step_mm)
        low, high = ends
        even = (high - low) % 2
        for more in range(3):
            steps = (high - low + even + 2 * more, height + more, min((depth or through) + more, through))
            found = self._tried(sides, *(n * self.step_mm for n in (*steps, (high + low + even) // 2)))
            if found is not None:
                return found
        return None

    def _steps(self, margin: Callable[[int], float], most: int) -> int | None:
        return least_from_above(margin, self.step_mm, most)

    def _above(self, height: int, reach_mm: float) -> float:
        """Margin to the wall above a notch of so many steps."""

        def profile(bank: Bank) -> Array:
            inner, outer, top = bank.radius_mm, bank.half_mm, bank.low_mm + height * self.step_mm
            return np.array([[inner, top], [outer, top], [outer, bank.deck_mm], [inner, bank.deck_mm]])

        return self._margin(profile, -reach_mm, reach_mm)

    def _behind(self, depth: int, height: int, ends: tuple[int, int]) -> float:
        """Margin to the wall behind it."""

        def profile(bank: Bank) -> Array:
            inner, outer, low = bank.radius_mm + depth * self.step_mm, bank.half_mm, bank.low_mm
            top = low + height * self.step_mm
            return np.array([[inner, low], [outer, low], [outer, top], [inner, top]])

        return self._margin(profile, *(n * self.step_mm for n in ends))

    def _ends(self, reach_mm: float) -> tuple[int, int] | None:
        """Steps from the bore's axis to the two ends of the notch; alike where no bore shares the throw."""
        most = round(reach_mm / self.step_mm)

        def beside(n: int, sense: float) -> float:
            ends = (sense * (n - most) * self.step_mm, sense * _bank(self.section, self.short[0]).radius_mm)
            return self._margin(lambda bank: bore_profile(self.section, bank), *sorted(ends))

        high = self._steps(lambda n: beside(n, 1.0), 2 * most)
        low = self._steps(lambda n: beside(n, -1.0), 2 * most)
        if high is None or low is None:
            return None
        high, low = high - most, most - low
        if all(site.partner is None for site in self.section.layout.bores):
            half = max(high, -low, 1)
            return -half, half
        return low, max(high, low + 1)

    def _margin(self, profile: Callable[[Bank], Array], low_mm: float, high_mm: float) -> float:
        """Margin to a wall of this profile between two places along the crank."""
        walls = []
        for s in self.short:
            bank = _bank(self.section, s)
            x = bank.bores_x_mm[bank.bores.index(bore_of(s.wall) or 0)]
            X = compose(translation([x, 0.0, 0.0]), bank.X_EB)
            sense = towards_partner(self.section, bank, x) or 1.0
            ends = sorted((sense * low_mm, sense * high_mm), reverse=True)
            start, end = np.degrees(np.arccos(np.clip(np.array(ends) / bank.radius_mm, -1.0, 1.0)))
            outline = profile(bank)
            pieces: tuple[Piece, ...] = tuple(
                Revolved(outline, *((start, end) if right else (360.0 - end, 360.0 - start)), X, outward=True)
                for right in ((True, False) if self.both else (s.right,))
            )
            walls.append(replace(s.wall, pieces=pieces))
        return _margin_mm(self.short, walls, self.memory)

    def _tried(
        self, sides: NotchSides, width_mm: float, height_mm: float, depth_mm: float, offset_mm: float
    ) -> NotchRelief | None:
        """The notch, if the wall as the block has it with this notch keeps every limit."""
        layout, spec = self.section.layout, self.section.spec
        found = NotchRelief(width_mm, height_mm, depth_mm, offset_mm, sides, 0.0, 0.0)
        bore = spec.block.bore.model_copy(update={"notch": found.notch})
        block = spec.block.model_copy(update={"bore": bore})
        section = block_section(spec.model_copy(update={"block": block}), layout)
        if width_mm / 2 + abs(offset_mm) >= bore.diameter_mm / 2:
            return None
        walls = []
        for s in self.short:
            bank = _bank(section, s)
            x = bank.bores_x_mm[bank.bores.index(bore_of(s.wall) or 0)]
            walls.append(replace(s.wall, pieces=tuple(bore_walls(section, bank, x))))
        margin = _margin_mm(self.short, walls, self.memory, TOLERANCE_MM)
        if margin < 0:
            return None
        left = bank.half_mm - bank.radius_mm - depth_mm
        floor_mm = margin + min(s.least_mm for s in self.short)
        return replace(found, floor_mm=floor_mm, wall_mm=left if left > THINNEST_MM else 0.0)


def _margin_mm(
    short: Sequence[Short], walls: Sequence[Mover], memory: Memory, tolerance_mm: float = SEARCH_MM
) -> float:
    """Proved least distance less limit over pairs of moving parts and walls; not told beyond ``CLEAR_MM``."""
    found = certify_all(
        [(s.moving, wall) for s, wall in zip(short, walls, strict=True)],
        [s.period_deg for s in short],
        tolerance_mm,
        max(s.least_mm for s in short) + CLEAR_MM,
        memory,
        floors_only=True,
    )
    return min(a.floor_mm - s.least_mm for s, a in zip(short, found, strict=True))


def _floor(pairs: Sequence[tuple[Mover, Mover]], periods: Sequence[float], memory: Memory) -> float:
    found = certify_all(pairs, list(periods), TOLERANCE_MM, np.inf, memory, floors_only=True)
    return min(approach.floor_mm for approach in found)


def flat_relief(
    assembly: Assembly, turn: FullTurn, limit_mm: float, system: System, place: str = "head"
) -> FlatRelief | None:
    """The smallest flat on the outer side of the bolt heads (or nuts) that restores their limit; None if none does.

    Parameters
    ----------
    turn : certified clearances of the assembly
    limit_mm : least distance wanted to block and cam
    system : in whose steps it is rounded, to the safe side
    place : ``head`` or ``nut``
    """
    near = [
        n
        for n in turn.near
        if n.pair.limit in ("rod_to_block", "rod_to_cam")
        and any(p.feature == "rod_bolt" and p.place == place for p in (n.pair.a, n.pair.b))
    ]
    if not near:
        return None
    pairs = [n.pair for n in near]
    periods = [p.period_deg for p in pairs]
    bolt = assembly.spec.rod.bolt
    radius = (bolt.head_diameter_mm if place == "head" else bolt.nut_diameter_mm or 0.0) / 2
    deepest = radius - bolt.diameter_mm / 2
    memory = Memory()

    def floor_mm(steps: int) -> float:
        return _floor([_with_flat(pair, steps * step) for pair in pairs], periods, memory)

    step, short = SHOP_STEP_MM[system], limit_mm - min(n.approach.floor_mm for n in near)
    if short <= 0 or deepest < step:
        return None
    low, high = 0, floor(deepest / step)
    if floor_mm(high) < limit_mm:
        return None
    while high - low > 1:
        # the first cuts may take nothing off where it comes near, the last nothing more: halve
        middle = (low + high) // 2
        low, high = (low, middle) if floor_mm(middle) >= limit_mm else (middle, high)
    return FlatRelief(place, high * step, radius - high * step, floor_mm(high))


def _with_flat(pair: Pair, depth_mm: float) -> tuple[Mover, Mover]:
    bolt, other = (pair.a, pair.b) if pair.a.feature == "rod_bolt" else (pair.b, pair.a)
    pieces = tuple(_flattened(p, depth_mm) if isinstance(p, Cylinder) else p for p in bolt.pieces)
    return replace(bolt, pieces=pieces), other


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
