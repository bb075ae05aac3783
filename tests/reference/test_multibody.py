"""The closed form against solvers that know nothing of it.

A multibody engine is handed bodies, joints and the condition that the rod's small end stays on the piston pin;
its own geometry and Jacobians then give position, velocity and acceleration for a crank angle. And a general
root finder is handed the two equations of the closed triangle.
"""

import dataclasses

import mujoco
import numpy as np
import pytest
from scipy.optimize import least_squares, root, root_scalar

from geometry.kinematics.slider_crank import Linkage, dead_centres, poses, state
from geometry.kinematics.speeds import peak_acceleration, peak_speed
from tests.geometry.linkages import LAYOUTS, engine

RELATIVE = 1e-9


class MultibodyEngine:
    """Crank, rods and pistons in MuJoCo, in metres, from nothing but lengths and angles.

    The crank is a hinge on the x axis; each rod is a hinge at its crankpin, with the crank as its parent; each
    piston slides along its bore. ``closed`` finds the joint positions at which the small ends lie on the pins.
    """

    def __init__(self, linkage: Linkage) -> None:
        self.linkage = linkage
        self.count = linkage.x_mm.size
        spec = mujoco.MjSpec()
        spec.compiler.degree = False
        spec.option.gravity = [0.0, 0.0, 0.0]
        crank = self.body(spec.worldbody, "crank", [0.0, 0.0, 0.0])
        crank.add_joint(type=mujoco.mjtJoint.mjJNT_HINGE, axis=[linkage.sense, 0.0, 0.0])
        for bore in range(self.count):
            self.add_bore(spec, crank, bore)
        self.model = spec.compile()
        self.data = mujoco.MjData(self.model)

    @staticmethod
    def body(parent, name, position):
        child = parent.add_body(name=name, pos=position, mass=1.0, inertia=[1.0, 1.0, 1.0])
        child.explicitinertial = True
        return child

    def add_bore(self, spec, crank, bore):
        linkage = self.linkage
        x, throw, rod, offset = (
            getattr(linkage, name)[bore] / 1000.0 for name in ("x_mm", "throw_mm", "rod_mm", "offset_mm")
        )
        pin, bank = np.radians(linkage.pin_deg[bore]), np.radians(linkage.bank_deg[bore])
        rod_body = self.body(crank, f"rod{bore}", [x, -throw * np.sin(pin), throw * np.cos(pin)])
        rod_body.add_joint(type=mujoco.mjtJoint.mjJNT_HINGE, axis=[1.0, 0.0, 0.0])
        rod_body.add_site(name=f"small_end{bore}", pos=[0.0, 0.0, rod])
        piston = self.body(spec.worldbody, f"piston{bore}", [x, 0.0, 0.0])
        piston.quat = [np.cos(bank / 2.0), np.sin(bank / 2.0), 0.0, 0.0]
        piston.add_joint(type=mujoco.mjtJoint.mjJNT_SLIDE, axis=[0.0, 0.0, 1.0])
        piston.add_site(name=f"pin{bore}", pos=[0.0, offset, 0.0])

    def gaps(self):
        """How far each small end is from its pin, and the change of that with every joint: (2 n,), (2 n, nv)."""
        gap, slope = [], []
        for bore in range(self.count):
            ends = []
            for name in (f"small_end{bore}", f"pin{bore}"):
                site = self.model.site(name).id
                jacobian = np.zeros((3, self.model.nv))
                mujoco.mj_jacSite(self.model, self.data, jacobian, None, site)
                ends.append((self.data.site_xpos[site].copy(), jacobian))
            gap.append((ends[0][0] - ends[1][0])[1:])
            slope.append((ends[0][1] - ends[1][1])[1:])
        return np.concatenate(gap), np.concatenate(slope)

    def closed(self, crank_deg):
        """Stand the crank at an angle, start with upright rods and pistons up, and close every loop by Newton."""
        bank = np.radians(self.linkage.bank_deg)
        joints = np.zeros(self.model.nv)
        joints[0] = np.radians(crank_deg)
        for bore in range(self.count):
            joints[self.joint(f"rod{bore}")] = bank[bore] - self.linkage.sense * joints[0]
            joints[self.joint(f"piston{bore}")] = self.linkage.rod_mm[bore] / 1000.0
        for _ in range(30):
            self.data.qpos[:] = joints
            mujoco.mj_fwdPosition(self.model, self.data)
            gap, slope = self.gaps()
            if np.abs(gap).max() < 1e-15:
                break
            joints[1:] -= np.linalg.solve(slope[:, 1:], gap)
        assert np.abs(gap).max() < 1e-14
        return slope

    def joint(self, body):
        return self.model.body(body).jntadr[0]

    def rates(self, slope):
        """Joint velocities and accelerations for a crank that turns at a steady 1 rad/s."""
        velocity = np.ones(self.model.nv)
        velocity[1:] = np.linalg.solve(slope[:, 1:], -slope[:, 0])
        self.data.qvel[:] = velocity
        self.data.qacc[:] = 0.0
        mujoco.mj_fwdVelocity(self.model, self.data)
        mujoco.mj_rnePostConstraint(self.model, self.data)
        drift = np.concatenate([self.site_acceleration(bore) for bore in range(self.count)])
        acceleration = np.zeros(self.model.nv)
        acceleration[1:] = np.linalg.solve(slope[:, 1:], -drift)
        return velocity, acceleration

    def site_acceleration(self, bore):
        """Acceleration of the small end away from its pin while no joint accelerates: (2,), in the y-z plane."""
        found = []
        for name in (f"small_end{bore}", f"pin{bore}"):
            result = np.zeros(6)
            site = self.model.site(name).id
            mujoco.mj_objectAcceleration(self.model, self.data, mujoco.mjtObj.mjOBJ_SITE, site, result, 0)
            found.append(result[4:])
        return found[0] - found[1]

    def pose(self, body):
        index = self.model.body(body).id
        X = np.eye(4)
        X[:3, :3] = self.data.xmat[index].reshape(3, 3)
        X[:3, 3] = self.data.xpos[index] * 1000.0
        return X


