"""Rigid poses against plane trigonometry, numpy's general inverse and scipy's rotations."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from geometry.kinematics.poses import compose, inverse, rot_x_deg, transform, translation

ANGLE_DEG = st.floats(-1080.0, 1080.0)
LENGTH_MM = st.floats(-1000.0, 1000.0)
POSE_NUMBERS = st.tuples(ANGLE_DEG, LENGTH_MM, LENGTH_MM, LENGTH_MM)


def pose(numbers):
    angle_deg, x_mm, y_mm, z_mm = numbers
    return compose(translation([x_mm, y_mm, z_mm]), rot_x_deg(angle_deg))


@given(ANGLE_DEG)
def test_turn_about_x_is_the_same_as_scipy_has_it(angle_deg):
    expected = Rotation.from_euler("x", angle_deg, degrees=True).as_matrix()
    np.testing.assert_allclose(rot_x_deg(angle_deg)[:3, :3], expected, atol=1e-13)


@pytest.mark.parametrize(
    ("angle_deg", "y", "z"), [(0.0, 0.0, 1.0), (90.0, -1.0, 0.0), (180.0, 0.0, -1.0), (-90.0, 1.0, 0.0)]
)
def test_positive_turn_leans_the_upright_towards_minus_y(angle_deg, y, z):
    # Right-handed frame with x to the rear, y to the right seen from the rear and z up: turning +z about +x
    # by a right angle gives -y, the left side.
    np.testing.assert_allclose(transform(rot_x_deg(angle_deg), [0.0, 0.0, 1.0]), [0.0, y, z], atol=1e-15)


def test_shift_moves_the_origin_and_nothing_else():
    X = translation([1.0, -2.0, 3.0])
    np.testing.assert_array_equal(X[:3, 3], [1.0, -2.0, 3.0])
    np.testing.assert_array_equal(X[:3, :3], np.eye(3))
    np.testing.assert_array_equal(X[3], [0.0, 0.0, 0.0, 1.0])


@given(POSE_NUMBERS, POSE_NUMBERS)
def test_chain_then_its_inverse_is_no_move(first, second):
    X_AC = compose(pose(first), pose(second))
    np.testing.assert_allclose(compose(inverse(X_AC), X_AC), np.eye(4), atol=1e-9)
    np.testing.assert_allclose(inverse(X_AC), np.linalg.inv(X_AC), atol=1e-9)


@given(POSE_NUMBERS, POSE_NUMBERS)
def test_chain_stays_rigid(first, second):
    rotation = compose(pose(first), pose(second))[:3, :3]
    np.testing.assert_allclose(rotation.T @ rotation, np.eye(3), atol=1e-14)
    assert np.linalg.det(rotation) == pytest.approx(1.0, abs=1e-14)


def test_arrays_of_angles_and_shifts_broadcast():
    X_AB = translation(np.arange(3.0)[:, None] * [1.0, 0.0, 0.0])
    X_BC = rot_x_deg(np.linspace(0.0, 90.0, 5))[:, None]
    X_AC = compose(X_AB, X_BC)
    assert X_AC.shape == (5, 3, 4, 4)
    np.testing.assert_array_equal(X_AC[4, 2], X_AB[2] @ X_BC[4, 0])


def test_points_are_carried_one_by_one_or_many_at_once():
    X_AB = compose(translation([[10.0, 0.0, 0.0], [20.0, 0.0, 0.0]]), rot_x_deg([0.0, 90.0]))
    points = np.array([[1.0, 2.0, 3.0], [4.0, 5.0, 6.0]])
    np.testing.assert_allclose(transform(X_AB, points)[1], [[21.0, -3.0, 2.0], [24.0, -6.0, 5.0]], atol=1e-14)
    np.testing.assert_allclose(transform(X_AB, points[0]), [[11.0, 2.0, 3.0], [21.0, -3.0, 2.0]], atol=1e-14)


def test_inputs_are_left_as_they_were():
    X = pose((30.0, 1.0, 2.0, 3.0))
    X.setflags(write=False)
    angles = np.array([1.0, 2.0])
    angles.setflags(write=False)
    inverse(X)
    compose(X, X)
    transform(X, np.ones((2, 3)))
    rot_x_deg(angles)
    translation(X[:3, 3])
