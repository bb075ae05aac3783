"""A bolt as springs in a row, worked by hand, and the same both ways."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.bolting.joint import member_stiffness_n_mm
from geometry.bolting.stretch import Spring, compliance_mm_n, load_n, load_of_turn_n, stretch_mm, turn_deg

SPRINGS = [Spring(20.0, 50.0), Spring(10.0, 40.0), Spring(5.0, 60.0)]


def test_lengths_in_a_row_by_hand():
    # 20/50 + 10/40 + 5/60 = 0.4 + 0.25 + 0.0833.. per mm, by E 200 000: 30 kN make it 0.11 mm longer.
    compliance = compliance_mm_n(SPRINGS, 200_000.0)
    assert stretch_mm(30_000.0, compliance) == pytest.approx(0.7333333333 * 30_000 / 200_000, rel=1e-9)
    assert stretch_mm(30_000.0, compliance) == pytest.approx(0.110, abs=5e-4)


def test_necked_down_to_half_its_area_over_half_its_length_it_gives_half_as_much_again():
    whole, necked = [Spring(40.0, 60.0)], [Spring(20.0, 60.0), Spring(20.0, 30.0)]
    assert compliance_mm_n(necked) == pytest.approx(1.5 * compliance_mm_n(whole))


@given(st.floats(1.0, 2e5), st.floats(1e-7, 1e-4), st.floats(1e-8, 1e-4), st.floats(0.5, 3.0))
def test_what_a_load_does_gives_the_load_back(load, compliance, members, pitch):
    assert load_n(stretch_mm(load, compliance), compliance) == pytest.approx(load)
    turn = turn_deg(load, pitch, compliance, members)
    assert load_of_turn_n(turn, pitch, compliance, members) == pytest.approx(load)


def test_turn_of_the_nut_by_its_definition():
    # One turn closes a gap of one pitch: what the bolt gets longer and the parts get thinner fill it.
    compliance, members = compliance_mm_n(SPRINGS), 1.0 / member_stiffness_n_mm(10.0, 35.0)
    load = 25_000.0
    moved = load * compliance + load * members
    assert turn_deg(load, 1.25, compliance, members) == pytest.approx(moved / 1.25 * 360.0)
    assert moved > load * compliance > 0.0
    assert math.isclose(
        turn_deg(load, 2.5, compliance, members) * 2, turn_deg(load, 1.25, compliance, members)
    )
