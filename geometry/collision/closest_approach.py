"""How near each point of a body's surface comes to everything else over the turn: for colouring, not for limits.

Points are compared with the exact pieces in closed form. Within a step of the turn a point goes no farther, as seen
from a piece, than ``relative`` says, and its distance changes by no more; so steps that cannot beat what is known are
dropped and the others halved, until what a point may go within them is as small as the error asked for. Heaps of
points are asked before single ones: no point of a heap is nearer than its middle by more than the heap's radius. The
best angle of each point is then narrowed, which makes the usual error far smaller than the proved one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry.arrays import Array, Index, Mask
from geometry.collision.broad_phase import Culling
from geometry.collision.clusters import bits, heaps
from geometry.collision.mover import Mover
from geometry.collision.piece_pairs import Items
from geometry.collision.points import PointDistances
from geometry.collision.relative import Relative
from geometry.kinematics.laws import Law, period_deg
from geometry.solids import Hull

FIRST_STEP_DEG = 6.0
ERROR_MM = 0.25
NARROWINGS = 5
COARSE_MM = 8.0
"""How large a heap, and what its points go within a step, may be when it is said what of the others can matter."""
AT_A_TIME = 3000
"""Steps of such heaps that are taken together; in between it is told how far the work has come."""
Told = Callable[[float], None]
"""Told now and then which share of the work is done, 0 to 1; may raise to end it."""


def untold(_share: float) -> None:
    """For who does not ask how far the work has come."""


@dataclass(frozen=True, slots=True, eq=False)
class ApproachMap:
    """Nearest approach of points over the period.

    Attributes
    ----------
    distance_mm : (n,) smallest distance, below zero inside another piece; ``far_mm`` where nothing comes nearer
    crank_deg : (n,) angle at which it happens; nan where nothing comes near
    other : (n,) index of the mover that comes nearest, -1 where none does
    error_mm : proved: the true smallest distance is at most this much below ``distance_mm``
    """

    distance_mm: Array
    crank_deg: Array
    other: Array
    error_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class _Steps:
    """Heaps (n,), pieces (n,) and steps (n,) of the turn that are still open, and how often (n,) those were halved."""

    who: Index
    item: Index
    step: Index
    level: Index

    def take(self, chosen: Index | Mask) -> _Steps:
        """Some of them."""
        return _Steps(self.who[chosen], self.item[chosen], self.step[chosen], self.level[chosen])

    def halved(self) -> _Steps:
        """Both halves of each step."""
        step = np.concatenate([2 * self.step, 2 * self.step + 1])
        return _Steps(np.tile(self.who, 2), np.tile(self.item, 2), step, np.tile(self.level, 2) + 1)

    def parted(self, child: Index) -> _Steps:
        """Both halves of each heap, of which the first is ``child``."""
        who = np.concatenate([child, child + 1])
        return _Steps(who, np.tile(self.item, 2), np.tile(self.step, 2), np.tile(self.level, 2))


def _all_of(steps: Sequence[_Steps]) -> _Steps:
    return _Steps(
        *(np.concatenate([getattr(s, name) for s in steps]) for name in ("who", "item", "step", "level"))
    )


class ClosestApproach:
    """Points of one body against others that move: first what of them can matter, then how near they come.

    Parameters
    ----------
    law : how the body moves
    points_mm : (n, 3) in the frame that the law moves
    others : everything the body is not joined to
    far_mm : distances beyond this are not told apart
    error_mm : proved error to stop at
    kind : (n,) of each point
    meets : (kinds, others) which of the others points of each kind are held against; default all
    """

    def __init__(
        self, law: Law, points_mm: Array, others: Sequence[Mover], far_mm: float,
        error_mm: float = ERROR_MM, kind: Index | None = None, meets: Mask | None = None,
    ) -> None:  # fmt: skip
        points, self.error_mm = np.asarray(points_mm, dtype=float), error_mm
        kind = np.zeros(len(points), dtype=np.intp) if kind is None else kind
        meets = np.ones((1, len(others)), dtype=bool) if meets is None else meets
        self._x_mm, self._items = law.x_mm, Items(_in_reach(law, points, others, far_mm))
        self._period_deg = period_deg(law, *(m.law for m in others))
        self._exact = PointDistances(self._items.piece)
        self._relative = Relative(law, [m.law for m in others], FIRST_STEP_DEG)
        self._heaps = heaps(points, kind, len(meets))
        self._met, self._spared = bits(meets.T), bits(~meets.T)
        self._ways = self._relative.ways(self._heaps.centre)
        count = len(self._heaps.centre)
        self._far_mm = far_mm
        self._found, self._when = np.full(count, np.inf), np.full(count, np.nan)
        self._which = np.full(count, -1)
        steps = self._relative.steps[self._items.law]
        first = np.concatenate([np.arange(k) for k in steps])
        none = np.zeros(first.size, dtype=np.intp)
        self._open = self._run(
            _Steps(none, np.repeat(np.arange(steps.size), steps), first, none), COARSE_MM, 0.0
        )

    @property
    def near(self) -> Index:
        """Which of the others may be what comes nearest to a point, by their numbers."""
        return np.unique(self._items.law[self._open.item])

    def solved(self, told: Told = untold) -> ApproachMap:
        """How near each point comes."""
        self._guess()
        open_ = self._open.take(np.argsort(self._open.who, kind="stable"))
        parts = np.array_split(np.arange(open_.who.size), max(1, open_.who.size // AT_A_TIME))
        for number, part in enumerate(parts):
            told(number / len(parts))
            self._run(open_.take(part), 0.0, self.error_mm)
        for who in self._levels():
            self._hand_down(who, self._heaps.child[who])
        single = np.nonzero(self._heaps.point >= 0)[0]
        self._narrow(single[self._found[single] < self._far_mm])
        near = self._found[single] < self._far_mm
        out = np.empty((3, single.size))
        out[0, self._heaps.point[single]] = self._known(single)
        out[1, self._heaps.point[single]] = np.where(near, self._when[single], np.nan)
        out[2, self._heaps.point[single]] = np.where(near, self._which[single], -1)
        which = out[2].astype(np.intp)
        owner = np.where(which >= 0, self._items.law[np.maximum(which, 0)], -1)
        return ApproachMap(out[0], np.degrees(out[1]) % self._period_deg, owner, self.error_mm)

    def _known(self, who: Index) -> Array:
        """What all points of heaps are known to come as near as."""
        return np.asarray(np.minimum(self._found[who], self._far_mm))

    def _run(self, steps: _Steps, coarse_mm: float, error_mm: float) -> _Steps:
        """Ask steps and their halves until all are decided, or as coarse as this; those are given back."""
        left, heaps_ = [steps.take(steps.who[:0])], self._heaps
        while steps.who.size:
            steps, way = self._asked(steps, error_mm)
            radius = heaps_.radius[steps.who]
            set_by = np.maximum(radius, way) <= coarse_mm
            left.append(steps.take(set_by))
            # points of several kinds at one place are one heap of no size: shorter steps never tell these apart
            least = np.where(heaps_.child[steps.who] < 0, 0.0, self.error_mm / 2)
            halve = ~set_by & (way > np.maximum(radius, least))
            part = steps.take(~set_by & ~halve)
            child = heaps_.child[part.who]
            self._hand_down(part.who, child)
            steps = _all_of([steps.take(halve).halved(), part.parted(child)])
        return _all_of(left)

    def _guess(self) -> None:
        """Try each point where the heap round it came nearest: few of the steps then have anything nearer to show."""
        for who in self._levels():
            child = self._heaps.child[who]
            self._hand_down(who, child)
            halves = np.concatenate([child, child + 1])
            halves = halves[self._which[halves] >= 0]
            self._try(halves, self._when[halves])
        for who in reversed(list(self._levels())):
            child = self._heaps.child[who]
            worse = np.maximum(self._found[child], self._found[child + 1])
            self._found[who] = np.minimum(self._found[who], worse)

    def _levels(self) -> Iterator[Index]:
        """The heaps that have halves, the largest first."""
        who = np.zeros(1, dtype=np.intp)
        while True:
            who = who[self._heaps.child[who] >= 0]
            if not who.size:
                return
            yield who
            child = self._heaps.child[who]
            who = np.concatenate([child, child + 1])

    def _hand_down(self, who: Index, child: Index) -> None:
        """What is known of all points of a heap is known of those of its halves."""
        for half in (child, child + 1):
            better = self._found[who] < self._found[half]
            for column in (self._when, self._which, self._found):
                column[half[better]] = column[who[better]]

    def _asked(self, steps: _Steps, error_mm: float) -> tuple[_Steps, Array]:
        """Steps that may hold something nearer by more than the error, and how far points go within half of each."""
        found = [
            self._of_level(steps.take(steps.level == k), int(k), error_mm) for k in np.unique(steps.level)
        ]
        return _all_of([s for s, _ in found]), np.concatenate([way for _, way in found])

    def _of_level(self, steps: _Steps, level: int, error_mm: float) -> tuple[_Steps, Array]:
        items, heaps_ = self._items, self._heaps
        along = np.maximum(
            items.x0[steps.item] - heaps_.high[steps.who] - self._x_mm,
            heaps_.low[steps.who] + self._x_mm - items.x1[steps.item],
        )
        along = np.maximum(along, 0.0)
        meets = (heaps_.kinds[steps.who] & self._met[items.law[steps.item]]).any(axis=1)
        fits = meets & (along < self._known(steps.who) - error_mm)
        steps, along = steps.take(fits), along[fits]
        there, way = self._relative.seen(
            heaps_.centre[steps.who], self._ways.take(steps.who), items.law[steps.item], steps.step, level
        )
        middle = items.centre[:, steps.item]
        across = np.hypot(there[:, 1] - middle[1], there[:, 2] - middle[2]) - items.disc[steps.item]
        across = np.maximum(across - heaps_.disc[steps.who] - way, 0.0)
        near = np.hypot(along, across) < self._known(steps.who) - error_mm
        steps, there, way = steps.take(near), there[near], way[near]
        radius = heaps_.radius[steps.who]
        found = self._exact.at(steps.item, there, self._known(steps.who) + way + radius)
        self._learn(steps.who, steps.item, self._relative.middle(steps.step, level), found + radius)
        open_ = found - way - radius < self._known(steps.who) - error_mm
        return steps.take(open_), way[open_]

    def _learn(self, who: Index, item: Index, theta: Array, most: Array) -> None:
        """Keep what brings every point of a heap nearer than was found; a heap may occur more than once.

        What is beyond ``far_mm`` is kept too, as a hint of where to try the points of the heap.
        """
        everyone = ~(self._heaps.kinds[who] & self._spared[self._items.law[item]]).any(axis=1)
        better = np.nonzero(everyone & (most < self._found[who]))[0]
        better = better[np.argsort(-most[better], kind="stable")]
        # assignment keeps the last: the nearest
        who = who[better]
        self._found[who], self._when[who], self._which[who] = most[better], theta[better], item[better]

    def _try(self, who: Index, theta: Array) -> None:
        """Hold the middles of heaps against the piece that was nearest to each, at crank angles (n,), rad."""
        item = self._which[who]
        there = self._relative.at(self._heaps.centre[who], self._items.law[item], theta)
        self._learn(who, item, theta, self._exact.at(item, there) + self._heaps.radius[who])

    def _narrow(self, who: Index) -> None:
        """Halve the step around the best angle of single points, against the piece that was nearest there."""
        self._try(who, self._when[who])
        width = np.radians(FIRST_STEP_DEG) / 4
        for _ in range(NARROWINGS):
            centre = self._when[who].copy()
            for theta in (centre - width, centre + width):
                self._try(who, theta)
            width /= 2


def closest_approach(
    law: Law,
    points_mm: Array,
    others: Sequence[Mover],
    far_mm: float = 25.0,
    error_mm: float = ERROR_MM,
) -> ApproachMap:
    """Smallest distance of points (n, 3) of a body to other features over the period: see ``ClosestApproach``."""
    return ClosestApproach(law, points_mm, others, far_mm, error_mm).solved()


def _in_reach(law: Law, points: Array, others: Sequence[Mover], far_mm: float) -> list[Mover]:
    """The same features; those of very many pieces with only the pieces that can come near the points."""
    low, high = points.min(axis=0), points.max(axis=0)
    box = Hull(np.stack(np.meshgrid(*zip(low, high, strict=True)), axis=-1).reshape(-1, 3))
    mine, culling = Mover("points", law, (box,)), Culling(far_mm)
    fewer = [culling.culled(mine, other)[1] for other in others]
    # a feature out of reach keeps one piece, so that the others keep their numbers
    return [
        few if few.pieces else replace(few, pieces=all_.pieces[:1])
        for few, all_ in zip(fewer, others, strict=True)
    ]
