"""Motion laws of bodies: poses against the motion module, bounds against sympy and dense differences."""

import numpy as np
import pytest
import sympy as sp
from hypothesis import given
from hypothesis import strategies as st

from geometry.kinematics.laws import LawTable, fixed, piston, rod, spin, valve
from geometry.kinematics.lift_curve import LiftCurve
from geometry.kinematics.slider_crank import Linkage, poses

ANGLES = np.linspace(0.0, 720.0, 181)


def linked():
    return st.builds(
        lambda r, ratio, share, bank, pin, sense: (30.0, bank, pin, r, r * ratio, r * share, sense),
        st.floats(20, 60),
        st.floats(2.6, 5.0),
        st.floats(-0.08, 0.08),
        st.floats(-90, 90),
        st.floats(-180, 180),
        st.sampled_from([1, -1]),
    )


@given(linked())
def test_poses_are_those_of_the_motion_module(numbers):
    x, bank, pin, r, length, d, sense = numbers
    linkage = Linkage(*(np.array([v]) for v in (x, bank, pin, r, length, d)), sense)
    wanted = poses(linkage, ANGLES)
    assert rod(*numbers).poses(ANGLES) == pytest.approx(wanted.X_ER[:, 0], abs=1e-9)
    assert piston(*numbers).poses(ANGLES) == pytest.approx(wanted.X_EP[:, 0], abs=1e-9)
    assert spin(sense).poses(ANGLES) == pytest.approx(wanted.X_EC, abs=1e-9)


def test_a_cam_turns_once_in_two_turns_of_the_crank_about_its_own_axis():
    X = spin(-1, 0.5, (5.0, 10.0, 130.0), 30.0).poses(np.array([0.0, 720.0, 120.0]))
    assert X[0] == pytest.approx(X[1], abs=1e-9)
    assert X[2] @ [0, 0, 1, 1] == pytest.approx(
        [5.0, 10.0 + np.sin(np.radians(30)), 130 + np.cos(np.radians(30)), 1]
    )


def test_a_rod_too_short_for_its_throw_is_refused():
    with pytest.raises(ValueError, match="the rod must be longer"):
        rod(0, 0, 0, 50.0, 51.0)
    with pytest.raises(ValueError, match="the rod must be longer"):
        piston(0, 0, 0, 50.0, 0.0)


def _bounds(law, point, middle_deg, half_deg):
    """Bounds for one point (y, z) of the body."""
    y, z = point
    rho, pin = np.hypot(y, z), np.hypot(y, z - law.rod_mm)
    one = np.zeros(1, dtype=np.intp)
    speed, accel = LawTable([law]).bounds(
        one, np.radians([middle_deg]), np.radians([half_deg]), np.array([rho]), np.array([pin])
    )
    return speed[0], accel[0]


def _symbolic(law, point):
    """Speed and acceleration of a point per radian, by sympy from the constraint alone."""
    t, y, z = sp.symbols("t y z")
    r, length, d = sp.Float(law.throw_mm), sp.Float(law.rod_mm), sp.Float(law.offset_mm)
    phi = sp.rad(law.pin_deg - law.bank_deg) + law.sense * t
    s = r * sp.cos(phi) + sp.sqrt(length**2 - (d + r * sp.sin(phi)) ** 2)
    if law.kind == "piston":
        path = sp.Matrix([y, s + z])
    else:
        pin, big = sp.Matrix([d, s]), sp.Matrix([-r * sp.sin(phi), r * sp.cos(phi)])
        along = (pin - big) / length
        across = sp.Matrix([along[1], -along[0]])
        path = big + z * along + y * across
    values = [sp.sqrt(v.dot(v)).subs({y: point[0], z: point[1]}) for v in (path.diff(t), path.diff(t, 2))]
    return [sp.lambdify(t, v, "numpy") for v in values]


LAWS = [
    piston(0, 45, 90, 44.0, 145.0, 0.8, 1),
    piston(0, -45, 30, 50.0, 135.0, -1.5, -1),
    rod(0, 45, 90, 44.0, 145.0, 0.8, 1),
    rod(0, 0, 0, 52.0, 140.0, 2.0, -1),
]
POINTS = [(0.0, 0.0), (38.0, -20.0), (-12.0, 70.0), (5.0, 150.0), (0.0, 145.0)]