@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize("name", LAYOUTS)
def test_multibody_engine_stands_where_the_closed_form_says(name, sense):
    linkage = engine(*LAYOUTS[name], throw_mm=44.2, rod_mm=148.6, offset_mm=0.9, sense=sense)
    linkage = dataclasses.replace(
        linkage, offset_mm=linkage.offset_mm * np.resize([1.0, -2.0], linkage.x_mm.size)
    )
    machine = MultibodyEngine(linkage)
    for crank_deg in (0.0, 33.0, 90.0, 141.5, 200.0, 275.0, 359.0):
        slope = machine.closed(crank_deg)
        moved, motion = poses(linkage, crank_deg), state(linkage, crank_deg)
        np.testing.assert_allclose(moved.X_EC, machine.pose("crank"), atol=1e-12)
        velocity, acceleration = machine.rates(slope)
        for bore in range(machine.count):
            np.testing.assert_allclose(moved.X_EP[bore], machine.pose(f"piston{bore}"), atol=1e-10)
            np.testing.assert_allclose(moved.X_ER[bore], machine.pose(f"rod{bore}"), atol=1e-10)
        piston = [machine.joint(f"piston{bore}") for bore in range(machine.count)]
        rod = [machine.joint(f"rod{bore}") for bore in range(machine.count)]
        scale = RELATIVE * 44.2
        np.testing.assert_allclose(motion.pin_height_mm, machine.data.qpos[piston] * 1e3, rtol=RELATIVE)
        np.testing.assert_allclose(motion.velocity_mm_per_rad, velocity[piston] * 1e3, atol=scale)
        np.testing.assert_allclose(motion.acceleration_mm_per_rad2, acceleration[piston] * 1e3, atol=scale)
        # The rod's joint is measured from the crank, ours from the bore: they differ by the crank's own turning.
        np.testing.assert_allclose(motion.rod_rate_per_rad, velocity[rod] + sense, atol=RELATIVE)
        np.testing.assert_allclose(motion.rod_acceleration_per_rad2, acceleration[rod], atol=RELATIVE)


TRIANGLES = [
    # throw, rod, offset; from an ordinary engine to a rod that hardly passes
    (43.0, 145.0, 0.0),
    (43.0, 145.0, 0.8),
    (50.0, 90.0, -15.0),
    (44.0, 52.0, 6.0),
]


