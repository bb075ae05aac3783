"""Like pairs are solved once: what differs must not be taken for alike; near answers do not hang on what is far."""

import pytest

from geometry.collision.certify import Memory, certify_all
from geometry.collision.mover import Mover
from geometry.kinematics.laws import fixed, spin
from geometry.solids import Box, Cylinder
from tests.geometry.collision.scene import at


def disc_and_wall(radius, away, x=0.0):
    """A disc on an arm of 40 mm that passes a wall: by hand they come within ``away`` - 40 - radius."""
    disc = Mover("disc", spin(at_mm=(x, 0.0, 0.0)), (Cylinder(radius, 4.0, at(z=40.0, axis="x")),))
    wall = Mover("wall", fixed(x_mm=x), (Box((50.0, 10.0, 90.0), at(y=-away - 5.0)),))
    return disc, wall


def test_pairs_that_differ_in_one_number_get_answers_of_their_own():
    asked = [(20.0, 70.0), (20.0, 75.0), (18.0, 70.0), (20.0, 70.0)]
    memory = Memory()
    pairs = [disc_and_wall(radius, away, x=30.0 * k) for k, (radius, away) in enumerate(asked)]
    found = certify_all(pairs, memory=memory)
    for approach, (radius, away) in zip(found, asked, strict=True):
        assert approach.min_mm == pytest.approx(away - 40.0 - radius, abs=1e-6)
    assert len(memory.answers) == 3  # the last is the first, farther along the crank
    assert found[3].at_a_mm[0] - found[0].at_a_mm[0] == pytest.approx(90.0, abs=4.0)


def test_what_is_nearer_than_asked_for_is_found_whatever_is_left_out():
    pairs = [disc_and_wall(20.0, 61.0 + gap) for gap in (0.0, 2.0, 3.5, 4.9, 7.0)]
    found = certify_all(pairs, far_mm=6.0)
    assert [a.bound_only for a in found] == [False] * 4 + [True]
    assert [a.min_mm for a in found[:4]] == pytest.approx([1.0, 3.0, 4.5, 5.9], abs=1e-6)
    assert all(a.within_mm <= 0.01 + 1e-9 for a in found[:4])
    assert 6.0 <= found[4].floor_mm <= 8.0
