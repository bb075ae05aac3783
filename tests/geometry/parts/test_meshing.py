"""Shapes, cuts and meshes: volumes by formula, corners on the true surface, axes where they are said to be."""

from math import cos, pi, radians, sin

import numpy as np
import pytest
import trimesh
from shapely.geometry import Point, Polygon

from geometry.parts.shapes import meshing
from geometry.parts.shapes.placing import BACK_TO_FRONT, TUMBLED, about_z_deg, along_x
from geometry.solids import Box, Cylinder, Hull, Lobe, Revolved
from tests.geometry.off_surface import sagitta_mm


def share(segments):
    """Area of a regular polygon over that of the circle through its corners (plane geometry)."""
    return segments / (2 * pi) * sin(2 * pi / segments)


@pytest.mark.parametrize("segments", [12, 64, 96])
def test_a_full_turn(segments):
    solid = meshing.revolve([(3, 0), (5, 0), (5, 2), (3, 2)], segments=segments)
    assert solid.volume() == pytest.approx(pi * (25 - 9) * 2 * share(segments), rel=1e-9)


@pytest.mark.parametrize("start, end", [(0, 180), (48, 132), (180.4, 539.6), (-42, 42), (10, 10.5)])
def test_a_sector_starts_and_ends_where_it_is_said(start, end):
    mesh = meshing.to_mesh(meshing.revolve([(3, 0), (5, 0), (5, 2), (3, 2)], start, end, segments=96))
    radius = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1])
    assert sorted(set(radius.round(9))) == [3.0, 5.0]
    angle = np.degrees(np.arctan2(mesh.vertices[:, 1], mesh.vertices[:, 0]))
    turned = (angle - start + 1e-6) % 360.0 - 1e-6
    assert turned.min() == pytest.approx(0.0, abs=1e-6)
    assert turned.max() == pytest.approx(end - start, abs=1e-6)
    facets = max(3, round(96 * (end - start) / 360))
    step = radians(end - start) / facets
    volume = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False).volume
    assert volume == pytest.approx(facets * 0.5 * sin(step) * (25 - 9) * 2, rel=1e-9)


@pytest.mark.parametrize("polygon", [[(0, 0), (4, 0), (4, 1), (1, 1), (1, 3), (0, 3)]])
@pytest.mark.parametrize("way", [1, -1])
def test_a_prism_either_way_round(polygon, way):
    solid = meshing.extrude(polygon[::way], -1.0, 2.5)
    assert solid.volume() == pytest.approx(Polygon(polygon).area * 3.5, rel=1e-12)
    assert np.reshape(solid.bounding_box(), (2, 3)).tolist() == [[0, 0, -1], [4, 3, 2.5]]


def test_a_plate_joins_outlines_flush():
    a, b = [(0, 0), (4, 0), (4, 2), (0, 2)], [(2, 1), (6, 1), (6, 5), (2, 5)]
    assert meshing.plate([a, b], 0.0, 3.0).volume() == pytest.approx(Polygon(a).union(Polygon(b)).area * 3.0)


def test_cuts_add_up():
    cube, bore = meshing.box((4, 4, 4)), meshing.cylinder(1.0, 6.0)
    left, common = meshing.difference(cube, [bore]), meshing.intersection([cube, bore])
    assert left.volume() + common.volume() == pytest.approx(64.0)
    assert common.volume() == pytest.approx(pi * 4 * share(64))
    assert meshing.union([left, common]).volume() == pytest.approx(64.0)


@pytest.mark.parametrize(
    "base, nose, apart", [(15, 7, 16), (7, 15, 16), (10, 10, 5), (15, 4, 8), (4, 15, 8), (9, 9, 0)]
)
def test_a_lobe_is_the_hull_of_its_circles(base, nose, apart):
    # Independent: shapely's hull of two finely drawn circles.
    piece = Lobe(base, nose, apart, 3.0)
    outline = Polygon(meshing.lobe_outline(piece, 96))
    circles = Point(0, 0).buffer(base, quad_segs=2000).union(Point(0, apart).buffer(nose, quad_segs=2000))
    hull = circles.convex_hull
    assert outline.is_valid
    assert outline.symmetric_difference(hull).area < 2e-3 * hull.area
    assert outline.hausdorff_distance(hull) < 1.5 * sagitta_mm(max(base, nose), 96)
    assert meshing.piece_solid(piece).volume() == pytest.approx(outline.area * 3.0)


