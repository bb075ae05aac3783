"""Features whose dimensions are only known from .. to: the least gap of two pieces over all of that, along a direction.

Every piece is the hull of circles (``support``). At one crank angle and along one direction n the gap of two pieces is

    gap_n(v) = min over circles k of A, l of B of  f_kl(v),   f_kl = n . (c_l - c_k) - r_l q_l(-n) - r_k q_k(n)

with v the values in doubt: centres, radii and motion hang on them. As long as the doubt is small against the
dimensions, f_kl is a sum of one change for each value, and each changes one way from end to end; then over the box

    min over v of gap_n(v) = min over k, l of [ f_kl(nominal) + sum over i of min(0, change_kl,i) ]

the change being the lesser of those at either end of value i. It is worked out at one end, the farther one, and at the
other it is the same times how far that lies the other way. The sum is exact, not a worst case of both sides by
themselves: where a value moves both (the bore spacing, the stroke), the change is that of the one against the other.

The signed distance is never below gap_n whatever n is, and so its least over the box is never below the least of gap_n.

What is left over
-----------------
How far f_kl is from such a sum is measured, not derived: circles and motion at points with all values off nominal, each
value once either way, and at every corner that is certified are held against the sum of the single changes, and twice
the largest difference is taken off the gap (``remainder``). Between those points nothing is looked at. A value that
gives a piece another number of circles, or a feature another number of pieces, cannot be followed; ``lost`` names it.
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
AXES = ("axis", "first", "second")
LIFTS = ("full_deg", "lift_scale_mm", "lift_shut", "lift_ramp_mm")

Side: TypeAlias = tuple[Index, tuple[Array, Array], Array, Array]
"""Items (m,), middle and half of their sectors (m,), crank angles (m,) in radians, directions (3, m) in E."""


@dataclass(frozen=True, slots=True, eq=False)
class Wavering:
    """One feature in doubt.

    Attributes
    ----------
    mover : at nominal values
    ends : with one value at its farther end, by number of the value, only of those that change it
    """

    mover: Mover
    ends: Mapping[int, Mover]


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """What changes the sides of each pair, a row for each value; pair p has those from start[p] on."""

    start: Index
    coordinate: Index
    a: Index
    b: Index
    """How much is added to the number of an item for its counterpart at the end; zero where nothing changes."""


class Spread:
    """Features in doubt as one table of items: first the nominal ones, then their counterparts at the ends.

    Parameters
    ----------
    features : each with its states at the ends
    scale : (values, 2) what the change at the farther end is to be taken times for the lowest and for the highest:
        one of the two is 1, the other zero or less
    """

    def __init__(self, features: Sequence[Wavering], scale: Array) -> None:
        self.features, self.scale = features, scale
        base = [feature.mover for feature in features]
        self.base_items = sum(len(mover.pieces) for mover in base)
        ends: list[Mover] = []
        self.offset = np.zeros((len(features), len(scale)), dtype=np.intp)
        self.lost: list[int | None] = [None] * len(features)
        """By feature, a value that changes the number of its circles or pieces."""
        first, where = 0, self.base_items
        self.first = np.zeros(len(features), dtype=np.intp)
        for k, feature in enumerate(features):
            self.first[k] = first
            for value, mover in feature.ends.items():
                if not _comparable(feature.mover, mover):
                    self.lost[k] = value
                    continue
                self.offset[k, value] = where - first
                ends.append(mover)
                where += len(mover.pieces)
            first += len(feature.mover.pieces)
        self.items = Items([*base, *ends])
        self.remainder = np.zeros(self.base_items)
        self._paths: dict[int, Array] = {}
        self._measure()

    def _measure(self) -> None:
        """How far each value moves each item: along the crank as a whole, and otherwise."""
        values = len(self.scale)
        self.along = np.zeros((self.base_items, values))
        self.rest = np.zeros((self.base_items, values))
        grown = np.zeros((2, self.base_items, values))
        for k, value in np.argwhere(self.offset).tolist():
            one = self.first[k] + np.arange(len(self.features[k].mover.pieces))
            other = one + self.offset[k, value]
            self.along[one, value], self.rest[one, value] = self._moved(one, other)
            for row, rho in enumerate((self.items.rho, self.items.rho_pin)):
                grown[row, one, value] = np.abs(rho[other] - rho[one])
        rhos = np.stack([self.items.rho, self.items.rho_pin])[:, : self.base_items]
        self.reach_rho = rhos + (grown * np.abs(self.scale).max(axis=1)).sum(axis=2)

    def _moved(self, one: Index, other: Index) -> tuple[Array, Array]:
        """Shift along the crank, and the most that any point moves otherwise, over the turn."""
        items, table = self.items, self.items.table
        own = table.centre[:, :, other] - table.centre[:, :, one]
        along = own[0].mean(axis=0) + items.laws.x[items.law[other]] - items.laws.x[items.law[one]]
        own[0] -= own[0].mean(axis=0)
        body = np.sqrt((own**2).sum(axis=0)) + np.abs(table.radius[:, other] - table.radius[:, one])
        tilt = sum(
            np.linalg.norm(getattr(table, name)[:, other] - getattr(table, name)[:, one], axis=0)
            for name in AXES
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
        both = ((np.abs(along) + rest) * np.abs(self.scale).max(axis=1)).sum(axis=2)
        return np.asarray(both + self.remainder[i][:, None] + self.remainder[j][None])

    def hold_against(self, k: int, mover: Mover, shares: Mapping[int, float]) -> bool:
        """Take into ``remainder`` how far a feature at a point differs from the sum of the single changes.

        Parameters
        ----------
        k : which feature
        mover : the feature with several values off nominal
        shares : by number of the value, how far it is moved: -1 to its lowest, 1 to its highest

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
        axes = [getattr(table, name)[:, one].copy() for name in AXES]
        here = self._path(int(one[0]))
        foreseen = here.copy()
        for value, way in shares.items():
            step, share = self.offset[k, value], abs(way) * self.scale[value, int(way > 0)]
            if step:
                other = one + step
                centre += share * (table.centre[:, :width, other] - table.centre[:, :width, one])
                radius += share * (table.radius[:width, other] - table.radius[:width, one])
                for name, axis in zip(AXES, axes, strict=True):
                    axis += share * (getattr(table, name)[:, other] - getattr(table, name)[:, one])
                foreseen += share * (self._path(int(other[0])) - here)
        out = np.sqrt(((own.centre - centre) ** 2).sum(axis=0)) + np.abs(own.radius - radius)
        tilt = [
            np.linalg.norm(getattr(own, name) - axis, axis=0) for name, axis in zip(AXES, axes, strict=True)
        ]
        out = out + own.radius * sum(tilt)
        law = np.abs(_path_of(there, 0) - foreseen)
        law[3] %= 2 * np.pi
        law[3] = np.minimum(law[3], 2 * np.pi - law[3])
        motion = (np.hypot(law[1], law[2]) + law[0]).max() + law[3].max() * self.items.rho[one]
        self.remainder[one] = np.maximum(self.remainder[one], TWICE * (out.max(axis=0) + motion))
        return True

    def _path(self, item: int) -> Array:
        if item not in self._paths:
            self._paths[item] = _path_of(self.items, item)
        return self._paths[item]

    def remainder_of(self, k: int) -> float:
        """The largest difference from the sum of the single changes of any piece of a feature, mm."""
        return float(self.remainder[self.first[k] + np.arange(len(self.features[k].mover.pieces))].max())

    def rows(self, pairs: Sequence[tuple[int, int]]) -> tuple[Rows, Rows, Rows]:
        """What changes A alone, B alone, and both, of pairs of features."""
        parts: list[list[tuple[Index, Index, Index]]] = [[], [], []]
        for a, b in pairs:
            moves_a, moves_b = (self.offset[k] != 0 for k in (a, b))
            for part, which in zip(
                parts, (moves_a & ~moves_b, moves_b & ~moves_a, moves_a & moves_b), strict=True
            ):
                (chosen,) = np.nonzero(which)
                part.append((chosen, self.offset[a, chosen], self.offset[b, chosen]))
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
        for value, mover in self.features[k].ends.items():
            there, most = mover.law, float(np.abs(self.scale[value]).max())
            throw += most * abs(there.throw_mm - law.throw_mm)
            rod -= most * abs(there.rod_mm - law.rod_mm)
            offset += most * abs(there.offset_mm - law.offset_mm)
            turned = (
                getattr(there, name) - getattr(law, name) for name in ("pin_deg", "bank_deg", "turn_deg")
            )
            slack += most * float(np.radians(sum(map(abs, turned))))
            if any(getattr(there, name) != getattr(law, name) for name in LIFTS):
                slack = 2 * np.pi
        return replace(law, throw_mm=throw, rod_mm=rod, offset_mm=offset), slack


def _path_of(items: Items, item: int) -> Array:
    """Shift and turn (4, angles) of one item's body over two turns of the crank."""
    theta = 4 * np.pi * np.arange(2 * ANGLES) / (2 * ANGLES)
    pose = items.pose(np.full(theta.size, item), theta)
    return np.stack([pose.x, pose.y, pose.z, np.unwrap(np.arctan2(pose.sin, pose.cos))])


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
