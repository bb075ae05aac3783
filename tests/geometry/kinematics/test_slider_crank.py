"""What must hold for any slider-crank: properties over all layouts, sizes, offsets and both senses."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import GeometryError
from geometry.kinematics.poses import compose, inverse, transform
from geometry.kinematics.slider_crank import (
    Linkage,
    after_own_top_dead_centre_deg,
    at_speed,
    bore_frames,
    crank_deg_at_height,
    dead_centres,
    pin_throw_deg,
    poses,
    state,
    wrap_deg,
)
from tests.geometry.linkages import LAYOUTS, engine, linkages, one_bore

ANGLES_DEG = st.lists(st.floats(-720.0, 1440.0), min_size=1, max_size=4)
MIRROR = np.diag([1.0, -1.0, 1.0, 1.0])
"""Left and right exchanged."""


def mirrored(linkage):
    return dataclasses.replace(
        linkage,
        bank_deg=-linkage.bank_deg,
        pin_deg=-linkage.pin_deg,
        offset_mm=-linkage.offset_mm,
        sense=-linkage.sense,
    )


@given(linkages(), ANGLES_DEG)
def test_rod_keeps_its_length_and_ends_on_the_crankpin_and_the_piston_pin(linkage, angles):
    moved = poses(linkage, angles)
    for bore in range(linkage.x_mm.size):
        pin_rad = np.radians(linkage.pin_deg[bore])
        pin_on_crank = linkage.throw_mm[bore] * np.array([0.0, -np.sin(pin_rad), np.cos(pin_rad)])
        pin_on_crank[0] = linkage.x_mm[bore]
        big_end = transform(moved.X_ER[:, bore], np.zeros(3))
        small_end = transform(moved.X_ER[:, bore], [0.0, 0.0, linkage.rod_mm[bore]])
        piston_pin = transform(moved.X_EP[:, bore], [0.0, linkage.offset_mm[bore], 0.0])
        size = linkage.rod_mm[bore]
        np.testing.assert_allclose(big_end, transform(moved.X_EC, pin_on_crank), atol=1e-11 * size)
        np.testing.assert_allclose(small_end, piston_pin, atol=1e-11 * size)


@given(linkages(), ANGLES_DEG)
def test_pistons_stay_on_their_bores_and_do_not_turn(linkage, angles):
    X_BP = compose(inverse(bore_frames(linkage)), poses(linkage, angles).X_EP)
    np.testing.assert_allclose(
        X_BP[..., :3, :3], np.broadcast_to(np.eye(3), X_BP[..., :3, :3].shape), atol=1e-14
    )
    np.testing.assert_allclose(X_BP[..., :2, 3], 0.0, atol=1e-11 * linkage.rod_mm.max())


@given(linkages(), ANGLES_DEG)
def test_every_pose_is_rigid(linkage, angles):
    moved = poses(linkage, angles)
    for X in (moved.X_EC, moved.X_EP, moved.X_ER, bore_frames(linkage)):
        rotation = X[..., :3, :3]
        product = np.swapaxes(rotation, -1, -2) @ rotation
        np.testing.assert_allclose(product, np.broadcast_to(np.eye(3), product.shape), atol=1e-14)
        np.testing.assert_allclose(np.linalg.det(rotation), 1.0, atol=1e-14)
        np.testing.assert_array_equal(X[..., 3, :], np.broadcast_to([0.0, 0.0, 0.0, 1.0], X[..., 3, :].shape))


@given(linkages(), ANGLES_DEG)
def test_one_turn_brings_everything_back(linkage, angles):
    now, later = (poses(linkage, np.add(angles, turn)) for turn in (0.0, 360.0))
    for name in ("X_EC", "X_EP", "X_ER"):
        np.testing.assert_allclose(getattr(later, name), getattr(now, name), atol=1e-10)


@given(linkages(), ANGLES_DEG)
def test_exchanging_left_and_right_mirrors_the_motion(linkage, angles):
    here, there = poses(linkage, angles), poses(mirrored(linkage), angles)
    for name in ("X_EC", "X_EP", "X_ER"):
        np.testing.assert_allclose(getattr(there, name), MIRROR @ getattr(here, name) @ MIRROR, atol=1e-10)
    one, other = state(linkage, angles), state(mirrored(linkage), angles)
    np.testing.assert_allclose(other.pin_height_mm, one.pin_height_mm, rtol=1e-13)
    np.testing.assert_allclose(other.rod_deg, -one.rod_deg, atol=1e-11)
    np.testing.assert_allclose(other.velocity_mm_per_rad, one.velocity_mm_per_rad, atol=1e-10)


@given(linkages(), st.floats(-360.0, 360.0))
def test_running_the_other_way_plays_the_motion_backwards(linkage, angle):
    backwards = dataclasses.replace(linkage, sense=-linkage.sense)
    one, other = state(linkage, angle), state(backwards, -angle)
    np.testing.assert_allclose(other.pin_height_mm, one.pin_height_mm, rtol=1e-14)
    np.testing.assert_allclose(other.velocity_mm_per_rad, -one.velocity_mm_per_rad, atol=1e-11)
    np.testing.assert_allclose(other.acceleration_mm_per_rad2, one.acceleration_mm_per_rad2, atol=1e-10)
    np.testing.assert_allclose(other.jerk_mm_per_rad3, -one.jerk_mm_per_rad3, atol=1e-9)


DERIVATIVES = (  # a curve, its slope, and the angle unit of the curve in radians where it has one
    ("pin_height_mm", "velocity_mm_per_rad", 1.0),
    ("velocity_mm_per_rad", "acceleration_mm_per_rad2", 1.0),
    ("acceleration_mm_per_rad2", "jerk_mm_per_rad3", 1.0),
    ("rod_deg", "rod_rate_per_rad", np.pi / 180.0),
    ("rod_rate_per_rad", "rod_acceleration_per_rad2", 1.0),
)


@given(linkages(least_rod_over_reach=1.5), st.floats(0.0, 360.0))
def test_each_derivative_is_the_slope_of_the_curve_before_it(linkage, angle):
    # Five-point central difference (any numerical analysis textbook); its error is of the order step^4.
    step_rad = 1e-3
    around = np.degrees(step_rad) * np.array([-2.0, -1.0, 0.0, 1.0, 2.0])
    motion = state(linkage, angle + around)
    for curve, slope, unit_rad in DERIVATIVES:
        values = getattr(motion, curve) * unit_rad
        numeric = (values[0] - 8.0 * values[1] + 8.0 * values[3] - values[4]) / (12.0 * step_rad)
        size = 1.0 if curve.startswith("rod") else linkage.throw_mm.max()
        np.testing.assert_allclose(getattr(motion, slope)[2], numeric, atol=2e-9 * size)


@settings(max_examples=25)
@given(linkages(least_rod_over_reach=1.02))
def test_dead_centres_are_the_highest_and_the_lowest_point(linkage):
    ends = dead_centres(linkage)
    bores = np.arange(linkage.x_mm.size)
    sampled = state(linkage, np.arange(0.0, 360.0, 0.25)).pin_height_mm
    assert (sampled <= ends.top_height_mm * (1.0 + 1e-14)).all()
    assert (sampled >= ends.bottom_height_mm * (1.0 - 1e-12)).all()
    for angle, height in ((ends.top_deg, ends.top_height_mm), (ends.bottom_deg, ends.bottom_height_mm)):
        there = state(linkage, angle)
        np.testing.assert_allclose(there.pin_height_mm[bores, bores], height, rtol=1e-12)
        np.testing.assert_allclose(
            there.velocity_mm_per_rad[bores, bores], 0.0, atol=1e-9 * linkage.rod_mm.max()
        )
    np.testing.assert_allclose(wrap_deg(ends.top_deg + ends.down_stroke_deg), ends.bottom_deg, atol=1e-9)
    np.testing.assert_allclose(ends.stroke_mm, ends.top_height_mm - ends.bottom_height_mm, rtol=1e-15)


@given(linkages())
def test_stroke_is_never_shorter_than_two_throws(linkage):
    stroke_mm = dead_centres(linkage).stroke_mm
    assert (stroke_mm >= 2.0 * linkage.throw_mm * (1.0 - 1e-14)).all()


@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize("offset_mm", [-5.0, 0.0, 5.0])
def test_pin_offset_moves_dead_centre_to_the_side_of_the_offset(sense, offset_mm):
    # Throw and rod in one line point at the piston pin. Turning about +x carries the top of the crank from +y
    # to -y, so a pin on the +y side is met before the bore axis is; run the other way, it is met after.
    linkage = one_bore(44.0, 150.0, offset_mm, sense)
    top_deg = float((dead_centres(linkage).top_deg[0] + 180.0) % 360.0 - 180.0)
    assert np.sign(np.round(top_deg, 9)) == -np.sign(offset_mm) * sense


@pytest.mark.parametrize("name", LAYOUTS)
@pytest.mark.parametrize("sense", [1, -1])
def test_each_bore_counts_from_its_own_dead_centre(name, sense):
    linkage = engine(*LAYOUTS[name], offset_mm=1.0, sense=sense)
    tops = dead_centres(linkage).top_deg
    for bore, top_deg in enumerate(tops):
        assert after_own_top_dead_centre_deg(linkage, top_deg)[bore] == 0.0
        assert after_own_top_dead_centre_deg(linkage, top_deg - 1.0)[bore] == pytest.approx(359.0)
        assert after_own_top_dead_centre_deg(linkage, top_deg + 725.0)[bore] == pytest.approx(5.0)


def test_cross_plane_v8_has_a_dead_centre_every_right_angle():
    # Eight bores of a four-stroke engine fire 90 degrees apart: two at each of four dead centres per turn.
    tops = dead_centres(engine(*LAYOUTS["cross-plane V8"])).top_deg
    np.testing.assert_allclose(np.sort(tops), [0, 0, 90, 90, 180, 180, 270, 270], atol=1e-12)


@given(linkages(), st.floats(0.02, 0.98), st.sampled_from(["down", "up"]))
def test_crank_angle_at_a_height_is_the_angle_at_which_the_piston_is_there(linkage, part, stroke):
    ends = dead_centres(linkage)
    height_mm = ends.bottom_height_mm + part * ends.stroke_mm
    angle_deg = crank_deg_at_height(linkage, height_mm, stroke)
    bores = np.arange(linkage.x_mm.size)
    motion = state(linkage, angle_deg)
    np.testing.assert_allclose(motion.pin_height_mm[bores, bores], height_mm, rtol=1e-11)
    going_down = motion.velocity_mm_per_rad[bores, bores] < 0.0
    assert going_down.all() if stroke == "down" else not going_down.any()


def test_heights_that_the_piston_never_reaches_have_no_crank_angle():
    linkage = one_bore(44.0, 150.0)
    for height_mm in (194.1, 105.9, 0.0, -150.0):
        assert np.isnan(crank_deg_at_height(linkage, height_mm, "down")).all()
    for height_mm, angle_deg in ((194.0, 0.0), (106.0, 180.0)):
        assert crank_deg_at_height(linkage, height_mm, "down") == pytest.approx(angle_deg, abs=1e-5)


def test_answers_take_the_shape_of_the_question():
    linkage = engine(*LAYOUTS["flat four"])
    for shape in ((), (3,), (2, 5)):
        angles = np.zeros(shape)
        assert pin_throw_deg(linkage, angles).shape == (*shape, 4)
        assert state(linkage, angles).jerk_mm_per_rad3.shape == (*shape, 4)
        assert after_own_top_dead_centre_deg(linkage, angles).shape == (*shape, 4)
        moved = poses(linkage, angles)
        assert moved.X_EC.shape == (*shape, 4, 4)
        assert moved.X_EP.shape == moved.X_ER.shape == (*shape, 4, 4, 4)
    assert bore_frames(linkage).shape == (4, 4, 4)


def test_many_angles_at_once_are_the_same_as_one_by_one():
    linkage = engine(*LAYOUTS["60 degree V6, split pins"], offset_mm=0.7, sense=-1)
    angles = np.linspace(-100.0, 800.0, 11)
    together = state(linkage, angles)
    for row, angle in enumerate(angles):
        alone = state(linkage, angle)
        for field in dataclasses.fields(together):
            values = getattr(together, field.name)[row]
            np.testing.assert_allclose(getattr(alone, field.name), values, rtol=1e-12, atol=1e-12)


def test_speed_turns_radians_into_seconds():
    # 60 rpm is one turn, 2 pi radians, per second.
    motion = state(one_bore(44.0, 150.0, 1.0), 50.0)
    moving = at_speed(motion, 60.0)
    omega = 2.0 * np.pi
    np.testing.assert_allclose(moving.velocity_m_s, motion.velocity_mm_per_rad * omega / 1e3)
    np.testing.assert_allclose(moving.acceleration_m_s2, motion.acceleration_mm_per_rad2 * omega**2 / 1e3)


@pytest.mark.parametrize(
    ("given_deg", "wrapped_deg"),
    [(0.0, 0.0), (360.0, 0.0), (-90.0, 270.0), (725.0, 5.0), (-1e-14, 0.0), (359.9999999, 359.9999999)],
)
def test_angles_wrap_into_one_turn(given_deg, wrapped_deg):
    assert wrap_deg(given_deg) == wrapped_deg


@pytest.mark.parametrize(("rod_mm", "offset_mm"), [(44.0, 0.0), (40.0, 0.0), (50.0, 6.0), (50.0, -6.5)])
def test_a_rod_that_cannot_pass_the_throw_is_refused(rod_mm, offset_mm):
    with pytest.raises(GeometryError, match="must be longer than") as refusal:
        one_bore(44.0, rod_mm, offset_mm)
    assert refusal.value.code == "rod_too_short"


def test_the_shortest_rod_that_turns_over_is_accepted():
    motion = state(one_bore(44.0, 50.0 + 1e-9, 6.0), np.arange(0.0, 360.0, 1.0))
    for field in dataclasses.fields(motion):
        assert np.isfinite(getattr(motion, field.name)).all()


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"sense": 0}, r"sense of rotation is \+1 or -1"),
        ({"throw_mm": np.array([0.0])}, "throw must be longer than zero"),
        ({"pin_deg": np.array([np.nan])}, "finite"),
        ({"rod_mm": np.array([np.inf])}, "finite"),
        ({"x_mm": np.array([1.0, 2.0])}, "one entry per bore"),
    ],
)
def test_numbers_that_make_no_linkage_are_refused(change, message):
    with pytest.raises(ValueError, match=message):
        dataclasses.replace(one_bore(44.0, 150.0), **change)


def test_inputs_are_left_as_they_were():
    linkage = engine(*LAYOUTS["inline-six"], offset_mm=0.5)
    for field in dataclasses.fields(Linkage):
        if field.name != "sense":
            getattr(linkage, field.name).setflags(write=False)
    angles = np.linspace(0.0, 720.0, 7)
    angles.setflags(write=False)
    poses(linkage, angles)
    at_speed(state(linkage, angles), 3000.0)
    dead_centres(linkage)
    crank_deg_at_height(linkage, np.full(6, 150.0), "up")
