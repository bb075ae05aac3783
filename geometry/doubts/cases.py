"""The pairs of an engine that doubt is asked about: each kind once, with what every value makes of its places."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final, TypeAlias

import numpy as np

from geometry.clearance.full_turn import Far, FullTurn, Near, full_turn
from geometry.clearance.limits import limit_for
from geometry.collision.certify import Memory, certify_all
from geometry.collision.matching import aligned
from geometry.collision.mover import Mover
from geometry.collision.spread import Spread, Wavering
from geometry.doubts.at_place import same_mover
from geometry.doubts.box import DoubtBox
from geometry.doubts.kept import Workshop
from geometry.doubts.movers import Movers, PlaceName, PlaceNames, alike, spots_of
from geometry.errors import GeometryError, InputError

Point: TypeAlias = "Mapping[str, float]"
ASKED_MM: Final = 12.0
"""What is proved to stay so far apart at nominal values is not asked about: no doubt that a builder has moves one place
against another by so much."""
UNEVEN_MM: Final = 0.1
"""A feature that differs by more than this from the sum of the single changes is not followed."""
GOLDEN: Final = 0.6180339887498949


@dataclass(slots=True, eq=False)
class Case:
    """One class of like pairs while it is worked on."""

    near: tuple[Near, ...]
    spots: PlaceNames
    period: float
    a: int = 0
    b: int = 0
    changes: dict[int, tuple[float, float]] = field(default_factory=dict)
    worst: dict[str, float] = field(default_factory=dict)
    best: dict[str, float] = field(default_factory=dict)
    corners: list[tuple[Mover, Mover]] = field(default_factory=list)
    asked: list[dict[str, float]] = field(default_factory=list)
    upper: float = np.inf
    lower: float = -np.inf
    highest: float = -np.inf
    told: str = ""
    open_: bool = True
    mismatch: float = 0.0
    far: tuple[Far, ...] = ()


class PairsInDoubt:
    """All that is known of the pairs before any corner is looked at.

    Attributes
    ----------
    cases : each kind of pair once
    spread : their places at nominal values and at the farther end of each value
    lost : numbers of places that do not change evenly with the values, so that nothing is proved of them
    refused : at which values nothing can be put together, in words
    """

    def __init__(self, box: DoubtBox, turn: FullTurn | None) -> None:
        self.box, self.sides = box, box.coordinates
        self.workshop = Workshop(box)
        self.movers = Movers(self.workshop)
        self.memory = Memory(self.movers.prints)
        self.turn = turn or full_turn(self.workshop.assembly_at({}), memory=self.memory)
        self.refused: list[str] = []
        self.held: dict[tuple[int, int], Point] = {}
        """By feature and corner: what has been held against the sum of the single changes."""
        self.far_ends = [
            max(side.lowest, side.highest, key=lambda v: abs(v - side.nominal)) for side in self.sides
        ]
        self.lost: set[int] = set()
        self.afield = self._afield()
        self.cases = self._cases()
        self.spread = self._spread()
        self._leave_out_the_far()

    def _afield(self) -> list[tuple[Point, dict[int, float]]]:
        """Two points with all values off nominal, each once either way, by shares that have nothing in common."""
        found: list[tuple[Point, dict[int, float]]] = []
        for turn in range(2):
            point, shares = {}, {}
            for k, side in enumerate(self.sides):
                below, above = side.nominal - side.lowest, side.highest - side.nominal
                up = (k * k // 3 + turn) % 2 == 1 if below and above else above > 0
                share = 1.0 - 0.4 * ((k + 1 + 37 * turn) * GOLDEN % 1.0)
                point[side.key] = side.nominal + share * (above if up else -below)
                shares[k] = share if up else -share
            try:
                assert self.workshop.at(point).whole.bodies
            except (GeometryError, InputError) as bad:
                self.refused.append(f"with all values off nominal: {bad}")
                continue
            found.append((point, shares))
        return found

    def shares(self, point: Point) -> dict[int, float]:
        """How far a point has each value: -1 its lowest, 1 its highest."""
        found = {}
        for k, side in enumerate(self.sides):
            way = point.get(side.key, side.nominal) - side.nominal
            if way:
                found[k] = way / (side.highest - side.nominal if way > 0 else side.nominal - side.lowest)
        return found

    def _cases(self) -> list[Case]:
        """What comes near at nominal values, and what is not so far that it need not be asked."""
        far = self.turn.far_within(ASKED_MM) if self.sides else []
        pairs = [*(near.pair for near in self.turn.near), *(f.pair for f in far)]
        problems = [(spots_of(pair), pair.period_deg) for pair in pairs]
        groups = alike(self.movers, problems, [{}, *(point for point, _ in self.afield[:1])])
        count = len(self.turn.near)
        return [
            Case(
                tuple(self.turn.near[k] for k in group if k < count),
                *problems[group[0]],
                far=tuple(far[k - count] for k in group if k >= count),
            )
            for group in groups
        ]

    def _leave_out_the_far(self) -> None:
        """Drop what no values can bring to its limit, and certify at nominal values what is left of it."""
        spec = self.workshop.at({}).bare.spec
        near, asked = [], []
        for case in self.cases:
            if case.far:
                bound = min(f.bound_mm for f in case.far) - float(self.spread.reach(case.a, case.b).max())
                if bound < limit_for(spec, case.far[0].pair.limit).least_mm:
                    asked.append(case)
            else:
                near.append(case)
        pairs = [f.pair for case in asked for f in case.far]
        found = certify_all(
            [(pair.a, pair.b) for pair in pairs], [pair.period_deg for pair in pairs], memory=self.memory
        )
        approaches = iter(found)
        for case in asked:
            case.near = tuple(Near(f.pair, next(approaches)) for f in case.far)
        self.cases = near + asked

    def _spread(self) -> Spread:
        numbers: dict[int, int] = {}
        features: list[Wavering] = []
        held = []
        for case in self.cases:
            for name, spot in zip("ab", case.spots, strict=True):
                mover = self.movers.at({}, spot)
                assert mover is not None
                if id(mover) not in numbers:
                    numbers[id(mover)] = len(features)
                    features.append(Wavering(mover, dict(self._ends(mover, spot))))
                    held.append(spot)
                setattr(case, name, numbers[id(mover)])
        scale = [
            [(value - side.nominal) / (far - side.nominal) for value in (side.lowest, side.highest)]
            for side, far in zip(self.sides, self.far_ends, strict=True)
        ]
        spread = Spread(features, np.array(scale).reshape(-1, 2))
        self.lost = {k for k, value in enumerate(spread.lost) if value is not None}
        for point, shares in self.afield:
            for k, spot in enumerate(held):
                there = self.movers.at(point, spot)
                there = None if there is None else aligned(features[k].mover, there)
                if there is None or not spread.hold_against(k, there, shares):
                    self.lost.add(k)
        self.lost |= {k for k in range(len(features)) if spread.remainder_of(k) > UNEVEN_MM}
        return spread

    def _ends(self, nominal: Mover, spot: PlaceName) -> Iterator[tuple[int, Mover]]:
        """A place with each value at its farther end, where that changes it."""
        for k, (side, far) in enumerate(zip(self.sides, self.far_ends, strict=True)):
            there = self._at({side.key: far}, spot)
            if there is not None and not same_mover(nominal, there):
                yield k, aligned(nominal, there) or there

    def _at(self, point: Point, spot: PlaceName) -> Mover | None:
        try:
            return self.movers.at(point, spot)
        except (GeometryError, InputError) as bad:
            where = ", ".join(point)
            said = f"nothing can be put together with another {where}: {bad}"
            if said not in self.refused:
                self.refused.append(said)
            return None
