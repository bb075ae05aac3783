"""Chamfer against fillet: the published condition, closed-form cases and an independent plane-geometry kernel."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, Polygon
from shapely.affinity import translate

from geometry.fillet import chamfer_needed_mm, edge_fit, side_gap_needed_mm

gap = st.floats(0.0, 3.0)
radius = st.floats(0.3, 6.0)


def fillet_solid(R):
    """Cheek, journal and fillet as one region; the arc is a fine polygon outside the true circle."""
    corner = Polygon([(-5, -5), (R, -5), (R, R), (-5, R)])
    arc = Point(R, R).buffer(R / math.cos(math.pi / 4096), quad_segs=1024)
    quadrant = Polygon([(0, 0), (R, 0), (R, R), (0, R)])
    walls = Polygon([(-5, -5), (20, -5), (20, 0), (-5, 0)]).union(
        Polygon([(-5, -5), (0, -5), (0, 20), (-5, 20)])
    )
    return corner.difference(quadrant).union(quadrant.difference(arc)).union(walls)


def fillet_only(R):
    """The fillet without cheek and journal."""
    quadrant = Polygon([(0, 0), (R, 0), (R, R), (0, R)])
    return quadrant.difference(Point(R, R).buffer(R, quad_segs=1024))


def rod_edge(s, g, c):
    """The edge of a rod that stands above the journal and beside the cheek."""
    return Polygon([(s + c, g), (15 + s, g), (15 + s, 15 + g), (s, 15 + g), (s, g + c)])


def test_needed_chamfer_of_the_published_cases():
    # Tangent quarter-circle fillet, derived condition; three worked numbers as published with it.
    assert chamfer_needed_mm(1.6, 0.0, 0.0) == pytest.approx(1.6, abs=1e-12)
    assert chamfer_needed_mm(1.6, 0.10, 0.03) == pytest.approx(1.1916, abs=5e-5)
    assert chamfer_needed_mm(0.125, 0.010, 0.001) == pytest.approx(0.0992, abs=5e-5)


@given(radius, gap, gap)
def test_a_chamfer_as_large_as_the_fillet_always_clears(R, s, g):
    assert chamfer_needed_mm(R, s, g) <= R + 1e-12
    assert edge_fit(R, s, g, R).clearance_mm >= -1e-12


@given(radius, gap, gap, st.floats(0.0, 3.0))
def test_the_edge_touches_exactly_at_the_needed_chamfer(R, s, g, c):
    needed = chamfer_needed_mm(R, s, g)
    assert (edge_fit(R, s, g, needed + 1e-6).clearance_mm >= -1e-9) is True
    if needed > 1e-3:
        assert edge_fit(R, s, g, needed - 1e-4).clearance_mm < 0


@given(radius, gap, st.floats(0.0, 3.0))
def test_the_side_gap_needed_is_the_least_that_clears(R, g, c):
    needed = side_gap_needed_mm(R, g, c)
    assert edge_fit(R, needed + 1e-7, g, c).clearance_mm >= -1e-6
    if needed > 1e-3:
        assert edge_fit(R, needed - 1e-4, g, c).clearance_mm < 0


@pytest.mark.parametrize(
    "R, s, g, c", [(2.5, 0.6, 0.8, 0.9), (3.0, 0.2, 1.5, 0.9), (1.5, 1.2, 1.3, 0.0), (3.175, 0.0, 1.6, 3.175)]
)
def test_clearance_agrees_with_a_plane_geometry_kernel(R, s, g, c):
    # Independent: shapely's distance between the two regions.
    found = fillet_only(R).distance(rod_edge(s, g, c))
    assert edge_fit(R, s, g, c).clearance_mm == pytest.approx(found, abs=2e-5)


@pytest.mark.parametrize("R, g, c", [(3.175, 1.6, 0.254), (2.5, 0.03, 0.5), (4.0, 1.0, 1.0)])
def test_the_side_gap_needed_agrees_with_a_plane_geometry_kernel(R, g, c):
    # Independent: the smallest shift along the axis at which shapely finds no overlap, by bisection.
    solid, low, high = fillet_solid(R), 0.0, R + 1.0
    edge = rod_edge(0.0, g, c)
    for _ in range(50):
        middle = (low + high) / 2
        overlaps = solid.intersection(translate(edge, middle, 0.0)).area > 1e-10
        low, high = (middle, high) if overlaps else (low, middle)
    assert side_gap_needed_mm(R, g, c) == pytest.approx(high, abs=2e-3)
