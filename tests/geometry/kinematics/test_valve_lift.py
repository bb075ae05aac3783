"""Valve lift: against a follower laid on the lobe's own outline, the file's numbers, and closed off the lobe."""

import numpy as np
import pytest

from geometry.kinematics.valve_lift import Known, overlap_deg, valve_timings
from geometry.spec.engine import Engine
from geometry.spec.top import Valve
from tests.geometry.fleet import assembly, raw, spec


def with_valve(name="tern", cam=None, **keys):
    """Timing of the first valve of a demo engine with keys of its own; the cam table changed or left out."""
    data = raw(name)
    valves = [{**data["head"]["valves"][0], **keys}, *data["head"]["valves"][1:]]
    changed = {**data, "head": {**data["head"], "valves": valves}}
    if cam is False:
        changed.pop("cam")
    else:
        # what the demo engine says of its valve gear is left out
        bare = {
            k: v for k, v in data["cam"].items() if k not in ("rocker", "intake_centre", "exhaust_centre")
        }
        changed["cam"] = {**bare, **(cam or {})}
    return valve_timings(Engine.model_validate(changed))[0]


def outline(cam):
    """Points (n, 2) on base and nose circle: what a straight edge laid on the lobe can touch."""
    turn = np.radians(np.arange(0.0, 360.0, 0.01))
    ring = np.column_stack([np.cos(turn), np.sin(turn)])
    apart = cam.lift_mm + cam.base_mm / 2 - cam.nose_mm
    return np.vstack([cam.base_mm / 2 * ring, [apart, 0.0] + cam.nose_mm * ring])


def test_it_is_the_lift_of_a_flat_follower_on_the_lobe_as_drawn():
    cam = spec("tern").cam
    timing = with_valve(cam={"rocker": 1.6})
    points = outline(cam)
    for crank in np.arange(-180.0, 180.0, 7.0):
        towards = np.radians(crank / 2)
        highest = (points @ [np.cos(towards), np.sin(towards)]).max() - cam.base_mm / 2
        found = float(timing.curve.lift_mm(crank))
        # the ramp adds a quarter of its height at most, and only within itself of the seat
        assert -1e-6 <= found - 1.6 * highest <= timing.curve.ramp_mm / 4 + 1e-6
        if highest * 1.6 > timing.curve.ramp_mm:
            assert found == pytest.approx(1.6 * highest, abs=1e-5)


@pytest.mark.parametrize("rotation", ["clockwise", "counter-clockwise"])
@pytest.mark.parametrize("name", ["tern", "curlew", "knot"])
def test_every_valve_is_shut_off_its_lobe_and_fully_open_once_in_the_cycle(name, rotation):
    engine = Engine.model_validate(
        {**raw(name), "engine": {**raw(name)["engine"], "rotation": rotation, "firing_order": None}}
    )
    angles = np.arange(0.0, 720.0, 0.25)
    for timing in valve_timings(engine):
        lift = timing.lift_mm(angles)
        away = np.abs((angles - timing.full_after_deg + 360.0) % 720.0 - 360.0)
        ramp = np.degrees(0.2)
        assert np.all(lift[away > timing.curve.duration_deg / 2 + ramp] == 0.0)
        assert np.all(lift[away < timing.curve.duration_deg / 2 - ramp] > timing.curve.ramp_mm)
        assert lift.max() == pytest.approx(timing.curve.full_mm, rel=1e-4)
        assert angles[lift.argmax()] == pytest.approx(timing.full_after_deg % 720.0, abs=0.5)
        # intake opens after top dead centre's exhaust stroke, exhaust before it
        assert (timing.full_after_deg > 0) is (timing.valve.valve == "intake")


def test_what_the_file_gives_is_kept():
    timing = with_valve(cam=False, lift="10 mm", duration="230 deg", duration_at="1.0 mm", centre="106 deg")
    assert timing.curve.full_mm == pytest.approx(10.0)
    assert timing.full_after_deg == 106.0
    # by hand: the curve passes through the card's lift at half the card's duration to either side of full lift
    assert timing.curve.lift_mm([-115.0, 0.0, 115.0]) == pytest.approx([1.0, 10.0, 1.0])
    assert timing.curve.duration_deg > 230.0
    assert {timing.lift_from, timing.duration_from, timing.centre_from} == {Known.FILE}


def test_what_it_does_not_give_is_said_to_be_assumed():
    free = with_valve(cam=False)
    assert free.curve.full_mm == pytest.approx(1.86 * 25.4 / 4)  # curtain area equal to port area
    assert free.curve.duration_deg == pytest.approx(240.0)
    assert {free.lift_from, free.duration_from, free.centre_from} == {Known.ASSUMED}
    drawn = with_valve()
    assert drawn.curve.full_mm == pytest.approx(1.5 * 0.290 * 25.4)
    assert (drawn.lift_from, drawn.duration_from, drawn.centre_from) == (
        Known.ASSUMED,
        Known.LOBE,
        Known.ASSUMED,
    )
    told = with_valve(cam={"rocker": 1.6, "intake_centre": "110 deg"})
    assert (told.lift_from, told.centre_from, told.full_after_deg) == (Known.FILE, Known.FILE, 110.0)


def test_it_stands_where_the_file_measured_it_between_exhaust_and_intake():
    for timing in valve_timings(spec("tern")):
        assert isinstance(timing.valve, Valve)
        assert timing.seat_below_mm + float(timing.lift_mm(0.0)) == pytest.approx(timing.valve.below_deck_mm)
        assert timing.seat_below_mm < timing.valve.below_deck_mm  # both are open there
    layout = assembly("tern").layout
    fires = dict(zip(layout.firing.order, layout.firing.at_deg, strict=True))
    assert all((overlap_deg(layout, bore) - fires[bore]) % 720.0 == pytest.approx(360.0) for bore in fires)


def test_the_curve_has_no_step_in_speed():
    timing = valve_timings(spec("tern"))[0]
    angles = np.arange(-130.0, 130.0, 0.001)
    slope = np.diff(timing.curve.lift_mm(angles))
    assert np.abs(np.diff(slope)).max() < 2e-3 * np.abs(slope).max()
