"""The best of all assignments, proved.

A variable stands for every combination that stays within its limits: piston, rod and bore; piston, pin and rod; rod,
shells and bore. Each bore and each part is used once, and the combinations must agree on who meets whom. Written so,
the linear programme without whole numbers nearly gives whole numbers by itself: its bound lies a few percent under the
best assignment. It also gives, for each variable, what its use would cost at least (its reduced cost). So the
mixed-integer solver is asked with the cheap variables alone; what it finds proves itself as soon as no variable left
out could be part of anything better.

Sources: reduced-cost fixing, Nemhauser and Wolsey, *Integer and Combinatorial Optimization*, section II.5 (from
memory); linear programme and integer search are those of HiGHS, by scipy.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, linprog, milp
from scipy.sparse import coo_matrix, csr_matrix

from geometry.arrays import Array, Index
from geometry.matching.columns import COUNTED
from geometry.matching.costs import BORE_LAYER, PIN_LAYER, SHELL_LAYER, Layer, deviations, layers
from geometry.matching.fits import FitTable, Shelf

FIRST_ASKED: Final = 1000
"""Variables that the integer search is first asked with; more are taken in until it is proved."""
PROVED: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Assignment:
    """What goes where.

    Attributes
    ----------
    places : by kind, for each bore in the order of their numbers the place of its part in the file; None where the
        bore is left without
    cost : of the goal
    whatever_the_doubt : every clearance is within its limits whatever the doubt about the sizes
    """

    places: Mapping[str, tuple[int | None, ...]]
    cost: float
    whatever_the_doubt: bool

    @property
    def complete(self) -> bool:
        """No bore is left without a part."""
        return all(place is not None for found in self.places.values() for place in found)


def best(shelf: Shelf) -> Assignment | None:
    """The cheapest assignment with every clearance within its limits; None where there is none.

    Limits hold whatever the doubt where that can be had, else for the sizes as measured.
    """
    for whatever in (True, False):
        found = _solved(shelf, whatever, may_leave=False)
        if found is not None:
            return found
    return None


def most_of(shelf: Shelf) -> Assignment:
    """The assignment that fills as many bores as can be, and the cheapest of those; sizes as measured."""
    found = _solved(shelf, False, may_leave=True)
    assert found is not None, "leaving every bore empty is always possible"
    return found


def _solved(shelf: Shelf, whatever: bool, may_leave: bool) -> Assignment | None:
    places: dict[str, tuple[int | None, ...]] = {}
    cost = 0.0
    for kind, fit in shelf.rings.items():
        found = _rings(fit, shelf.goals[fit.name].weight, whatever, may_leave)
        if found is None:
            return None
        places[kind], more = found
        cost += more
    joint = _Joint(shelf, layers(shelf, whatever), may_leave).solved()
    if joint is None:
        return None
    return Assignment({**joint[0], **places}, cost + joint[1], whatever)


def _rings(
    fit: FitTable, weight: float, whatever: bool, may_leave: bool
) -> tuple[tuple[int | None, ...], float] | None:
    """Rings meet nothing but their bore: the plain assignment problem."""
    allowed = fit.surely_within if whatever else fit.within
    cost = weight * deviations(fit) ** 2
    never = 1.0 + 2 * len(cost) * float(cost[allowed].max(initial=0.0))
    rows, columns = linear_sum_assignment(np.where(allowed, cost, never))
    by_bore: list[int | None] = [None] * cost.shape[1]
    total = 0.0
    for row, column in zip(rows, columns, strict=True):
        if allowed[row, column]:
            by_bore[column] = int(row)
            total += float(cost[row, column])
    return None if None in by_bore and not may_leave else (tuple(by_bore), total)


@dataclass(slots=True)
class _Programme:
    """Variables with costs, and rows that say between what their sums must lie."""

    cost: list[Array] = field(default_factory=list)
    size: int = 0
    rows: int = 0
    low: list[Array] = field(default_factory=list)
    high: list[Array] = field(default_factory=list)
    entries: list[tuple[Index, Index, float]] = field(default_factory=list)

    def variables(self, cost: Array) -> Index:
        """Take in variables; their numbers."""
        numbers = np.arange(self.size, self.size + len(cost))
        self.cost.append(cost)
        self.size += len(cost)
        return numbers

    def sums(self, terms: list[tuple[Index, Index, float]], low: Array, high: Array) -> None:
        """Rows of sums: which of the rows each variable is in, the variables, and their factor."""
        self.entries += [(self.rows + rows, columns, factor) for rows, columns, factor in terms]
        self.low.append(low)
        self.high.append(high)
        self.rows += len(low)

    def solved(self) -> tuple[Array, float] | None:
        """The cheapest choice of variables, 0 or 1 each, and what it costs; None where there is none."""
        if self.size == 0:
            return None
        cost, low, high = (np.concatenate(part) for part in (self.cost, self.low, self.high))
        rows, columns = (np.concatenate([entry[k] for entry in self.entries]) for k in (0, 1))
        factors = np.concatenate([np.full(len(entry[0]), entry[2]) for entry in self.entries])
        matrix = coo_matrix((factors, (rows, columns)), shape=(self.rows, self.size)).tocsr()
        equal = low == high
        whole = linprog(
            cost, A_eq=matrix[equal], b_eq=low[equal], A_ub=matrix[~equal] if (~equal).any() else None,
            b_ub=high[~equal] if (~equal).any() else None, bounds=(0.0, None), method="highs-ds",
        )  # fmt: skip
        if whole.status != 0:
            return None
        reduced = np.maximum(whole.lower.marginals, 0.0)
        room = float(np.sort(reduced)[min(FIRST_ASKED, self.size) - 1])
        while True:
            asked = np.flatnonzero(reduced <= room + PROVED)
            found = _whole(cost[asked], matrix[:, asked], low, high)
            if found is not None and found[1] - whole.fun <= room + PROVED:
                break
            if len(asked) == self.size:
                break
            room = self._more_room(reduced, asked) if found is None else found[1] - float(whole.fun)
        if found is None:
            return None
        chosen = np.zeros(self.size)
        chosen[asked] = found[0]
        return chosen, found[1]

    def _more_room(self, reduced: Array, asked: Index) -> float:
        return float(np.sort(reduced)[min(3 * len(asked), self.size) - 1])


def _whole(cost: Array, matrix: csr_matrix, low: Array, high: Array) -> tuple[Array, float] | None:
    """The integer search among some of the variables."""
    result: Any = milp(
        cost, constraints=LinearConstraint(matrix, low, high), integrality=np.ones(len(cost)),
        bounds=Bounds(0.0, 1.0), options={"mip_rel_gap": 0.0},
    )  # fmt: skip
    return None if result.x is None else (np.round(result.x), float(result.fun))


class _Joint:
    """Pistons, pins, rods and shells together: what they share is who meets whom."""

    def __init__(self, shelf: Shelf, found: Mapping[tuple[str, ...], Layer], may_leave: bool) -> None:
        self.shelf, self.may_leave = shelf, may_leave
        self.bores = len(shelf.numbers)
        self.programme = _Programme()
        bore, shells = found[BORE_LAYER], found[SHELL_LAYER]
        self.grades = self._grades()
        self.few = bool((self.grades < self.bores).any())
        self.pins = found.get(PIN_LAYER)
        self.shells = shells
        cost, allowed = bore.cost, bore.allowed
        if not self.few:  # each rod and bore take the shells that suit them best
            best_shell = np.where(shells.allowed, shells.cost, np.inf).min(axis=1)
            cost = cost + np.where(np.isfinite(best_shell), best_shell, 0.0)[None]
            allowed = allowed & np.isfinite(best_shell)[None]
        self.cost, self.allowed = cost, allowed

    def _grades(self) -> Array:
        """How many pairs of shells there are of each grade; as many as wanted where they are not matched."""
        rows = self.shelf.parts.get(COUNTED)
        return np.array([self.bores] if rows is None else [part.count for part in rows], dtype=float)

    def solved(self) -> tuple[dict[str, tuple[int | None, ...]], float] | None:
        self.piston, self.rod, self.bore = np.nonzero(self.allowed)
        triples = self.programme.variables(self.cost[self.allowed])
        left = self._leaving()
        self._each_bore_once(triples, left)
        for kind, at in (("piston", self.piston), ("rod", self.rod)):
            self._once(kind, at, triples)
        pins = self._pin_rows(triples) if self.pins is not None else None
        shells = self._shell_rows(triples) if self.few else None
        result = self.programme.solved()
        if result is None:
            return None
        chosen, cost = result
        return self._places(chosen, triples, pins, shells), cost - self._fine * float(chosen[left].sum())

    @property
    def _fine(self) -> float:
        """More than all bores together can cost, so that none is left empty for a better fit of others."""
        worst = sum(
            float(layer.cost[layer.allowed].max(initial=0.0))
            for layer in (self.shells, self.pins)
            if layer is not None
        )
        return 1.0 + self.bores * (worst + float(self.cost[self.allowed].max(initial=0.0)))

    def _leaving(self) -> Index:
        return self.programme.variables(np.full(self.bores if self.may_leave else 0, self._fine))

    def _each_bore_once(self, triples: Index, left: Index) -> None:
        terms = [(self.bore, triples, 1.0)]
        terms += [(np.arange(self.bores), left, 1.0)] if len(left) else []
        self.programme.sums(terms, np.ones(self.bores), np.ones(self.bores))

    def _once(self, kind: str, at: Index, variables: Index) -> None:
        """No part twice; every one is used where there are no spare ones."""
        if kind not in self.shelf.parts:
            return
        count = len(self.shelf.parts[kind])
        least = 1.0 if count == self.bores and not self.may_leave else 0.0
        self.programme.sums([(at, variables, 1.0)], np.full(count, least), np.ones(count))

    def _pin_rows(self, triples: Index) -> tuple[Index, Index, Index, Index]:
        assert self.pins is not None
        piston, pin, rod = np.nonzero(self.pins.allowed)
        variables = self.programme.variables(self.pins.cost[self.pins.allowed])
        self._once("pin", pin, variables)
        rods = self.cost.shape[1]
        pairs = np.zeros(self.cost.shape[0] * rods)
        terms = [(self.piston * rods + self.rod, triples, 1.0), (piston * rods + rod, variables, -1.0)]
        self.programme.sums(terms, pairs, pairs)
        return variables, piston, pin, rod

    def _shell_rows(self, triples: Index) -> tuple[Index, Index, Index, Index]:
        rod, shell, bore = np.nonzero(self.shells.allowed)
        variables = self.programme.variables(self.shells.cost[self.shells.allowed])
        pairs = np.zeros(self.cost.shape[1] * self.bores)
        terms = [
            (self.rod * self.bores + self.bore, triples, 1.0),
            (rod * self.bores + bore, variables, -1.0),
        ]
        self.programme.sums(terms, pairs, pairs)
        self.programme.sums([(shell, variables, 1.0)], np.zeros(len(self.grades)), self.grades)
        return variables, rod, shell, bore

    def _places(
        self, chosen: Array, triples: Index, pins: tuple[Index, ...] | None, shells: tuple[Index, ...] | None
    ) -> dict[str, tuple[int | None, ...]]:
        """Which part is in which bore, from the chosen variables."""
        found: dict[str, list[int | None]] = {
            kind: [None] * self.bores
            for kind in ("piston", "pin", "rod", COUNTED)
            if kind in self.shelf.parts
        }
        free: dict[tuple[int, int], list[int]] = {}
        if pins is not None:
            variables, piston, pin, rod = pins
            for k in np.flatnonzero(chosen[variables] > 0.5):
                free.setdefault((int(piston[k]), int(rod[k])), []).append(int(pin[k]))
        for k in np.flatnonzero(chosen[triples] > 0.5):
            piston_at, rod_at, bore_at = int(self.piston[k]), int(self.rod[k]), int(self.bore[k])
            here: dict[str, int] = {"piston": piston_at, "rod": rod_at}
            if pins is not None:
                here["pin"] = free[piston_at, rod_at].pop(0)
            if COUNTED in found:
                here[COUNTED] = self._shell_at(rod_at, bore_at, chosen, shells)
            for kind, place in here.items():
                if kind in found:
                    found[kind][bore_at] = place
        return {kind: tuple(places) for kind, places in found.items()}

    def _shell_at(self, rod_at: int, bore_at: int, chosen: Array, shells: tuple[Index, ...] | None) -> int:
        if shells is None:
            one = np.where(
                self.shells.allowed[rod_at, :, bore_at], self.shells.cost[rod_at, :, bore_at], np.inf
            )
            return int(np.argmin(one))
        variables, rod, shell, bore = shells
        here = (rod == rod_at) & (bore == bore_at) & (chosen[variables] > 0.5)
        return int(shell[np.flatnonzero(here)[0]])
