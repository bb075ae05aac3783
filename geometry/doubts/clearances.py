"""Every clearance over the full turn and over all values in doubt: nominal, lowest, highest, and what it leans on.

How one pair is answered
------------------------
1. Its least distance at nominal values is certified, as ever, with the place: crank angle, pieces, direction.
2. What each value at either end does to the distance at that place, one evaluation each, says which corner of the box
   brings the two nearest and which takes them farthest apart. Pairs that do not want one value at two ends share one.
3. The least distance at both corners is certified by the same search over the whole turn.
4. That nothing in the box is lower than the worst corner is proved (``collision.over_box``), not sampled. Where the
   closest place jumps to another as the values change, the proof does not close and says at which values it does not;
   these are the next corner, and so on, ``ROUNDS`` times. What is open then is told as ``wider_mm``.

Pairs that are one problem all over the box are answered once.

Where it ends
-------------
See ``collision.spread`` for what is measured and not derived. Depths of overlaps are certified at the corners, but not
proved over the box; nor is what does not change evenly with the values (``UNEVEN_MM``), such as a pocket's wall where
another point of it comes nearest. The highest is certified at its corner. Where the sum of the changes at the nominal
place promises more, because another place comes nearest before, that sum is taken; it is no less than what the nominal
place allows, but for the bend of the distance, which is not proved.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from geometry.clearance.full_turn import FullTurn, Near
from geometry.collision.certify import TOLERANCE_MM, certify_all
from geometry.collision.matching import aligned
from geometry.collision.mover import Mover
from geometry.collision.over_box import Question, prove
from geometry.collision.spread import TWICE
from geometry.doubts.at_place import SAME_MM, distances_at, gap_changes
from geometry.doubts.box import DoubtBox
from geometry.doubts.cases import Case, PairsInDoubt, Point
from geometry.doubts.corners import merged
from geometry.errors import GeometryError, InputError

ROUNDS: Final = 3
WIDTH_MM: Final = 0.02
WIDTH_SHARE: Final = 0.1
"""An interval is narrow enough when no more is open at its end than the greater of these: mm, and a share of it."""
ROUNDING_MM: Final = 1e-5
"""What is added to either end for changes too small to be followed (``at_place.SAME_MM``)."""
LITTLE_MM: Final = 0.001
LITTLE_SHARE: Final = 0.01
"""A value that changes a distance by less than either, mm and share of all reaches, is left free where corners are
chosen, so that more pairs share one; the proof counts it all the same."""


@dataclass(slots=True, eq=False)
class BoundedPair:
    """One pair of places under doubt, and all pairs that are the same problem.

    Attributes
    ----------
    near : the pairs, at nominal values
    lowest_mm, highest_mm : what the least distance over the turn may be within the box
    wider_mm : by how much the true interval may be wider
    changes : by key of value, by end: what it makes of the distance at its nominal place, mm
    told : where the method ended, in words
    refused : at which values nothing can be put together, in words; nothing is settled then
    """

    near: tuple[Near, ...]
    lowest_mm: float
    highest_mm: float
    wider_mm: float
    changes: dict[str, dict[float, float]]
    told: str
    refused: str = ""


def clearances_in_doubt(box: DoubtBox, turn: FullTurn | None = None) -> list[BoundedPair]:
    """Every pair that comes near at nominal values, or may come to its limit within the box.

    Parameters
    ----------
    turn : all clearances of the engine at nominal values, where they are known

    Raises
    ------
    GeometryError : it cannot be put together at nominal values
    """
    return _Clearances(box, turn).run()


class _Clearances(PairsInDoubt):
    """The way from places to answers."""

    def run(self) -> list[BoundedPair]:
        """All pairs."""
        self._lean()
        self._lean_unevenly()
        self._certify_corners()
        self._prove()
        return [self._answer(case) for case in self.cases]

    def _uneven(self, case: Case) -> bool:
        """Whether a feature of a pair does not change evenly with the values, so that nothing is proved of it."""
        return bool({case.a, case.b} & self.lost)

    def _lean_unevenly(self) -> None:
        """The same for what does not change evenly: the distance at the same angle, each value moved for itself."""
        asked = []
        for case in self.cases:
            if not self._uneven(case):
                continue
            case.told = "not proved between the corners: a shape does not change evenly with the values"
            for k, side in enumerate(self.sides):
                for value in (side.lowest, side.highest):
                    if value != side.nominal and self._touched(case, k):
                        asked.append((case, k, value))
        pairs = [self._pair_at({self.sides[k].key: value}, case) for case, k, value in asked]
        cranks = [case.near[0].approach.crank_deg for case, _, _ in asked]
        found = distances_at([p for p in pairs if p], [c for c, p in zip(cranks, pairs, strict=True) if p])
        there = iter(found)
        for case, _, _ in asked:
            case.changes = {}
        for (case, k, value), pair in zip(asked, pairs, strict=True):
            if pair is None:
                continue
            change = next(there) - case.near[0].approach.min_mm
            low, high = case.changes.get(k, (0.0, 0.0))
            if abs(change) > SAME_MM:
                case.changes[k] = (change, high) if value == self.sides[k].lowest else (low, change)
        for case in {id(case): case for case, _, _ in asked}.values():
            self._choose(case)

    def _touched(self, case: Case, k: int) -> bool:
        return any(k in self.spread.features[f].ends for f in (case.a, case.b))

    def _pair_at(self, point: Point, case: Case) -> tuple[Mover, Mover] | None:
        a, b = (self._at(point, spot) for spot in case.spots)
        return None if a is None or b is None else (a, b)

    def _lean(self) -> None:
        """What each value does to each pair's distance at its place, and the corners that follow from it."""
        even = [case for case in self.cases if not self._uneven(case)]
        found = gap_changes(
            self.spread, [(case.a, case.b) for case in even], [case.near[0].approach for case in even]
        )
        for case, changes in zip(even, found, strict=True):
            case.changes = changes
            self._choose(case)

    def _choose(self, case: Case) -> None:
        """The corners that follow from what each value does."""
        least = _little(case)
        for value, (below, above) in case.changes.items():
            side = self.sides[value]
            ends = {side.lowest: below, side.highest: above, side.nominal: 0.0}
            low, high = min(ends, key=lambda e: ends[e]), max(ends, key=lambda e: ends[e])
            if ends[low] < -least:
                case.worst[side.key] = low
            if ends[high] > least:
                case.best[side.key] = high

    def _certify_corners(self) -> None:
        asked = [(case, name) for case in self.cases for name in ("worst", "best")]
        shared = merged([getattr(case, name) for case, name in asked])
        for case, name in asked:
            wanted = getattr(case, name)
            setattr(case, name, next(c for c in shared if c.items() >= wanted.items()))
        for case in self.cases:
            case.upper = case.highest = case.near[0].approach.min_mm
            if not self._moved(case):
                case.lower, case.open_ = case.near[0].approach.min_mm, False
        self._certify([(case, case.worst) for case in self.cases if case.open_])
        self._certify([(case, case.best) for case in self.cases if case.open_], proof=False)
        for point, _ in self.afield:
            corner = dict(point)  # one for all, so that a feature is held against it once
            self._certify([(case, corner) for case in self.cases if case.open_ and self._uneven(case)])

    def _moved(self, case: Case) -> bool:
        return any(self.spread.features[k].ends for k in (case.a, case.b))

    def _certify(self, asked: Sequence[tuple[Case, dict[str, float]]], proof: bool = True) -> None:
        """Certify pairs at corners over the whole turn."""
        there = []
        for case, point in asked:
            try:
                pair = self.movers.pair_at(point, case.spots)
            except (GeometryError, InputError) as bad:
                case.told = f"nothing can be put together at its corner: {bad}"
                continue
            if pair is None:
                case.told = "one of the two is not there at its corner"
                continue
            there.append((case, point, pair))
        found = certify_all(
            [pair for _, _, pair in there],
            [case.period for case, _, _ in there],
            TOLERANCE_MM,
            memory=self.memory,
        )
        for (case, point, pair), approach in zip(there, found, strict=True):
            case.asked.append(point)
            case.mismatch = max(case.mismatch, abs(approach.min_mm - self._foreseen(case, point)))
            one, other = (
                aligned(self.spread.features[k].mover, m) for k, m in zip((case.a, case.b), pair, strict=True)
            )
            if one is None or other is None:
                self.lost.add(case.a)
                one, other = pair
            else:
                for k, mover in zip((case.a, case.b), (one, other), strict=True):
                    if (k, id(point)) not in self.held:
                        self.held[k, id(point)] = point
                        self.spread.hold_against(k, mover, self.shares(point))
            pair = one, other
            if approach.min_mm < case.upper:
                case.upper = approach.min_mm
                case.corners.insert(0, pair)
            elif proof:
                case.corners.append(pair)
            case.highest = max(case.highest, approach.min_mm)

    def _foreseen(self, case: Case, point: Point) -> float:
        """What the sum of the single changes makes of a distance at a point."""
        ways = (
            (case.changes[k][int(way > 0)], abs(way))
            for k, way in self.shares(point).items()
            if k in case.changes
        )
        return case.near[0].approach.min_mm + sum(change * share for change, share in ways)

    def _prove(self) -> None:
        """Prove the lower ends; where a proof does not close, certify the corner that it names, and prove again."""
        for _ in range(ROUNDS):
            cases = [case for case in self.cases if self._provable(case)]
            if not cases:
                return
            questions = [Question(c.a, c.b, c.period, c.corners, c.upper) for c in cases]
            more = []
            for case, proved in zip(cases, prove(self.spread, questions, TOLERANCE_MM), strict=True):
                case.lower = proved.lower_mm
                corner = {
                    self.sides[v].key: (self.sides[v].lowest, self.sides[v].highest)[end]
                    for v, end in proved.corner.items()
                }
                # of what is taken off for the remainder nothing can be won back
                lost = self.spread.remainder_of(case.a) + self.spread.remainder_of(case.b)
                case.open_ = self._gap(case) > TOLERANCE_MM + lost + SAME_MM and corner not in case.asked
                if case.open_:
                    more.append((case, corner))
            self._certify(more)

    def _provable(self, case: Case) -> bool:
        if not case.open_:
            return False
        if self._uneven(case) or case.upper <= 0.0:
            return False
        return bool(case.corners)

    def _gap(self, case: Case) -> float:
        return case.upper - case.lower

    def _answer(self, case: Case) -> BoundedPair:
        nominal = case.near[0].approach
        changes = {
            self.sides[k].key: {self.sides[k].lowest: below, self.sides[k].highest: above}
            for k, (below, above) in case.changes.items()
        }
        most = nominal.min_mm + sum(max(*both, 0.0) for both in case.changes.values())
        left_free = sum(up for both in case.changes.values() if 0.0 < (up := max(both)) <= _little(case))
        case.highest = max(case.highest, min(most, case.highest + left_free))
        if np.isfinite(case.lower):
            width = max(WIDTH_MM, WIDTH_SHARE * (case.highest - case.upper))
            told = (
                f"the lowest is reached to within {self._gap(case):.2g} mm only"
                if self._gap(case) > width
                else ""
            )
            allowed = ROUNDING_MM if self._moved(case) else 0.0
            if most - case.highest > width:
                # another place comes nearest on the way there: somewhere in between it may be farther
                told = told or f"the highest lies between {case.highest:.3f} and {most:.3f} mm"
                case.highest = most
            uneven = (self.spread.remainder_of(case.a) + self.spread.remainder_of(case.b)) / TWICE
            ends = case.lower - allowed, case.highest + allowed + uneven
            return BoundedPair(case.near, *ends, 0.0, changes, case.told or told, self._refused())
        foreseen = nominal.min_mm + sum(min(*both, 0.0) for both in case.changes.values())
        told = case.told or (
            "the depth is not proved between the corners" if case.upper <= 0.0 else "not proved"
        )
        lowest = case.upper - min(nominal.within_mm, TOLERANCE_MM)
        wider = max(lowest - foreseen, case.mismatch, 0.0)
        return BoundedPair(case.near, lowest, case.highest, wider, changes, told, self._refused())

    def _refused(self) -> str:
        return "; ".join(self.refused[:2])


def _little(case: Case) -> float:
    """What a value changes by no more than this leaves it free where corners are chosen, mm."""
    return min(LITTLE_MM, LITTLE_SHARE * sum(max(map(abs, both)) for both in case.changes.values()))
