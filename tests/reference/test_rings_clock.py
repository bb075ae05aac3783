"""Clocking schemes against the service manuals they are taken from, and the thrust side against statics."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.kinematics.layout import build_layout
from geometry.rings.angles import separation_deg
from geometry.rings.schemes import SCHEMES, resolve
from tests.geometry.rings.engines import engine
from tests.geometry.rings.statics import side_force

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
def test_thrust_is_to_the_same_side_of_every_bank_and_turns_with_the_rotation(
    bank_deg, sense, after_tdc_deg, ratio, offset
):
    # What the ring clock rests on: +y of the bore frame in normal rotation, whatever the bank.
    wall = side_force(bank_deg, sense, after_tdc_deg, 1.0, ratio, offset)
    assert np.sign(-wall) == sense


@pytest.mark.parametrize("layout, bank, words", [("inline", "line", "right"), ("vee90", "left", "inboard"),
                                                 ("vee90", "right", "outboard"), ("vee60", "left", "inboard"),
                                                 ("flat", "left", "up"), ("flat", "right", "down")])  # fmt: skip
def test_thrust_side_in_the_builders_words(layout, bank, words):
    # Direction of the wall that carries the piston, in the engine's plane (right, up), from statics.
    site = next(s for s in build_layout(engine(layout)).bores if s.bank == bank)
    thrust = -side_force(site.bank_deg, 1, 40.0, 43.0, 145.0, 0.0)
    bank_rad = np.radians(site.bank_deg)
    right, up = thrust * np.array([np.cos(bank_rad), np.sin(bank_rad)])
    leans_right = -np.sin(bank_rad)
    if words in ("inboard", "outboard"):
        assert (right * leans_right < 0) == (words == "inboard")
    else:
        assert {"right": right, "up": up, "down": -up}[words] > 0
    assert site.thrust_words == words
    assert site.thrust_ring_deg == (90.0 if thrust > 0 else 270.0)
