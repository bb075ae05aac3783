"""Angles on the ring clock."""

from cmath import exp, phase
from math import degrees, nan, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import GeometryError
from geometry.rings.angles import Arc, gap_deg, hand, separation_deg, signed_deg, wrapped_deg

ANGLES = st.floats(-1000, 1000)


@given(a=ANGLES, b=ANGLES)
def test_separation_is_the_angle_between_two_directions(a, b):
    # Angle between two unit vectors, as complex numbers.
    between = abs(phase(exp(1j * radians(a)) / exp(1j * radians(b))))
    assert separation_deg(a, b) == pytest.approx(degrees(between), abs=1e-6)
    assert separation_deg(a, b) == separation_deg(b, a)


@given(a=ANGLES)
def test_ranges(a):
    assert 0 <= wrapped_deg(a) < 360
    assert -180 < signed_deg(a) <= 180
    assert separation_deg(wrapped_deg(a), signed_deg(a)) == pytest.approx(0, abs=1e-9)


def test_a_tiny_negative_angle_does_not_become_a_full_turn():
    assert wrapped_deg(-1e-20) == 0.0


def test_hands():
    assert hand(90.0) == 1
    assert hand(270.0) == -1


@pytest.mark.parametrize(
    "call",
    [
        lambda: wrapped_deg(nan),
        lambda: hand(45.0),
        lambda: gap_deg(-0.1, 100.0),
        lambda: Arc("x", 0.0, 181.0),
        lambda: Arc("x", nan, 10.0),
    ],
)
def test_impossible_angles_are_refused(call):
    with pytest.raises(GeometryError):
        call()
