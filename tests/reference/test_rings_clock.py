"""Clocking schemes against the service manuals they are taken from, and the thrust side against statics."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.rings.angles import separation_deg, thrust_ring_deg
from geometry.rings.schemes import SCHEMES, resolve

THRUSTS = pytest.mark.parametrize("thrust_deg", [90.0, 270.0])


def apart(angles, a, b):
    return separation_deg(angles[a], angles[b])


@THRUSTS
def test_thirds_separations(thrust_deg):
    # A maker's 2002 service manual, "Ring Gap Orientation", p. 9a-38.
    angles = resolve(SCHEMES["thirds"], thrust_deg)
    expected = {
        ("top", "second"): 120,
        ("top", "upper_rail"): 120,
        ("second", "upper_rail"): 120,
        ("top", "lower_rail"): 60,
        ("second", "lower_rail"): 60,
        ("upper_rail", "lower_rail"): 180,
        ("expander", "upper_rail"): 90,
        ("expander", "lower_rail"): 90,
        ("expander", "second"): 30,
    }
    for pair, separation in expected.items():
        assert apart(angles, *pair) == pytest.approx(separation), pair
    # Rails on the pin axis, the expander joint on the skirt's centre line.
    assert {angles["upper_rail"], angles["lower_rail"]} == {0.0, 180.0}
    assert angles["expander"] == thrust_deg


@THRUSTS
def test_two_piece_oil_ring(thrust_deg):
    # US Army TM 55-1905-221-14-3: expander 0, upper 180, lower 45 from the upper (135 or 225); compression staggered.
    angles = resolve(SCHEMES["two_piece_oil"], thrust_deg)
    assert apart(angles, "expander", "upper_rail") == pytest.approx(180)
    assert apart(angles, "upper_rail", "lower_rail") == pytest.approx(45)
    assert (angles["lower_rail"] - angles["expander"]) % 360 in (135.0, 225.0)
    assert apart(angles, "top", "second") > 0


@THRUSTS
def test_alternating_along_the_pin_axis(thrust_deg):
    # US Army TM 5-3825-225-14&P: 0, 180, 0, 180 along the pin axis. A piston maker's sheet: expander joint about 90
    # degrees from the pin axis.
    angles = resolve(SCHEMES["alternating"], thrust_deg)
    assert [angles[ring] for ring in ("top", "second", "upper_rail", "lower_rail")] == [
        0.0,
        180.0,
        0.0,
        180.0,
    ]
    assert apart(angles, "expander", "upper_rail") == pytest.approx(90)


@pytest.mark.parametrize("key", [key for key, scheme in SCHEMES.items() if not scheme.neighbours_only])
def test_compression_gaps_staggered_and_clear_of_the_rails(key):
    # 2008 V6 service manual: compression gaps staggered, neither in line with an oil-rail gap.
    angles = resolve(SCHEMES[key], 90.0)
    for pair in (("top", "second"), ("top", "upper_rail"), ("top", "lower_rail"), ("second", "upper_rail"),
                 ("second", "lower_rail")):  # fmt: skip
        assert apart(angles, *pair) > 0


def side_force(bank_deg, sense, after_tdc_deg, throw, rod, offset):
    """Force of the wall on the piston along the bore's +y per unit of gas force, from statics in the engine's plane.

    Nothing of the program's motion is used: the bore axis, its right-hand normal and the crankpin are placed as
    plane vectors (y, z); the small end is found by intersecting the line it slides on with the rod's circle; then
    two equations of balance for rod force and wall force.
    """
    bank, turned = np.radians(bank_deg), np.radians(sense * after_tdc_deg)
    along = np.array([-np.sin(bank), np.cos(bank)])
    across = np.array([np.cos(bank), np.sin(bank)])
    start = bank - np.arcsin(offset / (throw + rod))  # throw and rod in line: the top of the stroke
    pin = throw * np.array([-np.sin(start + turned), np.cos(start + turned)])
    foot = offset * across
    b, c = along @ (foot - pin), (foot - pin) @ (foot - pin) - rod**2
    small_end = foot + (-b + np.sqrt(b * b - c)) * along
    rod_direction = (small_end - pin) / rod
    _, wall = np.linalg.solve(np.column_stack([rod_direction, across]), along)
    return wall


def test_side_force_of_the_published_case():
    # Derived value: at 40 degrees after the top, throw 43 and rod 145, side force 0.194 of the axial force; a
    # clockwise engine seen from the front thrusts towards the viewer's left, the engine's right. A 2008 V6 service
    # manual: "major thrust (right) side".
    wall = side_force(0.0, 1, 40.0, 43.0, 145.0, 0.0)
    assert abs(wall) == pytest.approx(0.194, abs=5e-4)
    assert -wall > 0  # the piston presses towards +y, the right of somebody facing forward


@given(
    bank_deg=st.floats(-90, 90),
    sense=st.sampled_from([1, -1]),
    after_tdc_deg=st.floats(5, 150),
    ratio=st.floats(2.6, 5.0),
    offset=st.floats(-0.02, 0.02),
)
def test_thrust_side_is_where_statics_puts_it(bank_deg, sense, after_tdc_deg, ratio, offset):
    wall = side_force(bank_deg, sense, after_tdc_deg, 1.0, ratio, offset)
    thrust = -np.sign(wall)  # the piston presses against what presses it
    expected = 90.0 if thrust > 0 else 270.0
    assert thrust_ring_deg(sense) == expected


@pytest.mark.parametrize("bank_deg, words", [(0.0, "right"), (45.0, "inboard"), (-45.0, "outboard")])
def test_thrust_side_in_words_for_normal_rotation(bank_deg, words):
    # In a vee that turns clockwise seen from the front, the left bank (leaning to -y) thrusts towards the valley,
    # the right bank away from it; an inline towards the right. Direction of ring angle 90 in the engine's plane:
    ring = np.radians(thrust_ring_deg(1))
    bank = np.radians(bank_deg)
    in_bore = np.array([np.sin(ring), 0.0])
    y = np.cos(bank) * in_bore[0] - np.sin(bank) * in_bore[1]
    leaning = -np.sin(bank)
    found = "right" if leaning == 0 and y > 0 else "inboard" if y * leaning < 0 else "outboard"
    assert found == words
