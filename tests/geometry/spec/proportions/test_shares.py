"""Shares of doubt by kind: of the magnitude, not under the floor, within the limits, and the builder's own."""

from typing import get_args

import pytest

from geometry.spec.base import Quantity
from geometry.spec.doubts import DoubtShares, DoubtTable
from geometry.spec.proportions.row import DimensionKind
from geometry.spec.proportions.shares import ABOUT, FILLED, band, kind_of_dimension, out_of, told
from geometry.units import DIMENSIONS

USUAL = DoubtTable()
POSITION = Quantity("length", -1e4, 1e4)
SIZE = Quantity("length", 0.0, 1e4, above=True)
MAYBE_NONE = Quantity("length", 0.0, 1e4)


@pytest.mark.parametrize("kind", get_args(DimensionKind))
def test_every_kind_has_both_shares_with_an_honest_reason(kind):
    for table in (ABOUT, FILLED):
        assert 0.0 <= table[kind].share <= 0.5
        marked = table[kind].reason.endswith(("; common practice, no source", "; judgement, no source"))
        assert marked or kind == "chosen"
    assert FILLED[kind].share >= ABOUT[kind].share
    assert FILLED[kind].least >= ABOUT[kind].least


def test_what_the_builder_chooses_is_in_no_doubt():
    assert band(140.0, SIZE, out_of("chosen", "filled", USUAL)) == (140.0, 140.0)
    assert told(out_of("chosen", "about", USUAL)) == ""


def test_the_share_is_of_the_magnitude_also_below_zero():
    # a casting: a twentieth of 60 mm is 3 mm either way
    assert band(-60.0, POSITION, out_of("cast", "about", USUAL)) == (-63.0, -57.0)
    assert band(60.0, POSITION, out_of("cast", "about", USUAL)) == (57.0, 63.0)


def test_a_position_at_zero_is_out_by_the_floor():
    lowest, highest = band(0.0, POSITION, out_of("machined", "about", USUAL))
    assert (lowest, highest) == (-0.25, 0.25)
    assert band(0.0, MAYBE_NONE, out_of("machined", "about", USUAL)) == (0.0, 0.25)


def test_a_small_depth_is_out_by_a_share_of_itself_or_a_thousandth():
    about = out_of("depth", "about", USUAL)
    assert band(2.0, SIZE, about) == (1.5, 2.5)
    assert band(0.06, SIZE, about) == (0.035, 0.085)
    assert band(0.02, SIZE, about) == (0.01, 0.03)  # never by more than half of what must be above zero


def test_the_floor_counts_in_its_own_dimension_only():
    assert band(100.0, Quantity("angle", 0.0, 3600.0), out_of("machined", "about", USUAL)) == (98.0, 102.0)


def test_the_builders_own_share_replaces_the_usual_one():
    own = DoubtTable(cast=0.1, filled=DoubtShares(cast=0.2))
    assert band(-60.0, POSITION, out_of("cast", "about", own)) == (-66.0, -54.0)
    assert band(-60.0, POSITION, out_of("cast", "filled", own)) == (-72.0, -48.0)
    assert told(out_of("cast", "filled", own)) == "20 % of it: your own share in [doubt.filled]"
    assert out_of("forged", "about", own) == ABOUT["forged"]


def test_no_share_is_no_doubt_at_all():
    assert band(1.0, SIZE, out_of("depth", "about", DoubtTable(depth=0.0))) == (1.0, 1.0)


def test_what_was_filled_in_is_in_no_less_doubt_than_what_is_about():
    wide = DoubtTable(cast=0.4)
    assert out_of("cast", "filled", wide).share == 0.4
    assert out_of("cast", "filled", DoubtTable(cast=0.4, filled=DoubtShares(cast=0.1))).share == 0.1


@pytest.mark.parametrize("dimension", sorted(DIMENSIONS))
def test_every_dimension_has_a_kind_to_fall_back_on(dimension):
    assert kind_of_dimension(dimension) in ABOUT
