"""The way from places to bounds, with two parts whose closest place jumps: worked by hand."""

from __future__ import annotations

from collections.abc import Mapping
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from geometry.collision.certify import TOLERANCE_MM, Memory, certify
from geometry.collision.mover import Mover
from geometry.collision.spread import Spread, Wavering
from geometry.doubts.box import Coordinate
from geometry.doubts.cases import Case
from geometry.doubts.clearances import BoundedPair, _Clearances
from geometry.kinematics import laws
from geometry.kinematics.poses import translation
from geometry.solids import Box, Cylinder

ALONG_X = np.array([[0.0, 0.0, 1.0, 0.0], [0.0, 1.0, 0.0, 0.0], [-1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]])


def _pin() -> Mover:
    """A pin of radius 10 that goes round at 30."""
    return Mover("pin", laws.spin(), (Cylinder(10.0, 20.0, translation([0.0, 30.0, 0.0]) @ ALONG_X),))


def _walls(*middles: float) -> Mover:
    """Walls 10 thick square to z, with these heights of their middles."""
    walls = (Box((40.0, 200.0, 10.0), translation([0.0, 0.0, z])) for z in middles)
    return Mover("walls", laws.fixed(), tuple(walls))


class _TwoParts(_Clearances):
    """A pin between two walls that are up to ``below`` lower or ``above`` higher together, and a shim that adds."""

    def __init__(self, upper: float, lower: float, below: float, above: float, shim: float) -> None:
        far = above if above >= below else -below
        self.sides = (Coordinate("up", 0.0, -below, above, True), Coordinate("shim", 0.0, -shim, shim, True))
        self.pin = _pin()
        self.known: dict[float, Mover] = {}
        self.middles = (upper, lower)
        nominal = self.walls(0.0)
        self.movers: Any = SimpleNamespace(
            pair_at=lambda point, spots: (self.pin, self.walls(sum(point.values())))
        )
        self.memory = Memory()
        self.refused, self.held, self.lost, self.afield = [], {}, set(), []
        features = [
            Wavering(self.pin, {}),
            Wavering(nominal, {0: self.walls(far), 1: self.walls(shim)} if shim else {0: self.walls(far)}),
        ]
        self.spread = Spread(features, np.array([[-below / far, above / far], [-1.0, 1.0]]))
        near: Any = SimpleNamespace(approach=certify(self.pin, nominal))
        spots: Any = ("pin", "walls")
        self.cases = [Case((near,), spots, 360.0, 0, 1)]

    def walls(self, up: float) -> Mover:
        """The walls with their middles so much higher."""
        if up not in self.known:
            self.known[up] = _walls(*(z + up for z in self.middles))
        return self.known[up]


def _bound(upper: float, lower: float, below: float, above: float, shim: float = 0.0) -> BoundedPair:
    (found,) = _TwoParts(upper, lower, below, above, shim).run()
    return found


def _changes(found: BoundedPair) -> Mapping[float, float]:
    return found.changes["up"]


def test_one_wall_moves_both_ends_by_its_own_reach() -> None:
    """10 at nominal to the upper wall, 40 and more to the lower: 0.3 lower is 9.7, 0.2 higher 10.2."""
    found = _bound(55.0, -95.0, 0.3, 0.2)
    assert found.lowest_mm == pytest.approx(9.7, abs=TOLERANCE_MM + 1e-4)
    assert found.highest_mm == pytest.approx(10.2, abs=TOLERANCE_MM + 1e-4)
    assert found.lowest_mm <= 9.7 <= 10.2 <= found.highest_mm + 1e-4
    assert _changes(found) == pytest.approx({-0.3: -0.3, 0.2: 0.2}, abs=1e-4)
    assert (found.wider_mm, found.told) == (0.0, "")


def test_where_the_closest_place_jumps_the_other_corner_is_certified_too() -> None:
    """10 to the upper wall and 10.2 to the lower; both 0.1 lower, or 0.8 higher.

    From the nominal place lower seems worst, 9.9. Yet 0.8 higher leaves 10.2 - 0.8 = 9.4 to the lower wall. The most is
    10.1, where both are as far, 0.1 higher; the nominal place alone promises 10.8, and that is said.
    """
    found = _bound(55.0, -55.2, 0.1, 0.8)
    assert 9.4 - 2 * TOLERANCE_MM - 1e-4 <= found.lowest_mm <= 9.4 + 1e-9
    assert found.wider_mm == 0.0
    assert found.highest_mm >= 10.1
    assert found.told.startswith("the highest lies between")


def test_what_is_too_little_to_choose_a_corner_by_counts_at_both_ends() -> None:
    """0.0008 thick a shim more or less: 10 - 0.3 - 0.0008 at the least, 10 + 0.2 + 0.0008 at the most."""
    found = _bound(55.0, -95.0, 0.3, 0.2, shim=0.0008)
    assert found.lowest_mm <= 9.6992
    assert found.highest_mm == pytest.approx(10.2008, abs=3e-4)
    assert found.highest_mm >= 10.2008


class _FartherWall(_TwoParts):
    """The shim lifts the farther wall alone, by ``shim`` at most."""

    def walls(self, up: float) -> Mover:
        """The walls with the lower one so much higher."""
        if up not in self.known:
            self.known[up] = _walls(self.middles[0], self.middles[1] + up)
        return self.known[up]


def test_a_wall_that_is_not_the_nearest_at_nominal_values_is_found_by_the_proof() -> None:
    """10 to the upper wall and 14 to the lower, which alone may be 6 higher: 8, by no nominal leaning."""
    (found,) = _FartherWall(55.0, -59.0, 0.001, 0.001, 6.0).run()
    assert found.changes == {}
    assert 8.0 - 2 * TOLERANCE_MM - 0.002 <= found.lowest_mm <= 8.0
    assert (found.wider_mm, found.told) == (0.0, "")
