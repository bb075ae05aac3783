"""Bores as measured."""

from dataclasses import replace
from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ellipe

from geometry.errors import GeometryError
from geometry.rings.bore import BoreSurvey, gap_along_bore, gap_at
from geometry.rings.feeler import GapInterval

WORN = BoreSurvey((12.0, 50.0, 95.0), (100.08, 100.05, 100.01), (100.12, 100.04, 100.02), 0.01)


@st.composite
def surveys(draw):
    count = draw(st.integers(1, 6))
    steps = draw(st.lists(st.floats(1, 30), min_size=count, max_size=count))
    sizes = st.lists(st.floats(99.9, 100.2), min_size=count, max_size=count)
    return BoreSurvey(tuple(np.cumsum(steps)), tuple(draw(sizes)), tuple(draw(sizes)))


@pytest.mark.parametrize("diameter, oval", [(80.0, 0.2), (100.0, 0.1), (120.0, 0.2)])
def test_the_mean_diameter_stands_for_an_oval(diameter, oval):
    # Circumference of an ellipse by the complete elliptic integral of the second kind.
    a, b = (diameter + oval) / 2, diameter / 2
    exact = 4 * a * ellipe(1 - (b / a) ** 2)
    survey = BoreSurvey((10.0,), (2 * a,), (2 * b,))
    assert pi * float(survey.diameter_mm(10.0)) == pytest.approx(exact, abs=1.0e-4)


def test_diameter_between_readings_and_beyond_them():
    assert float(WORN.diameter_mm(12.0)) == pytest.approx(100.10)
    assert float(WORN.diameter_mm(31.0)) == pytest.approx((100.10 + 100.045) / 2)
    assert float(WORN.diameter_mm(0.0)) == pytest.approx(100.10)
    assert float(WORN.diameter_mm(200.0)) == pytest.approx(100.015)


@given(survey=surveys(), top=st.floats(0, 60), length=st.floats(0, 120))
def test_the_smallest_place_is_smallest(survey, top, length):
    depth, diameter = survey.smallest(top, top + length)
    assert top <= depth <= top + length
    swept = survey.diameter_mm(np.linspace(top, top + length, 2001))
    assert diameter <= swept.min() + 1e-12
    assert diameter >= swept.min() - 0.3 * 120 / 2000  # no steeper than 0.3 mm per mm between readings


@given(
    survey=surveys(),
    checked=st.floats(0, 150),
    gap=st.floats(0, 2),
    top=st.floats(0, 50),
    length=st.floats(1, 100),
)
def test_gap_along_the_bore_follows_the_circumference(survey, checked, gap, top, length):
    along = gap_along_bore(survey, GapInterval(gap, gap), checked, top, top + length)
    depths = np.linspace(top, top + length, 301)
    ring = pi * float(survey.diameter_mm(checked)) - gap
    by_hand = pi * survey.diameter_mm(depths) - ring
    assert along.tightest.lower_mm == along.tightest.upper_mm <= by_hand.min() + 1e-9
    assert along.widest.lower_mm == along.widest.upper_mm >= by_hand.max() - 1e-9
    for depth, found in (
        (along.tightest_depth_mm, along.tightest.lower_mm), (along.widest_depth_mm, along.widest.lower_mm)
    ):  # fmt: skip
        assert top <= depth <= top + length
        assert float(gap_at(survey, gap, checked, depth)) == pytest.approx(found, abs=1e-9)
    assert pi * along.tightest_bore_mm - ring == pytest.approx(along.tightest.lower_mm, abs=1e-9)
    assert pi * along.widest_bore_mm - ring == pytest.approx(along.widest.lower_mm, abs=1e-9)


@given(survey=surveys(), gap=st.floats(0, 2), top=st.floats(0, 50), length=st.floats(1, 100))
def test_a_gap_measured_nobody_knows_where_is_known_as_well_as_anywhere(survey, gap, top, length):
    # Measured at any depth of the bore, every one of these gaps fits what is said.
    along = gap_along_bore(survey, GapInterval(gap, gap), None, top, top + length)
    for checked in np.linspace(0.0, max(survey.depth_mm) + 10.0, 40):
        one = gap_along_bore(survey, GapInterval(gap, gap), float(checked), top, top + length)
        for said, true in ((along.tightest, one.tightest), (along.widest, one.widest)):
            assert said.lower_mm - 1e-9 <= true.lower_mm
            assert true.upper_mm <= said.upper_mm + 1e-9
    assert along.placed is (len(survey.depth_mm) == 1)


@given(
    survey=surveys(), checked=st.floats(0, 150), gap=st.floats(0, 2), step=st.floats(0.001, 0.02), top=st.floats(0, 50),
    length=st.floats(1, 100), seed=st.integers(0, 2**32 - 1),
)  # fmt: skip
def test_what_the_gauge_cannot_tell_is_allowed_for(survey, checked, gap, step, top, length, seed):
    # The true bore: every diameter anywhere within half a step of what was read.
    said = gap_along_bore(
        replace(survey, resolution_mm=step), GapInterval(gap, gap), checked, top, top + length
    )
    off = np.random.default_rng(seed).uniform(-step / 2, step / 2, (2, len(survey.depth_mm)))
    true = BoreSurvey(
        survey.depth_mm, tuple(survey.along_mm + off[0]), tuple(survey.across_mm + off[1])
    )  # fmt: skip
    for place, depth in ((said.tightest, said.tightest_depth_mm), (said.widest, said.widest_depth_mm)):
        there = float(gap_at(true, gap, checked, depth))
        assert place.lower_mm - 1e-9 <= there <= place.upper_mm + 1e-9


def test_a_gap_checked_where_it_counts_owes_nothing_to_the_gauge():
    along = gap_along_bore(WORN, GapInterval(0.40, 0.42), 95.0, 12.0, 95.0)
    assert (along.tightest, along.tightest_depth_mm) == (GapInterval(0.40, 0.42), 95.0)
    # The far end of the bore: one mean diameter against another, each half a step of 0.01 mm either way.
    assert along.widest.lower_mm == pytest.approx(0.40 + pi * (0.085 - 0.01))
    assert along.widest.upper_mm == pytest.approx(0.42 + pi * (0.085 + 0.01))


def test_a_gap_good_at_the_top_of_a_worn_bore_closes_lower_down():
    # pi (100.015 - 100.10) = -0.26704 mm, known to pi 0.01 mm either way.
    along = gap_along_bore(WORN, GapInterval(0.40, 0.40), 12.0, 12.0, 95.0)
    assert along.tightest.lower_mm == pytest.approx(0.40 - 0.26704 - pi * 0.01, abs=1e-5)
    assert along.tightest.upper_mm == pytest.approx(0.40 - 0.26704 + pi * 0.01, abs=1e-5)
    assert (along.tightest_depth_mm, along.widest_depth_mm) == (95.0, 12.0)
    assert along.widest == GapInterval(0.40, 0.40)
    assert along.worn
    assert along.placed


@pytest.mark.parametrize(
    "call",
    [
        lambda: BoreSurvey((), (), ()),
        lambda: BoreSurvey((1.0, 2.0), (100.0,), (100.0, 100.0)),
        lambda: BoreSurvey((2.0, 1.0), (100.0, 100.0), (100.0, 100.0)),
        lambda: BoreSurvey((1.0,), (0.0,), (100.0,)),
        lambda: WORN.smallest(50.0, 10.0),
    ],
)
def test_surveys_that_cannot_be(call):
    with pytest.raises(GeometryError):
        call()
