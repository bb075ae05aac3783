"""The eye of the window: level however it is turned, never over the pole, there and back."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from viewer.scene import aim, build_scene, project
from viewer.scene.eye import Eye, between, camera_of, dragged, eye_of, moved, nearer, rolled, turned
from viewer.scene.model import ViewOptions
from viewer.scene.views import FIXED

FRONT = Eye((10.0, 20.0, 30.0), 0.0, 0.0, 0.0, 100.0, 0.0)
SIZE = (900, 600)
ANY_DRAG = st.lists(
    st.tuples(st.sampled_from(["turn", "move", "near"]), *[st.floats(-700.0, 700.0)] * 2), max_size=12
)


@given(ANY_DRAG)
def test_the_horizon_stays_level_and_the_engine_upright_whatever_is_dragged(drags):
    eye = replace(FRONT, azimuth_deg=37.0, elevation_deg=-20.0)
    for drag, right, up in drags:
        eye = dragged(eye, drag, right, up, 600.0)
        camera = camera_of(eye)
        assert abs(camera.right[2]) < 1e-9  # level
        assert np.cross(camera.right, camera.toward)[2] > -1e-9  # never over the pole


def test_the_near_side_follows_the_hand():
    # From the front, the near side to the right: the eye goes to its left, which is the engine's right.
    right = camera_of(turned(FRONT, 0.1, 0.0))
    assert right.position_mm[1] > 20.0
    up = camera_of(turned(FRONT, 0.0, 0.1))
    assert up.position_mm[2] < 30.0
    near = np.array([[-40.0, 20.0, 30.0]])  # a point before the target
    before = project(camera_of(FRONT), SIZE, near)[0]
    for share, way in ((0.1, 0), (0.1, 1)):
        after = project(camera_of(turned(FRONT, *((share, 0.0) if way == 0 else (0.0, share)))), SIZE, near)[
            0
        ]
        assert after[way] > before[way] + 5.0


def test_a_move_takes_what_is_under_the_hand_along():
    for eye in (FRONT, replace(FRONT, field_deg=26.0), rolled(FRONT, 30.0)):
        at = np.array([FRONT.target_mm])
        before = project(camera_of(eye), SIZE, at)[0, :2]
        after = project(camera_of(dragged(eye, "move", 60.0, -30.0, 600.0)), SIZE, at)[0, :2]
        assert after - before == pytest.approx([60.0, -30.0])


def test_nearer_keeps_what_is_under_the_pointer():
    eye = replace(FRONT, centre=(-0.2, 0.1))
    middle = np.array([SIZE[0] / 2 * 0.8, SIZE[1] / 2 * 1.1])
    pointer = np.array([700.0, 150.0])
    off = (pointer - middle) / SIZE[1]
    # The point of the front plane that lies under the pointer, by hand: 200 mm over the height of the picture.
    under = np.array([[10.0, 20.0 - 200.0 * off[0], 30.0 + 200.0 * off[1]]])
    assert project(camera_of(eye), SIZE, under)[0, :2] == pytest.approx(pointer)
    close = nearer(eye, 2.5, (off[0], off[1]))
    assert close.half_mm == 40.0
    assert project(camera_of(close), SIZE, under)[0, :2] == pytest.approx(pointer)


def test_rolling_is_a_thing_of_its_own_and_stays():
    tilted = rolled(FRONT, 30.0)
    assert camera_of(tilted).right[2] == pytest.approx(-0.5)
    assert turned(tilted, 0.2, 0.1).roll_deg == pytest.approx(30.0)


@pytest.mark.parametrize("name", FIXED)
def test_every_named_view_is_the_same_camera_by_its_angles(knot, name):
    camera = aim(build_scene(knot, ViewOptions(view=name)).framing, 1.5)
    same = camera_of(eye_of(camera))
    corners = np.array([[x, y, z] for x in (0.0, 90.0) for y in (-60.0, 60.0) for z in (-50.0, 80.0)])
    assert project(same, SIZE, corners)[:, :2] == pytest.approx(project(camera, SIZE, corners)[:, :2])
    assert eye_of(camera).roll_deg == pytest.approx(0.0, abs=1e-9)


def test_on_the_way_it_begins_and_ends_where_it_should_and_goes_the_short_way_round():
    end = Eye((0.0, 0.0, 50.0), -150.0, -40.0, 0.0, 25.0, 26.0, (0.1, 0.0))
    start = replace(FRONT, azimuth_deg=150.0)
    assert between(start, end, 1.0) is end
    first = between(start, end, 0.0)
    assert (first.target_mm, first.azimuth_deg, first.centre) == (start.target_mm, 150.0, start.centre)
    assert (first.half_mm, first.field_deg) == pytest.approx((100.0, 0.0))
    half_way = between(start, end, 0.5)
    assert half_way.azimuth_deg == pytest.approx(180.0)
    assert half_way.half_mm == pytest.approx(50.0)
    assert half_way.target_mm == pytest.approx((5.0, 10.0, 40.0))
    assert between(start, end, 0.05).half_mm > 95.0  # slow at the start


def test_moved_by_nothing_is_the_same():
    assert moved(FRONT, 0.0, 0.0) == FRONT