@pytest.mark.parametrize(
    "piece, volume",
    [
        (Cylinder(2.0, 5.0, along_x(7.0, 1.0, 2.0)), pi * 4 * 5 * share(96)),
        (Box((1.0, 2.0, 3.0), about_z_deg(30.0)), 6.0),
        (Hull(np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1.0]])), 1 / 6),
        (Revolved(np.array([[0, 0], [2, 0], [2, 1], [0, 1.0]]), 0.0, 90.0), pi * share(96)),
    ],
)
def test_a_piece_becomes_the_solid_it_names(piece, volume):
    assert meshing.piece_solid(piece).volume() == pytest.approx(volume, rel=1e-9)


def test_a_cylinder_along_the_crank_lies_along_x():
    solid = meshing.piece_solid(Cylinder(2.0, 5.0, along_x(7.0, 1.0, -3.0)))
    low, high = np.reshape(solid.bounding_box(), (2, 3))
    assert low == pytest.approx([4.5, -1.0, -5.0], abs=1e-9)
    assert high == pytest.approx([9.5, 3.0, -1.0], abs=1e-9)


@pytest.mark.parametrize("angle", [0.0, 40.0, 90.0, 200.0, -75.0])
def test_the_second_axis_points_where_a_throw_of_that_angle_does(angle):
    # By the convention: an angle a about +x counted from +z is the direction (0, -sin a, cos a).
    X = along_x(0.0, about_x_deg=angle)
    assert X[:3, 1] == pytest.approx([0.0, -sin(radians(angle)), cos(radians(angle))])
    assert X[:3, 2] == pytest.approx([1.0, 0.0, 0.0])
    assert np.linalg.det(X[:3, :3]) == pytest.approx(1.0)


@pytest.mark.parametrize("X", [BACK_TO_FRONT, TUMBLED])
def test_half_turns_are_turns_and_undo_themselves(X):
    assert np.linalg.det(X[:3, :3]) == pytest.approx(1.0)
    assert (X @ X).tolist() == np.eye(4).tolist()


def test_a_quarter_arc():
    points = meshing.arc((5.0, 1.0), 2.0, 270.0, 180.0, 6)
    assert len(points) == 7
    assert points[0] == pytest.approx([5.0, -1.0])
    assert points[-1] == pytest.approx([3.0, 1.0])
    assert np.hypot(*(points - [5.0, 1.0]).T) == pytest.approx(np.full(7, 2.0))


def test_the_middle_of_a_facet_lies_a_sagitta_inside():
    mesh = meshing.to_mesh(meshing.cylinder(10.0, 1.0, segments=64))
    rim = mesh.vertices[mesh.vertices[:, 2] > 0, :2]
    rim = rim[np.argsort(np.arctan2(rim[:, 1], rim[:, 0]))]
    middles = (rim + np.roll(rim, -1, axis=0)) / 2
    assert 10.0 - np.hypot(*middles.T) == pytest.approx(np.full(64, sagitta_mm(10.0, 64)))


def test_thinning_keeps_a_polygon_within_its_bound():
    angle = np.linspace(0, pi, 400)
    fine = np.column_stack([np.cos(angle), np.sin(angle)])
    coarse = meshing.thinned(fine, 0.01)
    assert len(coarse) < 40
    assert Polygon(coarse).hausdorff_distance(Polygon(fine)) <= 0.01


def test_an_empty_solid_is_a_slip_of_ours():
    nothing = meshing.difference(meshing.box((1, 1, 1)), [meshing.box((2, 2, 2))])
    with pytest.raises(AssertionError, match="nothing is left"):
        meshing.to_mesh(nothing)
