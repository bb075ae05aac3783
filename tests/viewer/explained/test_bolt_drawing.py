"""Bolts that stand out, as drawn: the cut faces against an exact section of the same solids, and the true distances."""

from dataclasses import replace

import numpy as np
import pytest
import trimesh
from matplotlib.colors import to_rgba
from shapely.geometry import MultiLineString, Point, Polygon

from geometry.assembly import assemble
from geometry.mistakes.bolts.bolt_words import BoltHits, BoltStory, bolt_spot, bolt_story, stands_out_mm
from tests.geometry.mistakes.shop import mistake, right, spec
from tests.viewer.explained.bench import case_of, half
from viewer.explained.cut import along_axis
from viewer.explained.drawings.bolt import bolt_view
from viewer.explained.pen import WRONG

NUT = {"kind": "bolt_and_nut", "length": "2.60 in", "nut_diameter": "0.60 in", "nut_height": "0.40 in"}


@pytest.fixture(scope="module")
def off_seat():
    return case_of(right(), "bolt_not_seated", 3)  # a cap screw that passes the wall of the bore beside it


def bolts(case, wrong):
    """The cut faces of the bolts, from the colour of their outlines."""
    axis, spot = half(case, wrong, words=False)
    thick = [line for line in axis.lines if line.get_linewidth() > 2.0]
    return [Polygon(np.column_stack(line.get_data())) for line in thick], axis, spot


def test_the_plane_is_seen_from_the_front():
    plane = along_axis(np.zeros(3), np.array([0.0, 0.0, 2.0]), np.array([0.1, -3.0, 1.0]))
    assert np.cross(plane.right, plane.up)[0] < -0.9  # towards the eye is towards the front, -x
    assert plane.at((0.0, 5.0, 0.0))[0] < 0.0  # the engine's right is at the left
    assert plane.at((0.0, 0.0, 5.0)) == pytest.approx((0.0, 5.0))


def test_a_cut_face_is_the_section_of_the_mesh(off_seat):
    # The same plane through the same mesh by another library, as loose stretches.
    plane, crank = bolt_view(off_seat).plane, off_seat.study.spot.crank_deg
    for name in ("rod_cap 3", "block"):
        mesh, X = off_seat.right.body(name).part.mesh, off_seat.right.pose(name, crank)
        solid = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False).apply_transform(X)
        stretches = trimesh.intersections.mesh_plane(solid, np.cross(plane.right, plane.up), plane.origin_mm)
        loops = [Polygon(loop).exterior for loop in plane.cut(off_seat.right, name, crank).to_polygons()]
        drawn = MultiLineString(loops)
        length = np.linalg.norm(stretches[:, 1] - stretches[:, 0], axis=1).sum()
        assert drawn.length == pytest.approx(length, rel=1e-3)
        for start in stretches[::7, 0]:
            assert drawn.distance(Point(plane.at(start))) < 1e-3


def test_nearest_places_lie_in_the_plane_and_keep_their_distance(off_seat):
    view, spot = bolt_view(off_seat), off_seat.study.spot
    normal = np.cross(view.plane.right, view.plane.up)
    for point in (spot.from_mm, spot.to_mm):
        assert (np.array(point) - view.plane.origin_mm) @ normal == pytest.approx(0.0, abs=0.05)
    flat = np.hypot(*np.subtract(*view.near))
    assert flat == pytest.approx(off_seat.study.rows[1]["wrong"].value, abs=5e-3)
    assert off_seat.right.body(spot.meets).part.kind == "block"


@pytest.mark.parametrize("out_mm", [0.0, 1.5, 6.35])
def test_the_head_stands_off_by_what_was_put_in_and_bites_where_the_block_stands(off_seat, out_mm):
    # Seated it clears that wall by 0.08 in, 1.5 mm out by 0.05 in, and a stock length out it cannot pass.
    build = off_seat.right.built.with_bore(3, bolt_out_mm=(out_mm, out_mm))
    case = replace(off_seat, wrong=assemble(off_seat.right.spec, build)) if out_mm else off_seat
    faces, axis, spot = bolts(case, out_mm > 0.0)
    bolt = off_seat.right.spec.rod.bolt
    assert stands_out_mm(case.wrong, 3) == (-bolt.seat_mm, -bolt.seat_mm - max(out_mm, 1.5))
    lowest = -bolt.seat_mm - bolt.head_height_mm - out_mm
    assert min(face.bounds[1] for face in faces) == pytest.approx(lowest, abs=1e-6)
    assert any(patch.get_facecolor() == to_rgba(WRONG) for patch in axis.patches) is (out_mm > 6.0)
    if out_mm == 1.5:
        assert min(Point(spot).distance(face) for face in faces) == pytest.approx(
            case.study.rows[1]["wrong"].value / 2, abs=0.02
        )


@pytest.mark.parametrize(
    "key, ends",
    [("bolt_not_seated", (0.80, 0.80 + 1.5 / 25.4)), ("bolt_too_long", (0.80 - 2.60, 0.55 - 2.60))],
)
def test_a_bolt_with_a_nut_stands_out_where_it_does(off_seat, key, ends):
    # Under the head, at the rod's shoulder 0.80 in over the joint, by 1.5 mm; or at the thread's end, by 0.25 in.
    kinds = {"rod", "rod_cap", "rod_bolt", "bearing_shell"}
    base = assemble(spec(rod={"bolt": NUT}), kinds=kinds)
    assert base.spec.rod.bolt.shoulder_mm == pytest.approx(0.80 * 25.4)
    wrong = assemble(base.spec, mistake(key).make(base, 1), kinds)
    spot = bolt_spot(wrong, 1, BoltStory((), None, BoltHits((), 360.0)), "mm")  # with nothing near it
    case = replace(off_seat, right=base, wrong=wrong, place=1, study=replace(off_seat.study, spot=spot))
    assert stands_out_mm(case.wrong, 1) == pytest.approx([end * 25.4 for end in ends])
    for wrong in (False, True):
        low, high = (f([face.bounds[k] for face in bolts(case, wrong)[0]]) for f, k in ((min, 1), (max, 3)))
        top = (0.80 + (1.5 / 25.4 if wrong and key == "bolt_not_seated" else 0.0)) * 25.4
        assert high == pytest.approx(top + base.spec.rod.bolt.head_height_mm, abs=1e-6)
        longer = 6.35 if wrong and key == "bolt_too_long" else 0.0
        assert low == pytest.approx(top - 2.60 * 25.4 - longer, abs=1e-6)


@pytest.mark.parametrize(
    "least_mm, said, has_ends", [(-2.0, "2.000 mm into", False), (0.9, "0.900 mm left", True)]
)
def test_the_ends_of_a_dimension_are_those_of_the_length_that_is_named(off_seat, least_mm, said, has_ends):
    # Where two parts share room their nearest points lie in it, as near as they happen to: no depth stands between.
    story = bolt_story(off_seat.right, off_seat.wrong, 3)
    near = replace(story.worst, approach=replace(story.worst.approach, min_mm=least_mm))
    spot = bolt_spot(off_seat.wrong, 3, replace(story, worst=near), "mm")
    assert said in spot.text
    assert (spot.from_mm is not None) is has_ends
    assert spot.severity == "stop"  # the head is off its seat, whatever it clears
