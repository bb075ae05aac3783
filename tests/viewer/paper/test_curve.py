"""The drawing of a distance: its least is told, and what matters is seen whatever the distance does elsewhere."""

import numpy as np
import pytest

from geometry.clearance.limits import Limit
from viewer.paper.curve import draw_curve, window_of

DEG = np.arange(0.0, 361.0)
LIMIT = Limit("x", 1.27, "0.050 in, common practice, no source")


def swinging(low, high, at=120.3):
    """A distance that is least at one angle, and its least point."""
    return low + (high - low) * (1 - np.cos(np.radians(DEG - at))) / 2, (at, low)


def large_of(curve, least, system="mm", **more):
    figure = draw_curve("A to B", DEG, curve, least, LIMIT, system, **more)
    return figure, figure.axes[-1], [text.get_text() for text in figure.axes[-1].texts]


@pytest.mark.parametrize(
    "low, high", [(10.0, 10.5), (2.0, 2.5), (1.0, 1.5), (0.2, 120.0), (2.2, 94.0), (31.0, 140.0)]
)
def test_neither_curve_nor_what_is_left_of_the_limit_is_flat(low, high):
    curve, least = swinging(low, high)
    figure, large, texts = large_of(curve, least)
    bottom, top = large.get_ylim()
    left, right = large.get_xlim()
    seen = curve[(left <= DEG) & (right >= DEG)]
    assert (np.clip(seen, bottom, top).max() - low) / (top - bottom) > 0.2
    assert left < least[0] < right
    assert bottom < low < top
    if bottom < LIMIT.least_mm:  # the limit is in the same picture: told apart from the least
        assert abs(low - LIMIT.least_mm) / (top - bottom) > 0.05
    else:  # or told in words, and seen in the small one over it
        assert "below this part" in " ".join(texts)
        small = figure.axes[0]
        assert small.get_ylim()[0] < LIMIT.least_mm < small.get_ylim()[1]
    assert any(text.startswith("limit 1.270 mm (0.050 in, common practice, no source)") for text in texts)


@pytest.mark.parametrize(
    "low, system, words",
    [
        (2.27, "mm", "least 2.270 mm at 120.3°\n1.000 mm more than its limit"),
        (0.77, "mm", "least 0.770 mm at 120.3°\n0.500 mm short of its limit"),
        (-2.54, "in", "overlaps by 0.1000 in at 120.3°\n0.1500 in short of its limit"),
    ],
)
def test_the_least_point_says_value_angle_and_what_is_left(low, system, words):
    curve, least = swinging(low, 90.0)
    _, large, texts = large_of(curve, least, system)
    assert words in texts
    (point,) = [line for line in large.lines if line.get_marker() == "o"]
    unit = 25.4 if system == "in" else 1.0
    assert (point.get_xdata()[0], point.get_ydata()[0]) == pytest.approx((120.3, low / unit))
    assert large.get_ylabel() == f"distance, {system}"


def test_what_rests_on_assumed_values_says_so():
    figure, _, texts = large_of(*swinging(2.27, 90.0), assumed="3 of 90 values are assumed")
    assert "3 of 90 values are assumed" in figure.get_suptitle()
    assert any("1.000 mm more than its limit, as assumed" in text for text in texts)


def test_a_distance_that_never_changes_is_told_for_every_angle():
    _, large, texts = large_of(np.full(361, 1.5), (17.0, 1.5))
    assert "least 1.500 mm at every angle\n0.230 mm more than its limit" in texts
    assert large.get_ylim()[0] < LIMIT.least_mm


def test_the_turn_is_drawn_whole_where_all_of_it_is_near():
    curve, least = swinging(1.5, 3.0)
    window = window_of(DEG, curve, least, 1.27)
    assert (window.from_deg, window.to_deg, window.whole) == (0.0, 360.0, True)
