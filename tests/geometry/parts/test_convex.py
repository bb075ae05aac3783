"""Regions cut into convex parts, against an independent plane geometry library (shapely)."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from geometry.parts.shapes.convex import convex_parts, polygon_between, prisms, region
from geometry.solids import IDENTITY

corner = st.integers(-40, 40)
size = st.integers(1, 30)
rectangles = st.lists(st.tuples(corner, corner, size, size), min_size=1, max_size=6)


def outline(x, y, wide, high):
    return [[x, y], [x + wide, y], [x + wide, y + high], [x, y + high]]


@given(rectangles, rectangles)
def test_parts_are_convex_and_fill_the_region_once(solid, cut):
    shape = region(*(outline(*r) for r in solid)) - region(*(outline(*r) for r in cut))
    true = shapely.union_all([shapely.Polygon(outline(*r)) for r in solid])
    true = true - shapely.union_all([shapely.Polygon(outline(*r)) for r in cut])
    parts = [shapely.Polygon(part) for part in convex_parts(shape)]
    assert sum(part.area for part in parts) == pytest.approx(true.area, abs=1e-6)
    assert shapely.union_all(parts).symmetric_difference(true).area == pytest.approx(0.0, abs=1e-6)
    for part in parts:
        assert part.exterior.is_ccw
        assert part.convex_hull.area == pytest.approx(part.area, rel=1e-9)


def test_a_plate_with_round_holes_needs_few_parts():
    plate = region(outline(0, 0, 400, 120))
    plate -= region(*(polygon_between(45.0, 50.0) + [x, 60.0] for x in (60, 160, 260, 350)))
    assert len(convex_parts(plate)) <= 4 * 8


def test_nothing_gives_no_parts():
    square = region(outline(0, 0, 10, 10))
    assert convex_parts(square - square) == []


def test_either_way_round_is_the_same_polygon():
    square = outline(0, 0, 10, 10)
    assert region(square).area() == region(square[::-1]).area() == pytest.approx(100.0)


@given(st.floats(5.0, 80.0), st.floats(0.05, 10.0))
def test_a_polygon_between_two_circles_touches_neither(inner, wall):
    polygon = polygon_between(inner, inner + wall)
    ring = shapely.Polygon(polygon)
    assert shapely.Point(0, 0).distance(ring.exterior) > inner
    assert np.hypot(*polygon.T).max() < inner + wall
    assert len(polygon) >= 8


def test_prisms_stand_between_their_ends():
    for piece in prisms(region(outline(0, 0, 10, 10)), -2.0, 3.0, IDENTITY):
        assert piece.points_mm[:, 2].min() == -2.0
        assert piece.points_mm[:, 2].max() == 3.0
