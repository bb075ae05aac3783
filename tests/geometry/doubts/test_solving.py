"""Root search over functions whose roots are known by hand."""

import math

import pytest

from geometry.doubts.solving import EDGE_HALVINGS, NoRoot, solve
from geometry.errors import refused

WIDE = (-1e6, 1e6)


def test_a_square_root():
    assert solve(lambda x: x * x, 2.0, 1.0, WIDE, 0.02).value == pytest.approx(math.sqrt(2.0), rel=1e-9)


def test_of_two_roots_the_nearer_to_the_present_value():
    """x² = 4 at -2 and 2."""
    assert solve(lambda x: x * x, 4.0, 0.5, WIDE, 0.02).value == pytest.approx(2.0)
    assert solve(lambda x: x * x, 4.0, -0.5, WIDE, 0.02).value == pytest.approx(-2.0)


def test_what_is_so_already_is_found_where_it_is():
    assert solve(lambda x: x, 3.0, 3.0, WIDE, 0.02).value == 3.0


def edged(x):
    """An engine up to 1.25 only."""
    if x > 1.25:
        raise refused("--set", "key", "it is too large", "a smaller one")
    return x


def test_a_root_close_to_where_the_engine_ends_is_found():
    assert solve(edged, 1.245, 1.0, WIDE, 0.02).value == pytest.approx(1.245)


def test_where_there_is_none_the_range_reached_is_told_with_the_reason():
    found = solve(edged, 1.4, 1.0, (0.25, 1e6), 0.02)
    assert isinstance(found, NoRoot)
    assert (found.low.value, found.low.answer) == (0.25, 0.25)
    assert found.high.why == "it is too large"
    # the edge is halved EDGE_HALVINGS times from a step of no more than 0.64
    assert 1.25 - 0.64 / 2**EDGE_HALVINGS <= found.high.value <= 1.25
    assert found.high.answer == found.high.value


def test_the_limits_of_the_key_are_reached_and_kept():
    asked = []
    found = solve(lambda x: asked.append(x) or x, 50.0, 1.0, (0.5, 2.0), 0.02)
    assert (found.low.value, found.high.value) == (0.5, 2.0)
    assert all(0.5 <= x <= 2.0 for x in asked)


def test_an_answer_that_does_not_follow_is_called_idle():
    assert solve(lambda x: 7.0, 8.0, 1.0, (0.5, 2.0), 0.02).idle
    assert not solve(lambda x: x, 8.0, 1.0, (0.5, 2.0), 0.02).idle


def test_the_search_sets_out_from_zero_too():
    assert solve(lambda x: x, 0.7, 0.0, WIDE, 0.02).value == pytest.approx(0.7)
