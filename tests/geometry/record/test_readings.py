"""What a reading proves: no verdict may hold for some values of the interval and not for others."""

from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.record.entry import ClearanceReading, DepthReading, SizeReading, TorqueReading
from geometry.record.instruments import Instruments
from geometry.record.readings import Interval, around, interval_of, reading_text

THOU = 0.0254
STEPS = st.integers(0, 60)


def state_of(value, least, most):
    """The verdict on a value that is known exactly."""
    if least is not None and value < least:
        return "below"
    return "above" if most is not None and value > most else "within"


@given(STEPS, st.integers(1, 10), STEPS, st.integers(0, 20), st.booleans())
def test_a_verdict_holds_for_every_value_that_the_reading_allows(low, width, least, span, tight):
    # Brute force over the values inside the interval; a tight blade's own thickness is not among them.
    known = Interval(float(low), float(low + width), below_high=tight)
    values = np.linspace(known.low, known.high, 4 * width + 1)
    states = {state_of(value, least, least + span) for value in (values[:-1] if tight else values)}
    expected = states.pop() if len(states) == 1 else "cannot tell"
    found = known.judged(float(least), float(least + span))
    # Values just under the tight blade are not in the sample, so the brute force may be surer than it should be.
    assert found == expected or (tight and known.high > least + span >= values[-2] and found == "cannot tell")


@pytest.mark.parametrize(
    "known, least, most, state",
    [
        (Interval(0.4, 0.4), 0.4, 0.5, "within"),  # limits themselves are allowed
        (Interval(0.5, 0.5), 0.4, 0.5, "within"),
        (Interval(0.3, 0.4), 0.4, 0.5, "cannot tell"),
        (Interval(0.3, 0.4, below_high=True), 0.4, 0.5, "below"),  # tight at 0.4: the gap is less
        (Interval(0.5, 0.6, below_high=True), 0.4, 0.5, "cannot tell"),
        (Interval(0.45, inf, below_high=True), 0.4, None, "within"),  # one blade that goes
        (Interval(0.45, inf, below_high=True), 0.4, 0.5, "cannot tell"),
        (Interval(0.51, inf, below_high=True), 0.4, 0.5, "above"),
        (Interval(-1.0, 9.0), None, None, "within"),
    ],
)
def test_limits_are_allowed_and_a_tight_blade_is_not_reached(known, least, most, state):
    assert known.judged(least, most) == state


def test_a_reading_is_known_to_half_a_step_either_way():
    known = interval_of(SizeReading(value_mm=10.0, resolution_mm=0.02), Instruments(), "micrometer_mm")
    assert (known.low, known.high) == pytest.approx((9.99, 10.01))


def test_an_instrument_stands_in_for_a_resolution_that_is_not_written():
    tools = Instruments(micrometer_mm=0.004, torque_nm=2.0)
    assert interval_of(SizeReading(value_mm=10.0), tools, "micrometer_mm").high == pytest.approx(10.002)
    assert interval_of(TorqueReading(value_nm=60.0), tools, "torque_nm").low == pytest.approx(59.0)


def test_a_clearance_is_never_below_zero_and_a_piston_may_stand_out():
    assert around(0.0, 0.02, 0.0).low == 0.0
    known = interval_of(DepthReading(value_mm=-0.1, resolution_mm=0.02), Instruments(), "depth_gauge_mm")
    assert known.high == pytest.approx(-0.09)


def test_one_blade_that_goes_says_nothing_above_it_unless_the_set_has_steps():
    reading = ClearanceReading(go_mm=0.45)
    assert interval_of(reading, Instruments(), "depth_gauge_mm").high == inf
    stepped = interval_of(reading, Instruments(feeler_mm=0.05), "depth_gauge_mm")
    assert (stepped.low, stepped.high) == pytest.approx((0.45, 0.50))
    assert interval_of(reading, Instruments(), "depth_gauge_mm").middle == 0.45


def test_the_difference_of_two_readings_is_as_wide_as_both():
    gap = around(102.36, 0.01).minus(around(102.28, 0.02))
    assert (gap.low, gap.high) == pytest.approx((0.08 - 0.015, 0.08 + 0.015))


def test_readings_are_spoken_in_the_units_of_the_bench():
    blades = ClearanceReading(go_mm=18 * THOU, tight_mm=19 * THOU)
    assert reading_text(blades, "in") == "18.0 thou goes, 19.0 thou is tight"
    assert reading_text(blades, "mm") == "0.457 mm goes, 0.483 mm is tight"
