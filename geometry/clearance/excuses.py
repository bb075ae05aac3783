"""Why two places are no clearance: one table, a row for each reason, decided on what the parts say of themselves.

Whether two places stand still to each other follows from their motion alone. Everything else is asked of typed
data: the group, the running fits, the bores that stand between. No name decides. An engine has tens of thousands of
two places, so each row is asked of all of them at once, on columns of what the places say.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final, TypeAlias

import numpy as np

from geometry.arrays import Index, Mask
from geometry.assembly import Assembly
from geometry.clearance.place import Place
from geometry.feature import Fit, Group, Seat
from geometry.kinematics.laws import rest_class

MEASURED_WIDER_MM: Final = 0.25
"""How much wider to either side than written a measured rod may be and still be called beside its neighbour."""
SLIP_MM: Final = 1e-6
_NUMBER: Final = {group: number for number, group in enumerate(Group)}
_NONE: Final = -1
"""Stands for the bore of what belongs to none: the last column of ``behind``, which is empty."""


class PlaceColumns:
    """What n places say of themselves, as columns.

    Attributes
    ----------
    group, bore, partner : (n,) numbers; that of no bore is none of an engine's
    still : (n,) places of one number stand still to each other
    x_mm : (2, n) lowest and highest along the crank
    middle_mm : (n,) where the bore of each stands along the crank; nan without
    half_mm : half the width of a big end
    within : (n,) whether it is no wider than the big end of its bore's rod, so that the faces of that keep it clear
    behind : (n, bores) whether the wall of a bore stands before it
    unsaid : (n, groups) groups towards which its metal is none of the engine file's
    """

    def __init__(self, assembly: Assembly, places: Sequence[Place]) -> None:
        sites = {site.bore: site for site in assembly.layout.bores}
        own = [None if p.body.bore is None else sites[p.body.bore] for p in places]
        self.bore = np.array([_NONE if site is None else site.bore for site in own])
        self.partner = np.array([_NONE - 1 if s is None or s.partner is None else s.partner for s in own])
        self.middle_mm = np.array([np.nan if site is None else site.x_mm for site in own])
        self.group = np.array([_NUMBER[p.group] for p in places])
        classes: dict[object, int] = {}
        self.still = np.array([classes.setdefault(rest_class(p.law), len(classes)) for p in places])
        self.x_mm = np.array([p.x_mm for p in places]).T
        self.half_mm = assembly.spec.rod.big_end.width_mm / 2
        room = self.half_mm + SLIP_MM + MEASURED_WIDER_MM * np.array([p.surface for p in places])
        self.within = (self.middle_mm - room <= self.x_mm[0]) & (self.x_mm[1] <= self.middle_mm + room)
        self.behind = np.zeros((len(places), max(sites) + 2), dtype=bool)
        self.unsaid = np.zeros((len(places), len(Group)), dtype=bool)
        for k, place in enumerate(places):
            self.behind[k, list(place.of.behind)] = True
            if place.of.unsaid is not None:
                self.unsaid[k, [_NUMBER[group] for group in place.of.unsaid.towards]] = True
        seats: dict[Seat, int] = {}
        self._runs_in = _marks([p.runs_in for p in places], seats)
        self._seat_of = _marks([p.seat_of for p in places], seats)
        self._seats = list(seats)

    def of(self, group: Group) -> Mask:
        """Whether each is of a group, (n, 1): the first of two."""
        return np.asarray(self.group == _NUMBER[group])[:, None]

    def runs_in(self, fit: Fit) -> Mask:
        """Whether each runs in each by a fit, (n, n)."""
        own = [k for k, seat in enumerate(self._seats) if seat.fit is fit]
        runs, seat = (_columns(pairs, own, self.group.size) for pairs in (self._runs_in, self._seat_of))
        return np.asarray(runs @ seat.T)

    def bored_in(self) -> Mask:
        """Whether the second of two is the wall of the first one's own bore, (n, n)."""
        walls = np.zeros_like(self.behind)
        place, seat = self._seat_of
        for k, number in zip(place, seat, strict=True):
            if self._seats[number].fit is Fit.BORE:
                walls[k, self._seats[number].number] = True
        return np.asarray(walls[:, self.bore].T)


_Marks: TypeAlias = tuple[list[int], list[int]]
"""Which place has which seat: their numbers, side by side."""


def _marks(fits: Sequence[frozenset[Seat]], seats: dict[Seat, int]) -> _Marks:
    """The seats of places, numbered by ``seats``, which is added to."""
    found = [(k, seats.setdefault(seat, len(seats))) for k, own in enumerate(fits) for seat in own]
    return [k for k, _ in found], [number for _, number in found]


def _columns(marks: _Marks, own: Sequence[int], count: int) -> Mask:
    """Whether each place has each of some seats, (count, seats)."""
    column = {number: k for k, number in enumerate(own)}
    out = np.zeros((count, len(own)), dtype=bool)
    for place, number in zip(*marks, strict=True):
        if number in column:
            out[place, column[number]] = True
    return out


