"""Hot gaps."""

import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import GeometryError
from geometry.rings.gap import DUTIES, RING_NAMES, gap_target
from geometry.rings.hot import DUTY_HEAT, RunningHeat, butting_rise_k, duty_heat, hot_gap, thermal_closing_mm
from geometry.rings.source import Source

GUESS = Source("test", "illustrative")


def test_closing_is_the_first_order_of_the_exact_growth():
    # Exact: circumference pi D (1 + a_b dT_b) less ring length (pi D - g)(1 + a_r dT_r), expanded in the expansions.
    d, g, a_r, a_b, t_r, t_b, e = sympy.symbols("d g a_r a_b t_r t_b e", positive=True)
    exact = sympy.pi * d * (1 + e * a_b * t_b) - (sympy.pi * d - g) * (1 + e * a_r * t_r)
    first_order = sympy.series(g - exact, e, 0, 2).removeO().subs(e, 1)
    values = {d: 101.6, g: 0.4, a_r: 12.3e-6, a_b: 11.4e-6, t_r: 230, t_b: 100}
    ours = thermal_closing_mm(101.6, 12.3e-6, 230, 11.4e-6, 100)
    # The rest is the gap's own share of the ring's growth, 0.4 mm * 12.3e-6 * 230 K.
    assert float(first_order.subs(values)) == pytest.approx(ours, abs=0.4 * 12.3e-6 * 230 * 1.001)


@given(
    gap=st.floats(0.05, 2), bore=st.floats(50, 200), ring=st.floats(9e-6, 14e-6), wall=st.floats(9e-6, 23e-6),
    ring_c=st.floats(50, 350), bore_c=st.floats(20, 180),
)  # fmt: skip
def test_at_the_butting_temperature_no_gap_is_left(gap, bore, ring, wall, ring_c, bore_c):
    first = hot_gap(gap, bore, ring, wall, RunningHeat(ring_c, bore_c, GUESS))
    at_butting = hot_gap(gap, bore, ring, wall, RunningHeat(first.butts_at_ring_c, bore_c, GUESS))
    assert at_butting.hot_gap_mm == pytest.approx(0, abs=1e-9)
    assert first.survives == (first.butts_at_ring_c > ring_c) or abs(first.butts_at_ring_c - ring_c) < 1e-9
    assert first.hot_gap_mm + first.closing_mm == pytest.approx(gap)


def test_a_hotter_ring_closes_and_a_hotter_bore_opens():
    cool = hot_gap(0.4, 100, 11.4e-6, 11.4e-6, RunningHeat(150, 100, GUESS))
    assert hot_gap(0.4, 100, 11.4e-6, 11.4e-6, RunningHeat(200, 100, GUESS)).hot_gap_mm < cool.hot_gap_mm
    assert hot_gap(0.4, 100, 11.4e-6, 11.4e-6, RunningHeat(150, 140, GUESS)).hot_gap_mm > cool.hot_gap_mm


@pytest.mark.parametrize("duty", DUTIES)
@pytest.mark.parametrize("ring", RING_NAMES)
def test_every_duty_has_an_assumption_said_to_be_one(duty, ring):
    heat = duty_heat(duty, ring)
    assert heat.source.text.startswith("illustrative, no source")
    assert heat.bore_c < heat.ring_c <= 350
    # The least gap of a duty leaves something in a grey iron ring at the temperatures assumed for it.
    assert hot_gap(gap_target(101.6, duty, ring).min_mm, 101.6, 11.4e-6, 11.4e-6, heat).survives


def test_temperatures_are_given_for_the_same_duties():
    assert set(DUTY_HEAT) == set(DUTIES)


@pytest.mark.parametrize(
    "call",
    [
        lambda: thermal_closing_mm(0, 11e-6, 100, 11e-6, 100),
        lambda: thermal_closing_mm(100, -1e-6, 100, 11e-6, 100),
        lambda: thermal_closing_mm(100, 11e-6, float("nan"), 11e-6, 100),
        lambda: butting_rise_k(0.4, 100, 0.0, 11e-6, 100),
    ],
)
def test_impossible_numbers_are_refused(call):
    with pytest.raises(GeometryError):
        call()
