"""Judging clockings."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import GeometryError
from geometry.rings.angles import Arc
from geometry.rings.clock import ClockRules, PistonPlaces, judge, rules_for
from geometry.rings.schemes import RINGS_TURN_NOTE, ROLES, SCHEMES
from geometry.rings.source import LimitDeg, Source
from tests.geometry.rings.mirror import mirrored_deg, mirrored_piston

GOOD = {"top": 240.0, "second": 120.0, "upper_rail": 0.0, "expander": 90.0, "lower_rail": 180.0}
BOSSES = (Arc("front pin boss", 0.0, 20.0), Arc("rear pin boss", 180.0, 20.0))
PLACES = PistonPlaces(90.0, bosses=BOSSES, gap_deg=dict.fromkeys(ROLES, 0.46))
ANGLE = st.floats(0, 359.9)
CLOCKS = st.fixed_dictionaries(dict.fromkeys(ROLES, ANGLE))


def found(angles, rules=None, places=PLACES, **extra):
    return judge({**GOOD, **angles}, rules or ClockRules(), places, **extra)


def rules_of(verdict):
    return {(finding.rule, finding.roles) for finding in verdict.findings}


def test_a_good_clocking_has_nothing_to_say_but_the_note():
    verdict = found({})
    assert verdict.findings == ()
    assert verdict.smallest_deg == pytest.approx(60)
    assert verdict.smallest_pair in {("top", "lower_rail"), ("second", "lower_rail")}
    assert verdict.note == RINGS_TURN_NOTE
    assert "creep" in verdict.note


@pytest.mark.parametrize(
    "angles, rule, roles, severity",
    [
        ({"top": 150.0}, "near", ("top", "second"), "look"),
        ({"top": 120.2}, "near", ("top", "second"), "stop"),
        ({"second": 40.0}, "near", ("second", "upper_rail"), "look"),
        ({"expander": 20.0}, "expander_near_rail", ("expander", "upper_rail"), "look"),
        ({"expander": 180.0}, "expander_near_rail", ("expander", "lower_rail"), "look"),
        ({"second": 80.0}, "thrust_line", ("second",), "look"),
        ({"top": 283.0}, "thrust_line", ("top",), "look"),
        ({"second": 160.1}, "pin_boss", ("second",), "note"),
    ],
)
def test_each_rule_speaks_of_the_right_gap(angles, rule, roles, severity):
    verdict = found(angles)
    assert (rule, roles) in rules_of(verdict)
    finding = next(f for f in verdict.findings if (f.rule, f.roles) == (rule, roles))
    assert finding.severity == severity
    assert finding.source.text
    assert finding.remedy
    assert finding.margin.margin_deg < 0


def test_thrust_finding_names_the_side():
    for thrust, side in ((90.0, "major"), (270.0, "minor")):
        verdict = found({"second": 90.0, "top": 220.0}, places=PistonPlaces(thrust))
        (finding,) = [f for f in verdict.findings if f.rule == "thrust_line"]
        assert f"{side} thrust side" in finding.text


def test_pocket_over_the_top_gap_counts_the_gaps_width():
    # Pocket from 215 to 239.9; the gap of 0.46 degrees starts at 240 - 0.23 = 239.77.
    pocket = Arc("intake pocket", 227.45, 12.45)
    near = PistonPlaces(90.0, pockets=(pocket,), gap_deg={"top": 0.46})
    assert ("pocket", ("top",)) in rules_of(found({}, places=near))
    assert ("pocket", ("top",)) not in rules_of(found({}, places=PistonPlaces(90.0, pockets=(pocket,))))


def test_overlapped_expander_stops_the_job_and_comes_first():
    verdict = found({"top": 150.0}, expander_overlapped=True)
    assert verdict.findings[0].rule == "expander_overlapped"
    assert verdict.findings[0].severity == "stop"


def test_the_limit_itself_is_kept():
    assert found({"upper_rail": 300.0 - 105.0, "lower_rail": 0.0}).findings == ()  # 195 - 240 = 45
    assert ("near", ("top", "upper_rail")) in rules_of(found({"upper_rail": 195.1, "lower_rail": 0.0}))


def test_a_limit_of_ones_own():
    rules = rules_for(SCHEMES["thirds"], LimitDeg(70.0, Source("engine file", "stated")))
    verdict = judge(GOOD, rules, PLACES)
    assert {finding.rule for finding in verdict.findings} == {"near"}
    assert all(finding.source.text == "engine file" for finding in verdict.findings)


def test_fewer_rings():
    verdict = judge({"top": 45.0}, ClockRules(), PLACES)
    assert (verdict.smallest_deg, verdict.smallest_pair, verdict.findings) == (None, None, ())


@given(angles=CLOCKS, scheme=st.sampled_from(list(SCHEMES.values())))
def test_mirroring_piston_and_clock_changes_no_margin(angles, scheme):
    places = PistonPlaces(90.0, BOSSES, (Arc("intake pocket", 50.0, 25.0),), dict.fromkeys(ROLES, 0.46))
    rules = rules_for(scheme)
    here = judge(angles, rules, places)
    there = judge(
        {role: mirrored_deg(angle) for role, angle in angles.items()}, rules, mirrored_piston(places)
    )
    for a, b in zip(here.margins, there.margins, strict=True):
        assert (a.rule, a.roles, a.place) == (b.rule, b.roles, b.place)
        assert a.margin_deg == pytest.approx(b.margin_deg, abs=1e-9)


@given(angles=CLOCKS)
def test_smallest_separation_by_trying_every_pair(angles):
    verdict = judge(angles, ClockRules(), PLACES)
    rings = ["top", "second", "upper_rail", "lower_rail"]
    by_hand = min(
        min(abs(angles[a] - angles[b]), 360 - abs(angles[a] - angles[b]))
        for i, a in enumerate(rings)
        for b in rings[i + 1 :]
    )
    assert verdict.smallest_deg == pytest.approx(by_hand, abs=1e-9)


@given(angles=CLOCKS)
def test_findings_are_the_broken_margins_worst_first(angles):
    verdict = judge(angles, ClockRules(), PLACES)
    assert sorted(f.margin.margin_deg for f in verdict.findings) == sorted(
        m.margin_deg for m in verdict.margins if not m.kept
    )
    order = ["stop", "look", "note"]
    assert [order.index(f.severity) for f in verdict.findings] == sorted(
        order.index(f.severity) for f in verdict.findings
    )


def test_an_angle_that_is_no_number_is_refused():
    with pytest.raises(GeometryError):
        found({"top": float("nan")})