Holds: TypeAlias = Callable[[PlaceColumns], Mask]


@dataclass(frozen=True, slots=True)
class Excuse:
    """One reason why two places are no clearance.

    Attributes
    ----------
    reason : in words
    holds : of which two it is so, (n, n) or (n, 1) for all the others; either order of the two will do
    detail : what more is said of the two; the reason alone where it says nothing
    """

    reason: str
    holds: Holds
    detail: Callable[[Place, Place], str] = lambda a, b: ""

    def words(self, a: Place, b: Place) -> str:
        """The reason of two places."""
        detail = self.detail(a, b)
        return f"{self.reason}: {detail}" if detail else self.reason


def _still(facts: PlaceColumns) -> Mask:
    return np.asarray(facts.still[:, None] == facts.still)


def _is(group: Group, facts: PlaceColumns) -> Mask:
    return facts.of(group)


def _runs_in(fit: Fit, facts: PlaceColumns) -> Mask:
    return facts.runs_in(fit)


def _undescribed(facts: PlaceColumns) -> Mask:
    return np.asarray(facts.unsaid[:, facts.group])


def _what_is_undescribed(a: Place, b: Place) -> str:
    for one, other in ((a, b), (b, a)):
        if one.of.unsaid is not None and other.group in one.of.unsaid.towards:
            return one.of.unsaid.what
    return ""


def _behind_own_wall(facts: PlaceColumns) -> Mask:
    return np.asarray(facts.of(Group.PISTON) & facts.behind[:, facts.bore].T)


def _behind_wall_below(facts: PlaceColumns) -> Mask:
    return np.asarray(facts.of(Group.VALVE) & facts.behind[:, facts.bore].T & ~facts.bored_in())


def _pockets(facts: PlaceColumns) -> Mask:
    both = facts.of(Group.PISTON) & facts.of(Group.VALVE).T
    return np.asarray(both & (facts.bore[:, None] == facts.bore))


def _beside_own_cheek(facts: PlaceColumns) -> Mask:
    front = facts.x_mm[1] <= facts.middle_mm[:, None] - facts.half_mm + 2 * SLIP_MM
    rear = facts.x_mm[0] >= facts.middle_mm[:, None] + facts.half_mm - 2 * SLIP_MM
    return np.asarray(facts.runs_in(Fit.CHEEKS) & facts.within[:, None] & (front | rear))


def _side_by_side(facts: PlaceColumns) -> Mask:
    rods = facts.of(Group.ROD) & facts.within[:, None]
    return np.asarray(rods & rods.T & (facts.bore == facts.partner[:, None]))


EXCUSES: Final = (
    Excuse("they stand still to each other", _still),
    Excuse("a ring, held by its groove and its bore", partial(_is, Group.RING)),
    Excuse("a bearing shell, held between rod and crankpin", partial(_is, Group.SHELL)),
    Excuse("a shaft in its bearing: an oil clearance", partial(_runs_in, Fit.MAIN_BEARING)),
    Excuse("a shaft in its bearing: an oil clearance", partial(_runs_in, Fit.CAM_BEARING)),
    Excuse("the piston runs in this bore: a fit", partial(_runs_in, Fit.BORE)),
    Excuse("behind the wall of the bore that the piston runs in", _behind_own_wall),
    Excuse("valve pockets are hollow: see the crown under each valve", _pockets),
    Excuse(
        "the valve in its seat and guide: the file does not give the chamber's shape",
        partial(_runs_in, Fit.VALVE),
    ),
    Excuse("behind the wall of the bore that the valve stands over", _behind_wall_below),
    Excuse("the rod on its piston pin: a fit", partial(_runs_in, Fit.PISTON_PIN)),
    Excuse("the small end between its pin bosses: side float", partial(_runs_in, Fit.BOSSES)),
    Excuse("the rod on its own crankpin: an oil clearance", partial(_runs_in, Fit.CRANKPIN)),
    Excuse("the rod beside its own cheek: see rods on their pins", _beside_own_cheek),
    Excuse("two rods side by side on one pin: see rods on their pins", _side_by_side),
    Excuse("metal that the engine file does not describe", _undescribed, _what_is_undescribed),
)


def excused(assembly: Assembly, places: Sequence[Place]) -> Index:
    """The row of ``EXCUSES`` that holds first of any two places, (n, n); -1 where the two are a clearance."""
    facts = PlaceColumns(assembly, places)
    row = np.full((len(places), len(places)), -1)
    for number, excuse in reversed(list(enumerate(EXCUSES))):
        holds = excuse.holds(facts)
        row[holds | holds.T] = number
    return row


def no_clearance(assembly: Assembly, a: Place, b: Place) -> str | None:
    """Why two places are no clearance, in the words of the first row that holds; None when they are one."""
    row = int(excused(assembly, (a, b))[0, 1])
    return None if row < 0 else EXCUSES[row].words(a, b)
