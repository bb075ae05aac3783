"""Feeler readings are intervals; verdicts hold for all of them."""

from math import inf

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from geometry.rings.feeler import GapInterval, blades_settle, judge_gap
from geometry.rings.gap import GapTarget
from geometry.rings.source import Source

THOU = 0.0254


def target(least, greatest=None):
    return GapTarget(least, greatest, Source("test", "stated"))


def thou(goes, tight):
    return GapInterval(goes * THOU, tight * THOU)


@pytest.mark.parametrize(
    "goes, tight, state",
    [
        # Target 14 to 20 thou. "18 goes, 19 is tight": the gap is at least 18 and less than 19.
        (18, 19, "within"),
        (14, 15, "within"),
        (13, 14, "below"),
        (13, 15, "cannot_tell"),
        (19, 20, "within"),
        (20, 21, "cannot_tell"),
        (20.5, 21, "above"),
        (19, 22, "cannot_tell"),
        (0, 10, "below"),
        (10, 30, "cannot_tell"),
    ],
)
def test_go_and_tight_pairs(goes, tight, state):
    assert judge_gap(thou(goes, tight), target(14 * THOU, 20 * THOU)).state == state


def test_settling_reading_is_the_limit_inside():
    verdict = judge_gap(thou(13, 15), target(14 * THOU, 20 * THOU))
    assert verdict.settle_mm == pytest.approx((14 * THOU,))
    both = judge_gap(thou(10, 30), target(14 * THOU, 20 * THOU))
    assert both.settle_mm == pytest.approx((14 * THOU, 20 * THOU))


def test_blades_that_are_neighbours_cannot_settle_a_limit_between_them():
    verdict = judge_gap(thou(14, 15), target(14.105 * THOU, 20.15 * THOU))
    assert verdict.state == "cannot_tell"
    assert not blades_settle(verdict, 1 * THOU)
    assert blades_settle(verdict, 0.5 * THOU)
    assert blades_settle(judge_gap(thou(16, 17), target(14 * THOU)), 1 * THOU)


def test_one_figure_alone_has_no_upper_end():
    interval = thou(18, inf)
    assert judge_gap(interval, target(14 * THOU)).state == "within"
    verdict = judge_gap(interval, target(14 * THOU, 20 * THOU))
    assert verdict.state == "cannot_tell"
    assert verdict.settle_mm == pytest.approx((20 * THOU,))


@given(
    lower=st.floats(0, 2), width=st.floats(1e-3, 1), least=st.floats(0, 2), room=st.floats(0, 1),
    share=st.floats(0, 1, exclude_max=True),
)  # fmt: skip
def test_a_verdict_holds_for_every_gap_in_the_interval(lower, width, least, room, share):
    gap = GapInterval(lower, lower + width)
    true_gap = lower + share * width
    assume(true_gap < gap.upper_mm)
    state = judge_gap(gap, target(least, least + room)).state
    kept = least <= true_gap <= least + room
    assert state == "cannot_tell" or kept == (state == "within")
    if state == "below":
        assert true_gap < least
    if state == "above":
        assert true_gap > least + room


@given(lower=st.floats(0, 2), width=st.floats(1e-3, 1), least=st.floats(0, 2), room=st.floats(1e-3, 1))
def test_the_settling_reading_really_splits_the_doubt(lower, width, least, room):
    verdict = judge_gap(GapInterval(lower, lower + width), target(least, least + room))
    for blade in verdict.settle_mm:
        assert lower < blade < lower + width
    if verdict.state == "cannot_tell" and len(verdict.settle_mm) == 1 and lower != least + room:
        blade = verdict.settle_mm[0]
        for half in (GapInterval(lower, blade), GapInterval(blade, lower + width)):
            after = judge_gap(half, target(least, least + room))
            # A gap of exactly the greatest size still counts as good, so the upper half may start on the limit.
            assert after.state != "cannot_tell" or half.lower_mm == least + room
