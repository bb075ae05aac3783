"""The least number of steps, against walking up one by one."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from geometry.clearance.least import least_from_above, least_steps


def walked(margin, most):
    return next((n for n in range(1, most + 1) if margin(n) >= 0), None)


@given(
    short=st.floats(0.01, 4.0), slope=st.floats(0.05, 1.0), step=st.sampled_from([0.1, 0.127]),
    most=st.integers(1, 80),
)  # fmt: skip
def test_a_straight_line_is_solved_to_the_step(short, slope, step, most):
    def margin(n):
        return slope * step * n - short

    found = least_steps(margin, short, step, most)
    assert found == walked(margin, most)


@example(short=0.0625, slope=0.0625, step=0.1, most=22)
@given(
    short=st.floats(0.01, 4.0), slope=st.floats(0.05, 1.0), step=st.sampled_from([0.1, 0.127]),
    most=st.integers(1, 80),
)  # fmt: skip
def test_from_above_the_answer_holds_and_one_step_less_hardly_does(short, slope, step, most):
    def margin(n):
        return slope * step * n - short

    found = least_from_above(margin, step, most)
    wanted = walked(margin, most)
    assert (found is None) == (wanted is None)
    if found is not None:
        assert margin(found) >= 0
        assert margin(found) < max(slope, 0.7) * step + 1e-9


@given(short=st.floats(0.01, 4.0), bend=st.floats(0.3, 1.5), most=st.integers(20, 60))
def test_a_bent_line_is_solved_to_a_step_that_holds(short, bend, most):
    def margin(n):
        return (short + 1.0) * (n / most) ** bend - short

    found = least_steps(margin, short, (short + 1.0) / 8, most)
    assert found is not None
    assert margin(found) >= 0
    assert found - walked(margin, most) <= 2


def test_what_makes_no_difference_is_given_up_at_once():
    tried = []

    def margin(n):
        tried.append(n)
        return -1.0

    assert least_steps(margin, 1.0, 0.1, 60) is None
    assert len(tried) == 1


def test_what_is_not_enough_at_its_most_is_no_answer():
    assert least_steps(lambda n: 0.05 * n - 4.0, 4.0, 0.1, 60) is None


@pytest.mark.parametrize("short, steps", [(0.30, 3), (0.31, 4)])
def test_rounded_to_the_safe_side(short, steps):
    assert least_steps(lambda n: 0.1 * n - short + 1e-12, short, 0.1, 60) == steps
