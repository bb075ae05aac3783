"""Every place that a picture points at: where it is on the engine, at which angle, and in what order."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.checks.corners import corners
from geometry.checks.troubles import troubles_of, worst_first
from geometry.record.load import load_record
from geometry.record.overlay import overlay
from geometry.record.troubles import record_troubles
from geometry.spec.load import load_engine

DEMOS = Path(__file__).parents[3] / "demo_engines"
INCH = 25.4


@pytest.fixture(scope="module")
def bound():
    """Tern as its binding record has it: rod 3 turned, a bolt of rod 6 out, a tight gap in bore 5, two in line in 2."""
    spec = load_engine(DEMOS / "tern.toml")
    record = load_record(DEMOS / "tern_binding.record.toml", spec)
    assembly = assemble(spec, overlay(spec, record))
    return assembly, record


@pytest.fixture(scope="module")
def spots(bound):
    assembly, record = bound
    return troubles_of(assembly, (), record_troubles(assembly, record))


def one(spots, group, bore):
    (spot,) = [spot for spot in spots if (spot.group, spot.bore) == (group, bore)]
    return spot


def length(spot):
    return float(np.linalg.norm(np.subtract(spot.a_mm, spot.b_mm)))


def test_a_clearance_below_its_limit_is_where_it_was_certified():
    spec = load_engine(DEMOS / "knot.toml", {"limits.piston_to_valve": "2.2 mm"})
    wrong, *rest = troubles_of(assemble(spec))
    assert (wrong.kind, wrong.bodies, wrong.bore) == ("clearance", ("piston 1", "intake_valve 1"), 1)
    assert (wrong.severity, wrong.nearby, wrong.limit) == ("stop", "close", 2.2)
    assert length(wrong) == pytest.approx(wrong.value, abs=1e-3)
    assert wrong.margin < 0
    # along the upright bore of the single; the valve is open on the way down, just past the overlap's top dead centre
    assert np.subtract(wrong.b_mm, wrong.a_mm)[2] == pytest.approx(wrong.value, abs=1e-3)
    assert 360.0 < wrong.crank_deg < 400.0
    assert all(spot.severity == "note" and spot.margin >= 0 for spot in rest)
    assert rest


def test_a_turned_rod_is_shown_at_the_corner_on_its_cheek_side(bound, spots):
    assembly, _ = bound
    spot, site = one(spots, "rod.fillet", 3), assembly.layout.site(3)
    assert spot.bodies == ("rod 3", "crank")
    assert spot.nearby == "overlaps"
    assert length(spot) == pytest.approx(-spot.value, abs=1e-6)
    # The rod pushed against the cheek: R = 0.125 in, housing over journal by two shells and half the oil clearance.
    # By plane geometry: the chamfer's two ends lie inside the arc's square, the farther from its centre counts.
    leg, radius = assembly.spec.rod.chamfer.other_mm, assembly.spec.crank.pin.fillet_mm
    gap = assembly.spec.rod.big_end.bore_mm / 2 - assembly.spec.crank.pin.diameter_mm / 2
    depth = max(math.hypot(radius, radius - gap - leg), math.hypot(radius - leg, radius - gap)) - radius
    assert -spot.value == pytest.approx(depth, abs=1e-6)
    toward = 1.0 if site.cheek_side == "rear" else -1.0
    half = assembly.spec.rod.big_end.width_mm / 2
    assert toward * (spot.a_mm[0] - site.x_mm) == pytest.approx(half, abs=leg + 1e-6)
    # both ends lie in the plane of rod and pin axis, on the rod's side of the pin at bottom dead centre
    X_ER = assembly.frame_poses(spot.crank_deg)["R3"]
    for point in (spot.a_mm, spot.b_mm):
        _x, y, z = X_ER[:3, :3].T @ (np.array(point) - X_ER[:3, 3])
        assert abs(y) < 1e-9
        assert z > assembly.spec.crank.pin.diameter_mm / 2


def test_every_corner_is_set_against_the_fillet_of_its_own_end(bound):
    assembly, _ = bound
    site, pin = assembly.layout.site(3), assembly.spec.crank.pin
    found = corners(assembly, site)
    assert [(c.edge, c.chamfer_mm / INCH) for c in found if c.cheek] == [
        ("rod", pytest.approx(0.010)), ("cap", pytest.approx(0.010)), ("shell", 0.0)
    ]  # fmt: skip
    for corner in found:
        # the fillet's arc about a point one radius in from cheek and journal, the rod pushed to that end
        centre = corner.hand * (assembly.spec.rod.big_end.width_mm / 2 - pin.fillet_mm)
        own, arc = (
            np.subtract(at, (centre, pin.diameter_mm / 2 + pin.fillet_mm)) for at in (corner.own, corner.arc)
        )
        assert np.linalg.norm(arc) == pytest.approx(pin.fillet_mm)
        assert np.linalg.norm(own - arc) == pytest.approx(abs(corner.fit.clearance_mm))
        assert (np.linalg.norm(own) > pin.fillet_mm) == (corner.fit.clearance_mm < 0) or own.max() > 0


def test_a_ring_gap_is_shown_between_its_two_ends_at_its_clock_angle(bound, spots):
    assembly, _ = bound
    spot = one(spots, "ring.top.gap", 5)
    assert spot.value == pytest.approx(0.0095 * INCH)
    assert length(spot) == pytest.approx(spot.value, abs=1e-4)
    assert (spot.bodies, spot.severity) == (("top_ring 5",), "stop")
    X_EP = assembly.frame_poses(spot.crank_deg)["P5"]
    x, y, z = X_EP[:3, :3].T @ (np.add(spot.a_mm, spot.b_mm) / 2 - X_EP[:3, 3])
    # clockwise seen from above the crown, zero at the front (-x): 240 degrees by Tern's scheme
    assert math.degrees(math.atan2(y, -x)) % 360.0 == pytest.approx(240.0, abs=0.01)
    piston = assembly.spec.piston
    groove = next(groove for groove in piston.grooves if groove.ring == "top")
    assert z == pytest.approx(piston.compression_height_mm - groove.from_crown_mm - groove.height_mm / 2)


def test_a_bolt_that_stands_out_is_shown_on_its_own_side(bound, spots):
    assembly, _ = bound
    spot = one(spots, "bolt.minor.stand", 6)
    assert spot.bodies == ("rod_bolt 6 minor",)
    assert length(spot) == pytest.approx(3.8)
    X_ER = assembly.frame_poses(spot.crank_deg)["R6"]
    y = (X_ER[:3, :3].T @ (np.array(spot.b_mm) - X_ER[:3, 3]))[1]
    assert y * assembly.body("rod_bolt 6 minor").X_FA[1, 3] > 0


def test_what_the_record_judges_itself_is_told_once_and_by_its_own_source(bound, spots):
    assembly, _record = bound
    keys = [(spot.kind, spot.group, spot.bore, spot.main, spot.bodies) for spot in spots]
    assert len(keys) == len(set(keys))
    way = one(spots, "rod.way", 3)
    assert way.words == "rod turned round"
    assert way.source != one(troubles_of(assembly, ()), "rod.way", 3).source
    near = one(spots, "ring.near", 2)
    assert near.bodies == ("top_ring 2", "second_ring 2")
    assert near.value == pytest.approx(10.0)
    # the other rod of the pin is not to blame for what rod 3 takes
    assert not [spot for spot in spots if spot.bore == 4 and spot.is_wrong]


def test_the_worst_comes_first(spots):
    order = [(spot.severity, spot.nearby) for spot in spots]
    rank = [
        ("stop", "overlaps"),
        ("stop", "touches"),
        ("stop", "close"),
        ("look", "close"),
        ("note", "clear"),
    ]
    assert order == sorted(order, key=rank.index)
    assert worst_first(reversed(spots))[0] == spots[0]
    # the wrong way round, and then what misses most of a limit that can be measured
    touching = [spot.group for spot in spots if spot.nearby == "touches"]
    assert touching[:2] == ["rod.way", "bolt.minor.stand"]
    milder = replace(spots[0], margin=spots[0].margin / 2)
    assert worst_first((milder, spots[0])) == (spots[0], milder)


def test_what_waits_for_values_is_not_told(bound):
    assembly, _ = bound
    told = troubles_of(assembly, (), without={"sides", "clocks", ("rings", "gap of top ring")})
    assert {spot.group for spot in told}.isdisjoint({"rod.fillet", "rod.side", "ring.near", "ring.top.gap"})
