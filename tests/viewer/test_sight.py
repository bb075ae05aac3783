"""Where the eye goes to see one place: along free rays, square to the gap, what encloses it opened there."""

import manifold3d
import numpy as np
import pytest

from geometry.checks.close_places import close_places
from geometry.kinematics.poses import transform
from viewer.scene import ViewOptions, aim, build_scene, project
from viewer.scene.sight import direction, framing_of, metal_on_rays, opening, sight_of
from viewer.scene.solid import as_mesh, as_solid


@pytest.fixture(scope="module")
def seen(knot):
    """The close places of the single, each with the way that it is looked at."""
    found = close_places(knot)
    return [(c, sight_of(knot, c.bodies, tuple(c.at_a_mm), tuple(c.at_b_mm), c.crank_deg)) for c in found]


def test_metal_on_a_ray_is_what_the_ray_goes_through():
    # A block of 20 by 10 by 10 that begins 5 from the start of the ray; by hand.
    box = as_mesh(manifold3d.Manifold.cube((20.0, 10.0, 10.0)).translate((5.0, -5.0, -5.0)))
    corners, start = box.vertices[box.triangles], np.array([0.0, 1.0, 0.5])
    steep = np.hypot(1.0, 0.1)
    ways = np.array([[1.0, 0.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [1.0 / steep, 0.0, 0.1 / steep]])
    assert metal_on_rays(corners, start, ways) == pytest.approx([20.0, 0.0, 0.0, 20.0 * steep])
    inside = np.array([10.0, 1.0, 0.5])
    assert metal_on_rays(corners, inside, ways[:3]) == pytest.approx([15.0, 5.0, 4.5])


def test_no_metal_of_the_two_parts_stands_before_the_place(knot, seen):
    for close, sight in seen:
        eye = -np.array(sight.toward)
        # A thin bar from the place to the eye, cut with the parts by the solids library: it comes out whole.
        aside = np.cross(eye, [0.31, 0.57, 0.76])
        aside *= 0.05 / np.linalg.norm(aside)
        ends = np.array(sight.at_mm) + np.outer([1.0, 400.0], eye)
        corners = [end + turn for end in ends for turn in (aside, -aside, np.cross(eye, aside))]
        bar = manifold3d.Manifold.hull_points(np.array(corners))
        for name in set(sight.lit) - set(sight.opened):
            solid = as_solid(knot.body(name).part.mesh).transform(knot.pose(name, close.crank_deg)[:3])
            assert (solid ^ bar).volume() < 0.02 * bar.volume(), (close.bodies, name)


def test_the_gap_is_seen_square_and_in_the_middle_of_the_picture(seen):
    for close, sight in seen:
        gap = close.at_b_mm - close.at_a_mm
        assert abs(gap @ sight.toward) < 0.6 * np.linalg.norm(gap), close.bodies
        at = project(
            aim(framing_of(sight), 1.5), (900, 600), np.array([close.at_a_mm, close.at_b_mm])
        )  # the middle third of the picture
        assert np.allclose(at[:, :2].mean(axis=0), (450.0, 300.0), atol=1.0)
        assert (np.abs(at[:, :2] - [450.0, 300.0]) < [150.0, 100.0]).all()


def test_what_stands_round_the_place_is_cut_there_and_the_rest_fades(knot, seen):
    close, sight = next((c, s) for c, s in seen if "block" in c.bodies)
    assert sight.opened == ("block",)
    cut = opening(sight, frozenset(sight.opened))
    options = ViewOptions(crank_deg=close.crank_deg, lit=frozenset(sight.lit), cuts=(cut,))
    scene = build_scene(knot, options)
    block = scene.item("block")
    before = (transform(block.X_FA, block.mesh.vertices) - cut.point_mm) @ cut.normal
    assert before.max() < 1e-6
    assert scene.item("block cut").visible
    assert {item.whole for item in scene.items if item.visible and item.opacity == 1.0} == set(sight.lit)


def test_directions_are_named_as_the_engine_is():
    assert direction(0.0, 0.0) == pytest.approx([1.0, 0.0, 0.0])  # rearward
    assert direction(90.0, 0.0) == pytest.approx([0.0, 1.0, 0.0])  # to the engine's right
    assert direction(0.0, -90.0) == pytest.approx([0.0, 0.0, -1.0])  # down
