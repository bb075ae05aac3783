"""Gap targets, other bores, filing allowance."""

from math import inf, nan, pi
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import GeometryError
from geometry.rings.gap import (
    DUTIES,
    RING_NAMES,
    ROWS_OF_DUTY,
    GapTarget,
    filing,
    gap_in_other_bore,
    gap_target,
    oversize_stock_mm,
    stated_target,
)
from geometry.rings.source import Source
from geometry.spec.engine import Duty

BORES = st.floats(40, 300)
GAPS = st.floats(0, 3)


@pytest.mark.parametrize("duty", DUTIES)
@pytest.mark.parametrize("ring", RING_NAMES)
def test_every_duty_and_ring_has_a_sourced_target(duty, ring):
    target = gap_target(100.0, duty, ring)
    assert target.min_mm > 0
    assert target.max_mm is None or target.max_mm > target.min_mm
    assert target.source.text
    assert DUTIES[duty].key == duty


@pytest.mark.parametrize("duty", ROWS_OF_DUTY)
def test_every_duty_of_the_engine_file_has_rows(duty):
    assert duty in get_args(Duty)
    rows = ROWS_OF_DUTY[duty]
    assert all(row in DUTIES for row in rows)
    assert gap_target(100.0, duty, "top") == gap_target(100.0, rows[0], "top")
    assert set(ROWS_OF_DUTY) == set(get_args(Duty))


@given(bore=BORES, scale=st.floats(0.5, 2.0))
def test_compression_targets_grow_with_the_bore(bore, scale):
    for ring in ("top", "second"):
        one, other = gap_target(bore, "street", ring), gap_target(bore * scale, "street", ring)
        assert other.min_mm == pytest.approx(one.min_mm * scale)
        assert other.max_mm == pytest.approx(one.max_mm * scale)


@given(a=BORES, b=BORES, gap=GAPS)
def test_a_ring_keeps_its_own_length_in_any_bore(a, b, gap):
    # Length of the ring along the wall: circumference less gap, in either bore.
    other = gap_in_other_bore(gap, a, b)
    assert pi * b - other == pytest.approx(pi * a - gap)
    assert gap_in_other_bore(other, b, a) == pytest.approx(gap, abs=1e-9)


@given(oversize=st.floats(0, 1), bore=BORES)
def test_oversize_stock_is_the_difference_of_circumference(oversize, bore):
    assert oversize_stock_mm(oversize) == pytest.approx(pi * (bore + oversize) - pi * bore, abs=1e-9)


@given(
    low=st.floats(-1, 2),
    width=st.floats(0, 0.2),
    least=st.floats(0, 1),
    room=st.one_of(st.none(), st.floats(0, 1)),
)
def test_filing_allowance_holds_for_every_gap_in_the_interval(low, width, least, room):
    target = GapTarget(least, None if room is None else least + room, Source("test", "stated"))
    allowance = filing(low, low + width, target)
    for gap in (low, low + width / 3, low + width):
        if allowance.at_once_mm > 0:
            assert gap + allowance.at_once_mm <= target.min_mm + 1e-12
        if allowance.needed_mm > 0:
            assert gap + allowance.needed_mm >= target.min_mm - 1e-12
        if allowance.most_mm:
            assert gap + allowance.most_mm <= target.max_mm + 1e-12


def test_filing_with_no_upper_blade():
    target = GapTarget(0.4, 0.5, Source("test", "stated"))
    allowance = filing(0.3, inf, target)
    assert (allowance.at_once_mm, allowance.most_mm) == (0.0, 0.0)
    assert allowance.needed_mm == pytest.approx(0.1)


def test_stated_target_names_who_said_it():
    target = stated_target(0.3, 0.5, "sheet in the ring box")
    assert target.source.text == "sheet in the ring box"
    assert target.source.certainty == "stated"


@pytest.mark.parametrize(
    "call",
    [
        lambda: gap_target(0.0, "street", "top"),
        lambda: gap_target(nan, "street", "top"),
        lambda: gap_in_other_bore(0.4, -1.0, 100.0),
        lambda: gap_in_other_bore(inf, 100.0, 100.0),
        lambda: oversize_stock_mm(-0.1),
        lambda: stated_target(0.5, 0.4, "x"),
        lambda: filing(0.5, 0.4, GapTarget(0.4, None, Source("test", "stated"))),
        lambda: filing(0.5, nan, GapTarget(0.4, None, Source("test", "stated"))),
    ],
)
def test_impossible_numbers_are_refused(call):
    with pytest.raises(GeometryError):
        call()