def closure(throw_mm, rod_mm, offset_mm, throw_rad):
    """Two equations in pin height and rod lean: the way crank, then rod, ends at the piston pin."""

    def gap(unknown):
        height_mm, lean_rad = unknown
        across = -throw_mm * np.sin(throw_rad) - rod_mm * np.sin(lean_rad) - offset_mm
        along = throw_mm * np.cos(throw_rad) + rod_mm * np.cos(lean_rad) - height_mm
        return np.array([across, along])

    return gap


def solved(throw_mm, rod_mm, offset_mm, throw_rad):
    answer = root(closure(throw_mm, rod_mm, offset_mm, throw_rad), [rod_mm, 0.0], tol=1e-14)
    if np.abs(answer.fun).max() > 1e-12 * rod_mm:  # the hybrid method stops early beside a fold; polish it
        answer = least_squares(
            closure(throw_mm, rod_mm, offset_mm, throw_rad), answer.x, xtol=None, ftol=None, gtol=1e-15
        )
    return answer.x


@pytest.mark.parametrize("triangle", TRIANGLES, ids=str)
@pytest.mark.parametrize("sense", [1, -1])
def test_root_finder_closes_the_triangle_at_the_same_place(triangle, sense):
    throw_mm, rod_mm, offset_mm = triangle
    linkage = engine([30.0], [75.0], throw_mm, rod_mm, offset_mm, sense=sense)
    for crank_deg in np.arange(0.0, 360.0, 15.0):
        throw_rad = np.radians(75.0 - 30.0 + sense * crank_deg)
        height_mm, lean_rad = solved(throw_mm, rod_mm, offset_mm, throw_rad)
        motion = state(linkage, crank_deg)
        assert motion.pin_height_mm[0] == pytest.approx(height_mm, rel=RELATIVE)
        assert np.radians(motion.rod_deg[0]) == pytest.approx(lean_rad, abs=RELATIVE)


def slope_of_the_height(triangle, throw_rad):
    """Piston velocity per radian from the solved triangle: the two equations differentiated, then solved."""
    throw_mm, rod_mm, _ = triangle
    _, lean_rad = solved(*triangle, throw_rad)
    lean_rate = -throw_mm * np.cos(throw_rad) / (rod_mm * np.cos(lean_rad))
    return -throw_mm * np.sin(throw_rad) - rod_mm * np.sin(lean_rad) * lean_rate


@pytest.mark.parametrize("triangle", TRIANGLES, ids=str)
def test_dead_centres_are_where_the_solved_triangle_stops(triangle):
    ends = dead_centres(engine([0.0], [0.0], *triangle))
    for angle_deg, height_mm in (
        (ends.top_deg[0], ends.top_height_mm[0]),
        (ends.bottom_deg[0], ends.bottom_height_mm[0]),
    ):
        around = [np.radians(angle_deg - 20.0), np.radians(angle_deg + 20.0)]
        stop = root_scalar(
            lambda throw_rad: slope_of_the_height(triangle, throw_rad), bracket=around, xtol=1e-13
        )
        assert stop.root == pytest.approx(np.radians(angle_deg), abs=1e-9)
        assert solved(*triangle, stop.root)[0] == pytest.approx(height_mm, rel=RELATIVE)


@pytest.mark.parametrize("triangle", TRIANGLES, ids=str)
def test_peaks_are_where_the_solved_motion_turns(triangle):
    linkage = engine([0.0], [0.0], *triangle)
    step = 1e-4

    def change(throw_rad):
        return slope_of_the_height(triangle, throw_rad + step) - slope_of_the_height(
            triangle, throw_rad - step
        )

    peak = peak_speed(linkage)
    at = np.radians(peak.crank_deg[0])
    zero = root_scalar(change, bracket=[at - 0.02, at + 0.02], xtol=1e-12).root
    assert zero == pytest.approx(at, abs=1e-6)
    assert -slope_of_the_height(triangle, zero) == pytest.approx(peak.speed_mm_per_rad[0], rel=RELATIVE)
    most = peak_acceleration(linkage)
    value = change(np.radians(most.crank_deg[0])) / (2.0 * step)
    assert value == pytest.approx(most.acceleration_mm_per_rad2[0], rel=1e-5)
