"""Gap areas alone and in series."""

from math import pi, sqrt

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from shapely.geometry import Point, box

from geometry.errors import GeometryError
from geometry.rings.flow import gap_area_mm2, hole_diameter_mm, land_way_mm, series_area_mm2

AREAS = st.lists(st.floats(0.05, 1.0), min_size=1, max_size=4)


def test_gap_area_against_the_drawn_opening():
    # Between bore and land, between two parallel ring ends; the circles bend by less than gap^2 / 8R within it.
    bore, land, gap = 101.6, 100.6, 0.45
    between = Point(0, 0).buffer(bore / 2, quad_segs=4096) - Point(0, 0).buffer(land / 2, quad_segs=4096)
    opening = shapely.intersection(between, box(-gap / 2, 0, gap / 2, bore))
    assert gap_area_mm2(gap, bore, land) == pytest.approx(opening.area, rel=1e-3)


@given(areas=AREAS)
def test_series_area_against_the_network(areas):
    # Solve for the flow that uses up a pressure of one over all openings, each q = A sqrt(drop).
    flow = brentq(lambda q: sum((q / area) ** 2 for area in areas) - 1, 1e-6, 10)
    assert series_area_mm2(areas) == pytest.approx(flow, rel=1e-9)


def test_equal_gaps_by_hand():
    # Two equal openings in turn pass as much as one of 1 / sqrt 2; a closed one passes nothing.
    assert series_area_mm2([0.3, 0.3]) == pytest.approx(0.3 / sqrt(2))
    assert series_area_mm2([0.3, 0.0]) == 0.0
    assert hole_diameter_mm(pi / 4) == pytest.approx(1.0)


def test_way_round_the_land():
    assert land_way_mm(350.0, 170.0, 100.0) == pytest.approx(50 * pi)
    assert land_way_mm(10.0, 350.0, 100.0) == pytest.approx(100 * pi * 20 / 360)


@pytest.mark.parametrize(
    "call",
    [
        lambda: gap_area_mm2(0.4, 100, 101),
        lambda: gap_area_mm2(-0.1, 100, 99),
        lambda: series_area_mm2([]),
        lambda: series_area_mm2([0.1, -0.1]),
    ],
)
def test_impossible_numbers_are_refused(call):
    with pytest.raises(GeometryError):
        call()
