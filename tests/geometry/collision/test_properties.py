"""Any assembly: the certified interval holds what brute force finds."""

import numpy as np
import pytest
from hypothesis import given, settings

from geometry.collision.broad_phase import reach_bounds
from geometry.collision.certify import certify
from geometry.collision.distance_curve import distance_curve
from geometry.collision.support import circles_of
from geometry.kinematics.laws import period_deg
from tests.geometry.collision.collision_library import library_distance, shape_of
from tests.geometry.collision.strategies import movers, rings

STEP_DEG = 2.0


@settings(max_examples=15)
@given(movers(), movers())
def test_the_interval_holds_the_minimum_of_a_fine_sweep(a, b):
    period = period_deg(a.law, b.law)
    found = certify(a, b, period)
    sweep = distance_curve(a, b, np.arange(0.0, period, STEP_DEG), accuracy_mm=0.01)
    # cylinders run into each other along one axis have no shortest way out: their search may be cut short
    assert found.within_mm <= (0.01 + 1e-9 if found.min_mm > 0 else 0.1)
    assert found.min_mm - found.within_mm <= sweep.distance_mm.min() + 1e-6
    assert found.min_mm <= sweep.distance_mm.min() + found.within_mm + 1e-6
    there = distance_curve(a, b, [found.crank_deg]).distance_mm[0]
    assert there == pytest.approx(found.min_mm, abs=max(0.006, found.within_mm))
    if found.min_mm > 0:
        assert np.linalg.norm(found.at_b_mm - found.at_a_mm) == pytest.approx(found.min_mm, abs=1e-3)


@settings(max_examples=10)
@given(movers(), movers(rings))
def test_hollow_pieces_too(a, b):
    period = period_deg(a.law, b.law)
    found = certify(a, b, period)
    sweep = distance_curve(a, b, np.arange(0.0, period, 4.0), accuracy_mm=0.01)
    wall = min(float(np.ptp(piece.profile_mm[:, 0])) for piece in b.pieces)
    if sweep.distance_mm.min() < -wall:
        # driven in deeper than its own wall: that they overlap is certain, how deep is not (see ``Approach``)
        assert found.min_mm < 0
        return
    assert found.min_mm - found.within_mm <= sweep.distance_mm.min() + 1e-6
    if found.min_mm > 0:
        assert found.within_mm <= 0.01 + 1e-9
        there = distance_curve(a, b, [found.crank_deg]).distance_mm[0]
        assert found.min_mm - found.within_mm - 1e-6 <= there <= found.min_mm + 2e-3


@settings(max_examples=20)
@given(movers(), movers())
def test_no_distance_of_the_collision_library_falls_below_the_floor(a, b):
    """The library's nearest points are points of the pieces: its distance is never below the true one."""
    period = period_deg(a.law, b.law)
    found = certify(a, b, period)
    shapes = [[shape_of(p, circles_of(p), 0.0, np.pi) for p in m.pieces] for m in (a, b)]
    lowest = np.inf
    angles = np.arange(0.0, period, 2.0)
    poses = [m.law.poses(angles) for m in (a, b)]
    for k in range(angles.size):
        for p in shapes[0]:
            for q in shapes[1]:
                lowest = min(lowest, library_distance(p, q, poses[0][k], poses[1][k])[0])
    assert found.min_mm - found.within_mm <= lowest + 1e-3


@settings(max_examples=40)
@given(movers(), movers())
def test_a_pruned_pair_is_as_far_as_its_bound_says(a, b):
    period = period_deg(a.law, b.law)
    bound = reach_bounds([a, b])[0, 1]
    sweep = distance_curve(a, b, np.arange(0.0, period, 5.0), accuracy_mm=0.01)
    assert bound <= sweep.distance_mm.min() + 1e-6
