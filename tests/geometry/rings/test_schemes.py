"""Schemes come out right on every bank and for both rotations."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.rings.angles import Arc
from geometry.rings.clock import PistonPlaces, judge, rules_for
from geometry.rings.schemes import ROLES, SCHEMES, own_scheme, resolve

every_scheme = pytest.mark.parametrize("scheme", SCHEMES.values(), ids=SCHEMES)
# Bank angles of inline, slanted inline, 90 and 60 degree vees and flat engines, left bank positive.
LAYOUTS = {
    "inline": [0.0], "slant": [-30.0], "vee90": [45.0, -45.0], "vee60": [30.0, -30.0], "flat": [90.0, -90.0],
    "vee72": [36.0, -36.0],
}  # fmt: skip


def thrust_ring_deg(sense):
    """+y of the bore in normal rotation, -y in an engine that runs the other way; see the statics in reference/."""
    return 90.0 if sense == 1 else 270.0


def in_engine(ring_deg, bank_deg):
    """Direction of a gap in the engine's frame: from the ring clock to the piston's frame, then lean with the bank."""
    rho, bank = np.radians(ring_deg), np.radians(bank_deg)
    x, y, z = -np.cos(rho), np.sin(rho), 0.0
    return np.array([x, y * np.cos(bank) - z * np.sin(bank), y * np.sin(bank) + z * np.cos(bank)])


@every_scheme
@pytest.mark.parametrize("banks", LAYOUTS.values(), ids=LAYOUTS)
@pytest.mark.parametrize("sense", [1, -1])
def test_mirroring_engine_and_rotation_mirrors_the_clock(scheme, banks, sense):
    # Mirrored left for right, a bank leans the other way and a crank turns the other way; every gap must stand at
    # the mirror image of its place in space.
    for bank in banks:
        here = resolve(scheme, thrust_ring_deg(sense))
        there = resolve(scheme, thrust_ring_deg(-sense))
        for role, angle in here.items():
            image = in_engine(angle, bank) * np.array([1.0, -1.0, 1.0])
            np.testing.assert_allclose(in_engine(there[role], -bank), image, atol=1e-12)


@every_scheme
@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize("lean", [-20.0, 15.0, 90.0])
def test_leaning_the_whole_engine_leans_every_gap_with_it(scheme, sense, lean):
    turn = np.radians(lean)
    rotation = np.array([[1, 0, 0], [0, np.cos(turn), -np.sin(turn)], [0, np.sin(turn), np.cos(turn)]])
    for bank in (45.0, 0.0, -45.0):
        for angle in resolve(scheme, thrust_ring_deg(sense)).values():
            np.testing.assert_allclose(
                in_engine(angle, bank + lean), rotation @ in_engine(angle, bank), atol=1e-12
            )


@pytest.mark.parametrize("key", ["thirds", "opposed", "quarters", "alternating"])
@pytest.mark.parametrize("sense", [1, -1])
def test_an_expander_named_for_the_thrust_side_presses_where_the_piston_does(key, sense):
    assert SCHEMES[key].places["expander"].datum == "thrust"
    # Side force of a plain slider-crank after top dead centre: away from the crankpin, which is on -y for a crank
    # turning positively about +x.
    for bank in (45.0, 0.0, -45.0):
        turned = np.radians(bank + sense * 40.0)
        pin = np.array([0.0, -np.sin(turned), np.cos(turned)])
        across = in_engine(90.0, bank)
        direction = in_engine(resolve(SCHEMES[key], thrust_ring_deg(sense))["expander"], bank)
        assert np.dot(direction, across) * np.dot(pin, across) < 0


@every_scheme
@pytest.mark.parametrize("sense", [1, -1])
def test_every_scheme_keeps_its_own_rules_on_a_usual_piston(scheme, sense):
    places = PistonPlaces(
        thrust_ring_deg(sense),
        bosses=(Arc("front pin boss", 0.0, 20.0), Arc("rear pin boss", 180.0, 20.0)),
        gap_deg=dict.fromkeys(ROLES, 0.46),
    )
    assert judge(resolve(scheme, places.thrust_deg), rules_for(scheme), places).findings == ()
    assert scheme.source.text
    assert scheme.words


@given(order=st.permutations(ROLES), scheme=st.sampled_from(list(SCHEMES.values())))
def test_renumbering_changes_nothing(order, scheme):
    angles = resolve(scheme, 90.0)
    shuffled = {role: angles[role] for role in order}
    places = PistonPlaces(90.0, bosses=(Arc("front pin boss", 0.0, 25.0),))
    rules = rules_for(scheme)
    assert judge(shuffled, rules, places).smallest_deg == judge(angles, rules, places).smallest_deg
    assert set(judge(shuffled, rules, places).margins) == set(judge(angles, rules, places).margins)


def test_rings_that_the_piston_lacks_are_left_out():
    assert list(resolve(SCHEMES["thirds"], 90.0, ("top", "second"))) == ["top", "second"]


def test_own_clocking_reads_clockwise_from_its_datum():
    front, thrust = (own_scheme(datum, {"top": 45.0, "expander": -10.0}) for datum in ("front", "thrust"))
    assert resolve(front, 90.0) == resolve(front, 270.0) == {"top": 45.0, "expander": 350.0}
    assert resolve(thrust, 90.0) == {"top": 135.0, "expander": 80.0}
    assert resolve(thrust, 270.0) == {"top": 315.0, "expander": 260.0}
