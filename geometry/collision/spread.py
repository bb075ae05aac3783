"""Features whose dimensions are only known from .. to: the least gap of two pieces over all of that, along a direction.

Every piece is the hull of circles (``support``). At one crank angle and along one direction n the gap of two pieces is

    gap_n(v) = min over circles k of A, l of B of  f_kl(v),   f_kl = n . (c_l - c_k) - r_l q_l(-n) - r_k q_k(n)

with v the values in doubt: centres, radii and motion hang on them. As long as the doubt is small against the
dimensions, f_kl is a sum of one change for each value, and each changes one way from end to end; then over the box

    min over v of gap_n(v) = min over k, l of [ f_kl(nominal) + sum over i of min(0, change_kl,i) ]

the change being the lesser of those at either end of value i. It is exact, not a worst case of both sides by
themselves: where a value moves both (the bore spacing, the stroke), the change is that of the one against the other.

The signed distance is never below gap_n whatever n is, and so its least over the box is never below the least of gap_n.

What is left over
-----------------
How far f_kl is from such a sum is measured, not derived: circles and motion at points with all values off nominal are
held against the sum of the single changes, and twice the largest difference is taken off the gap (``remainder``).
Between those points nothing is looked at. A value that gives a piece another number of circles, or a feature another
number of pieces, cannot be followed; ``lost`` names it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from geometry.arrays import Array, Index
from geometry.collision.mover import Mover
from geometry.collision.piece_pairs import Items
from geometry.collision.support import circles_of
from geometry.kinematics.laws import Law

ANGLES = 24
"""Crank angles a turn at which motions are compared."""
BETWEEN = 1.1
"""What a reach found at those angles is taken times, for what lies between them."""
TWICE = 2.0

Side: TypeAlias = tuple[Index, tuple[Array, Array], Array, Array]
"""Items (m,), middle and half of their sectors (m,), crank angles (m,) in radians, directions (3, m) in E."""
Ends: TypeAlias = tuple[Mover | None, Mover | None]
"""A mover with one value at its lowest and at its highest; None where that changes nothing."""


@dataclass(frozen=True, slots=True, eq=False)
class Wavering:
    """One feature in doubt.

    Attributes
    ----------
    mover : at nominal values
    ends : by number of the value, only of those that change it
    """

    mover: Mover
    ends: Mapping[int, Ends]


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """What changes the sides of each pair, two rows (lowest, highest) a value; pair p has those from start[p] on."""

    start: Index
    coordinate: Index
    a: Index
    b: Index
    """How much is added to the number of an item for its counterpart at that end; zero where nothing changes."""


class Spread:
    """Features in doubt as one table of items: first the nominal ones, then their counterparts at either end."""

    def __init__(self, features: Sequence[Wavering], coordinates: int) -> None:
        self.features = features
        base = [feature.mover for feature in features]
        self.base_items = sum(len(mover.pieces) for mover in base)
        ends: list[Mover] = []
        self.offset = np.zeros((len(features), coordinates, 2), dtype=np.intp)
        self.lost: list[int | None] = [None] * len(features)
        """By feature, a value that changes the number of its circles or pieces."""
        first, where = 0, self.base_items
        self.first = np.zeros(len(features), dtype=np.intp)
        for k, feature in enumerate(features):
            self.first[k] = first
            for value, both in feature.ends.items():
                for end, mover in enumerate(both):
                    if mover is None:
                        continue
                    if not _comparable(feature.mover, mover):
                        self.lost[k] = value
                        continue
                    self.offset[k, value, end] = where - first
                    ends.append(mover)
                    where += len(mover.pieces)
            first += len(feature.mover.pieces)
        self.items = Items([*base, *ends])
        self.remainder = np.zeros(self.base_items)
        self._measure()

    def _measure(self) -> None:
        """How far each value moves each item: along the crank as a whole, and otherwise."""
        coordinates = self.offset.shape[1]
        self.along = np.zeros((self.base_items, coordinates, 2))
        self.rest = np.zeros((self.base_items, coordinates, 2))
        self.reach_rho = np.zeros((2, self.base_items))
        for k, value, end in np.argwhere(self.offset).tolist():
            count = len(self.features[k].mover.pieces)
            one = self.first[k] + np.arange(count)
            other = one + self.offset[k, value, end]
            self.along[one, value, end], self.rest[one, value, end] = self._moved(one, other)
        for row, rho in enumerate((self.items.rho, self.items.rho_pin)):
            grown = np.zeros((self.base_items, coordinates, 2))
            for k, value, end in np.argwhere(self.offset).tolist():
                one = self.first[k] + np.arange(len(self.features[k].mover.pieces))
                grown[one, value, end] = np.maximum(rho[one + self.offset[k, value, end]] - rho[one], 0.0)
            self.reach_rho[row] = rho[: self.base_items] + grown.max(axis=2).sum(axis=1)

    def _moved(self, one: Index, other: Index) -> tuple[Array, Array]:
        """Shift along the crank, and the most that any point moves otherwise, over the turn."""
        items, table = self.items, self.items.table
        own = table.centre[:, :, other] - table.centre[:, :, one]
        along = own[0].mean(axis=0) + items.laws.x[items.law[other]] - items.laws.x[items.law[one]]
        own[0] -= own[0].mean(axis=0)
        body = np.sqrt((own**2).sum(axis=0)) + np.abs(table.radius[:, other] - table.radius[:, one])
        tilt = sum(
            np.linalg.norm(getattr(table, name)[:, other] - getattr(table, name)[:, one], axis=0)
            for name in ("axis", "first", "second")
        )
        body = (body + table.radius[:, one] * tilt).max(axis=0)
        theta = 4 * np.pi * np.arange(2 * ANGLES) / (2 * ANGLES)
        every, times = np.repeat(one[:1], theta.size), theta
        here, there = items.pose(every, times), items.pose(np.repeat(other[:1], theta.size), times)
        way = np.hypot(there.y - here.y, there.z - here.z)
        turn = np.hypot(there.cos - here.cos, there.sin - here.sin)
        law = (way[None] + turn[None] * items.rho[one][:, None]).max(axis=1)
        return along, body + BETWEEN * law

    def reach(self, a: int, b: int) -> Array:
        """(pieces of A, pieces of B): the most that any value can bring two pieces of two features nearer or apart."""
        i, j = (self.first[k] + np.arange(len(self.features[k].mover.pieces)) for k in (a, b))
        along = self.along[i][:, None] - self.along[j][None]
        rest = self.rest[i][:, None] + self.rest[j][None]
        both = (np.abs(along) + rest).max(axis=3).sum(axis=2)
        return np.asarray(both + self.remainder[i][:, None] + self.remainder[j][None])

    def hold_against(self, k: int, mover: Mover, shares: Mapping[int, tuple[int, float]]) -> bool:
        """Take into ``remainder`` how far a feature at a point differs from the sum of the single changes.

        Parameters
        ----------
        k : which feature
        mover : the feature with several values off nominal
        shares : by number of the value, to which end (0, 1) it is moved and which share of the way

        Returns
        -------
        Whether it can be compared at all.
        """
        nominal = self.features[k].mover
        if not _comparable(nominal, mover):
            return False
        count = len(nominal.pieces)
        one = self.first[k] + np.arange(count)
        there = Items([mover])
        table, own = self.items.table, there.table
        width = own.centre.shape[1]
        centre, radius = table.centre[:, :width, one].copy(), table.radius[:width, one].copy()
        theta = 4 * np.pi * np.arange(2 * ANGLES) / (2 * ANGLES)

        def pose(items: Items, item: int) -> Array:
            p = items.pose(np.full(theta.size, item), theta)
            return np.stack([p.x, p.y, p.z, np.unwrap(np.arctan2(p.sin, p.cos))])

        here = pose(self.items, int(one[0]))
        foreseen = here.copy()
        for value, (end, share) in shares.items():
            step = self.offset[k, value, end]
            if step:
                other = one + step
                centre += share * (table.centre[:, :width, other] - table.centre[:, :width, one])
                radius += share * (table.radius[:width, other] - table.radius[:width, one])
                foreseen += share * (pose(self.items, int(other[0])) - here)
        out = np.sqrt(((own.centre - centre) ** 2).sum(axis=0)) + np.abs(own.radius - radius)
        law = np.abs(pose(there, 0) - foreseen)
        law[3] %= 2 * np.pi
        law[3] = np.minimum(law[3], 2 * np.pi - law[3])
        motion = (np.hypot(law[1], law[2]) + law[0]).max() + law[3].max() * self.items.rho[one]
        self.remainder[one] = np.maximum(self.remainder[one], TWICE * (out.max(axis=0) + motion))
        return True

    def remainder_of(self, k: int) -> float:
        """The largest difference from the sum of the single changes of any piece of a feature, mm."""
        return float(self.remainder[self.first[k] + np.arange(len(self.features[k].mover.pieces))].max())

    def rows(self, pairs: Sequence[tuple[int, int]]) -> tuple[Rows, Rows, Rows]:
        """What changes A alone, B alone, and both, of pairs of features."""
        parts: list[list[tuple[Index, Index, Index]]] = [[], [], []]
        for a, b in pairs:
            moves_a, moves_b = (self.offset[k].any(axis=1) for k in (a, b))
            for part, which in zip(
                parts, (moves_a & ~moves_b, moves_b & ~moves_a, moves_a & moves_b), strict=True
            ):
                (chosen,) = np.nonzero(which)
                part.append((chosen, self.offset[a, chosen].ravel(), self.offset[b, chosen].ravel()))
        found = []
        for part in parts:
            counts = [chosen.size for chosen, _, _ in part]
            found.append(
                Rows(
                    np.concatenate([[0], np.cumsum(counts)]).astype(np.intp),
                    np.concatenate([chosen for chosen, _, _ in part]).astype(np.intp),
                    np.concatenate([a for _, a, _ in part]).astype(np.intp),
                    np.concatenate([b for _, _, b in part]).astype(np.intp),
                )
            )
        return found[0], found[1], found[2]

    def heights(self, item: Index, sector: tuple[Array, Array], theta: Array, n: Array) -> Array:
        """(k, m) how far each circle of items reaches along n (3, m) in E.

        Parameters
        ----------
        sector : middle and half (m,) of the sector of the nominal item; its counterpart's is cut in the same shares
        """
        pose = self.items.pose(item, theta)
        part = self.items.table.gather(item, *sector)
        local = pose.into(n)
        around, _, _ = part._radial(local)
        c = part.centre
        return np.asarray(
            pose.shift(n) + c[0] * local[0] + c[1] * local[1] + c[2] * local[2] + part.radius * around
        )

    def sector_at(self, item: Index, theta: Array, at: Array) -> tuple[Array, Array]:
        """The sectors of no width that points (3, m) in E lie in, where items (m,) are hollow; else all of the item."""
        table, pose = self.items.table, self.items.pose(item, theta)
        arm = pose.into(at - np.stack([pose.x, pose.y, pose.z])) - table.origin[:, item]
        turn = np.arctan2((arm * table.second[:, item]).sum(axis=0), (arm * table.first[:, item]).sum(axis=0))
        hollow = table.inner[item] > 0
        return np.where(hollow, turn, table.middle[item]), np.where(hollow, 0.0, table.half[item])

    def _sector(self, item: Index, step: Index, middle: Array, half: Array) -> tuple[Array, Array]:
        """The sector of a counterpart that goes with one of the nominal item."""
        table, other = self.items.table, item + step
        share = table.half[other] / table.half[item]
        return table.middle[other] + (middle - table.middle[item]) * share, half * share

    def changes(self, side: Side, here: Array, node: Index, step: Index) -> Array:
        """(k, rows) what the counterparts' circles reach more along n than the nominal ones; zero where no step.

        Parameters
        ----------
        side : item, sector, angle and direction of m nodes
        here : (k, m) what ``heights`` says of them
        node, step : (rows,) which node, and how far its counterpart is
        """
        item, sector, theta, n = side
        out = np.zeros((len(here), node.size))
        (at,) = np.nonzero(step)
        if at.size:
            k = node[at]
            sector = self._sector(item[k], step[at], sector[0][k], sector[1][k])
            there = self.heights(item[k] + step[at], sector, theta[k], n[:, k])
            # pieces of fewer circles than others have their last one once more
            out[: len(there), at] = there - here[: len(there), k]
            out[len(there) :, at] = out[len(there) - 1, at]
        return out

    def enclosing(self, k: int) -> tuple[Law, float]:
        """A motion whose bounds of speed and acceleration hold for a feature all over the box.

        The bounds of ``laws`` rise with throw and offset and fall with the rod's length; where angles change, they are
        taken over intervals wider by as much.

        Returns
        -------
        law, slack_rad : the motion, and by how much intervals must be widened; half a turn and more: over all angles
        """
        law, slack = self.features[k].mover.law, 0.0
        throw, rod, offset = law.throw_mm, law.rod_mm, abs(law.offset_mm)
        for both in self.features[k].ends.values():
            there = [m.law for m in both if m is not None]
            throw += max((max(o.throw_mm - law.throw_mm, 0.0) for o in there), default=0.0)
            rod -= max((max(law.rod_mm - o.rod_mm, 0.0) for o in there), default=0.0)
            offset += max((max(abs(o.offset_mm) - abs(law.offset_mm), 0.0) for o in there), default=0.0)
            turned = [
                abs(o.pin_deg - law.pin_deg) + abs(o.bank_deg - law.bank_deg) + abs(o.turn_deg - law.turn_deg)
                for o in there
            ]
            slack += np.radians(max(turned, default=0.0))
            lifts = [(o.full_deg, o.lift_scale_mm, o.lift_shut, o.lift_ramp_mm) for o in there]
            if any(
                lift != (law.full_deg, law.lift_scale_mm, law.lift_shut, law.lift_ramp_mm) for lift in lifts
            ):
                slack = 2 * np.pi
        return replace(law, throw_mm=throw, rod_mm=rod, offset_mm=offset), float(slack)


def _comparable(one: Mover, other: Mover) -> bool:
    """Whether two states of a feature have circle for circle the same build and move in the same way."""
    laws = (one.law, other.law)
    return (
        len(one.pieces) == len(other.pieces)
        and (laws[0].kind, laws[0].rate, laws[0].sense) == (laws[1].kind, laws[1].rate, laws[1].sense)
        and laws[0].lift_rate == laws[1].lift_rate
        and all(
            type(p) is type(q) and len(circles_of(p).radius_mm) == len(circles_of(q).radius_mm)
            for p, q in zip(one.pieces, other.pieces, strict=True)
        )
    )