@pytest.mark.parametrize("law", LAWS)
def test_no_point_moves_or_turns_faster_than_its_bound(law):
    """Against exact derivatives of the constraint (sympy), on wide and narrow intervals."""
    for point in POINTS:
        speed, accel = _symbolic(law, point)
        for half in (0.5, 7.5, 60.0):
            for middle in range(0, 360, 15):
                theta = np.radians(np.linspace(middle - half, middle + half, 41))
                v, a = _bounds(law, point, middle, half)
                assert v >= np.max(speed(theta)) - 1e-9
                assert a >= np.max(accel(theta)) - 1e-9


def test_the_bounds_are_reached_so_that_one_five_percent_short_is_false():
    """Spin: everywhere. Crankpin: r. Piston: r + r^2/l at top dead centre without offset (textbook)."""
    v, a = _bounds(spin(ratio=0.5), (30.0, 40.0), 10.0, 5.0)
    assert (v, a) == pytest.approx((25.0, 12.5))
    _, a = _bounds(rod(0, 0, 0, 44.0, 145.0), (0.0, 0.0), 30.0, 1.0)
    assert a == pytest.approx(44.0)
    for law in (piston(0, 0, 0, 44.0, 145.0), rod(0, 0, 0, 44.0, 145.0)):
        _, a = _bounds(law, (0.0, 145.0), 0.0, 1e-6)
        assert 0.95 * a < 44.0 + 44.0**2 / 145.0 <= a * (1 + 1e-9)
    law = rod(0, 0, 0, 44.0, 145.0)
    _, accel = _symbolic(law, (0.0, 60.0))
    _, a = _bounds(law, (0.0, 60.0), 0.0, 1e-6)
    assert 0.95 * a < accel(np.array(0.0))
    assert _bounds(fixed(), (50.0, 50.0), 0.0, 1.0) == (0.0, 0.0)


def curves():
    return st.builds(
        lambda full, shut, ramp, rate: LiftCurve(full / (1 - shut), shut, ramp * full, rate),
        st.floats(4.0, 16.0),
        st.floats(-0.3, 0.8),
        st.floats(0.005, 0.05),
        st.sampled_from([0.5, 1.0]),
    )


@given(curves(), st.floats(-90, 90), st.floats(0, 720), st.floats(0, 720), st.floats(0.01, 60.0))
def test_no_valve_moves_or_turns_faster_than_its_bound(curve, bank, full, middle, half):
    """Against differences of the pose alone: a mean speed or acceleration is never above the largest one."""
    law = valve(30.0, bank, full, curve)
    v, a = _bounds(law, (12.0, 200.0), middle, half)
    step = 2 * half / 400
    theta = middle + np.linspace(-half, half, 401)
    at = law.poses(theta)[:, :3, 3]
    speed = np.linalg.norm(np.diff(at, axis=0), axis=1) / np.radians(step)
    accel = np.linalg.norm(np.diff(at, 2, axis=0), axis=1) / np.radians(step) ** 2
    rounding = 1e-13 * 400 / np.radians(step) ** 2
    assert v >= speed.max() - 1e-6
    assert a >= accel.max() - 1e-6 - rounding


def test_the_bounds_of_a_valve_are_reached():
    """By hand: fastest y' = k A sin psi; at full lift k^2 A; on the ramp y'^2 / 2w more."""
    curve = LiftCurve(20.0, 0.4, 0.1, 0.5)
    law = valve(0.0, 30.0, 90.0, curve)
    v, a = _bounds(law, (0.0, 0.0), 90.0, 1e-6)
    assert (v, a) == pytest.approx((0.0, 0.25 * 20.0), abs=1e-4)
    opens = 90.0 - 2 * np.degrees(np.arccos(0.4))
    v, a = _bounds(law, (0.0, 0.0), opens, 1e-6)
    slope = 0.5 * 20.0 * np.sin(np.arccos(0.4))
    assert v == pytest.approx(slope / 2, rel=1e-4)  # half way up the ramp
    assert a == pytest.approx(slope**2 / 0.2 + 0.5 * 0.25 * 20.0 * 0.4, rel=1e-4)
    assert _bounds(law, (0.0, 0.0), 300.0, 20.0) == (0.0, 0.0)  # shut


def test_a_valve_goes_down_its_bore_by_its_lift():
    curve = LiftCurve(20.0, 0.4, 0.1, 0.5)
    law = valve(7.0, 45.0, 100.0, curve)
    down = np.array(
        [0.0, np.sin(np.radians(45.0)), -np.cos(np.radians(45.0))]
    )  # towards the crank, left bank
    for crank in (100.0, 130.0, 400.0):
        moved = law.poses(np.array(crank))[:3, 3] - [7.0, 0.0, 0.0]
        assert moved == pytest.approx(down * float(curve.lift_mm(crank - 100.0)), abs=1e-12)
