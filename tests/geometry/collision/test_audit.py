"""Every lower bound that the search relies on, checked while it works; and the check itself, on false bounds.

Each interval's floor is compared with the gap along the same direction at many angles inside the interval.
A floor above any of them would be a false proof. The same audit must object as soon as the accelerations are
taken 5 percent too small.
"""

import numpy as np
import pytest

from geometry.collision.branch_and_bound import Search, parabola_floor
from geometry.collision.certify import certify_all
from geometry.collision.gjk import PiecePairs
from geometry.collision.mover import Mover
from geometry.collision.nodes import NX, H, T
from geometry.kinematics.laws import LawTable, fixed, piston, rod, spin
from geometry.solids import Box, Cylinder, Hull
from tests.geometry.collision.scene import at, issue_pairs, vee

SAMPLES = np.linspace(-1.0, 1.0, 33)


def spike(y, z):
    """A thin solid with its tip at (y, z), seen along x."""
    return Hull(np.array([[-4.0, y, z], [4.0, y, z], [-4.0, 0.8 * y, 0.8 * z], [4.0, 0.82 * y, 0.78 * z]]))


def extremal_pairs():
    """Pairs whose nearest point swings through a dead centre square to a flat wall: the bound is used up there."""
    roof = Mover("roof", fixed(), (Box((80.0, 300.0, 20.0), at(z=110.0)),))
    head = Mover("head", fixed(), (Box((80.0, 90.0, 20.0), at(z=230.0)),))
    slanted = Mover("wall", fixed(), (Box((80.0, 300.0, 20.0), at(y=-70.0, z=70.0, turn_deg=37.0)),))
    arm = Mover("arm", spin(phase_deg=11.3), (spike(0.0, 80.0),))
    cam = Mover("cam", spin(-1, 0.5, (0, 0, 20.0), 33.0), (spike(40.0, 30.0),))
    crown = Mover("crown", piston(0, 0, 11.3, 44.0, 145.0, 0.8), (Cylinder(30.0, 20.0, at(z=10.0)),))
    cap = Mover("cap", rod(0, 0, 11.3, 44.0, 145.0), (spike(4.0, -34.0),))
    floor = Mover("floor", fixed(), (Box((80.0, 300.0, 20.0), at(z=-100.0)),))
    return [(arm, roof), (arm, slanted), (cam, roof), (crown, head), (cap, floor)]


@pytest.fixture
def audit(monkeypatch):
    """Counts floors checked and floors that are false by more than rounding."""
    seen = {"checked": 0, "false": 0}
    true_floor = Search._floor

    def audited(self, nodes, scene, gap, accel):
        floor = true_floor(self, nodes, scene, gap, accel)
        lowest = np.full(floor.size, np.inf)
        for share in SAMPLES:
            theta = nodes.f[T] + share * nodes.f[H]
            poses = self.items.pose(nodes.a, theta), self.items.pose(nodes.b, theta)
            lowest = np.minimum(lowest, PiecePairs(scene.a, scene.b, *poses).gap(nodes.f[NX:]))
        seen["checked"] += floor.size
        seen["false"] += int((floor > lowest + 1e-9).sum())
        return floor

    monkeypatch.setattr(Search, "_floor", audited)
    return seen


def shrink_accelerations(monkeypatch, share):
    true_bounds = LawTable.bounds

    def short(self, *args):
        speed, accel = true_bounds(self, *args)
        return speed, share * accel

    monkeypatch.setattr(LawTable, "bounds", short)


def test_no_floor_of_an_engine_is_false(audit):
    pairs = issue_pairs(vee(bays=1))
    certify_all(pairs + extremal_pairs(), period_deg=720.0)
    assert audit["checked"] > 10_000
    assert audit["false"] == 0


@pytest.mark.parametrize("index", range(len(extremal_pairs())))
def test_the_audit_objects_to_accelerations_five_percent_too_small(audit, monkeypatch, index):
    shrink_accelerations(monkeypatch, 0.95)
    certify_all([extremal_pairs()[index]], period_deg=720.0)
    assert audit["false"] > 0


def test_the_floor_of_a_parabola_is_its_lowest_point():
    """Against the parabola itself: value, slope and second derivative chosen, minimum by dense sampling."""
    rng = np.random.default_rng(2)
    half, accel = rng.uniform(0.01, 0.5, 500), rng.uniform(0.0, 200.0, 500)
    slope, value = rng.normal(size=500) * 20.0, rng.normal(size=500) * 10.0
    tau = np.linspace(-1, 1, 2001)[:, None] * half
    curve = value + slope * tau + accel * tau**2 / 2
    floor = parabola_floor(curve[0], curve[-1], half, accel)
    assert np.all(floor <= curve.min(axis=0) + 1e-9)
    assert floor == pytest.approx(curve.min(axis=0), abs=1e-4)
