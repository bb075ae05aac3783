"""What `check` says of valves: rows for each kind with the trade's limits, a valve too low is told, what is assumed."""

import pytest

from geometry.assembly import assemble
from geometry.checks import clearances
from geometry.checks.valve_notes import NONE, valve_notes
from geometry.clearance.limits import limit_for
from geometry.spec.engine import Engine
from tests.geometry.fleet import raw, spec

INCH = 25.4


def changed(name="knot", first=None, cam=None, **tables):
    data = raw(name)
    valves = [{**data["head"]["valves"][0], **(first or {})}, *data["head"]["valves"][1:]]
    own_cam = {key: value for key, value in data["cam"].items() if key not in (cam or ())}
    return Engine.model_validate(
        {**data, "head": {**data["head"], "valves": valves}, "cam": own_cam, **tables}
    )


def rows_of(section, a, b):
    return [row for row in section.rows if (row["a"], row["b"]) == (a, b)]


def test_a_valve_that_stands_too_low_is_told_with_its_bore_limit_and_source():
    # Knot's intake valve clears by some 2 mm; 7 mm lower the crown meets it.
    section = clearances.run(assemble(changed(first={"below_deck": "0.23 in"})), "in")
    (row,) = rows_of(section, "piston_crown", "intake_valve")
    assert row["verdict"] == "overlaps"
    assert row["severity"] == "stop"
    assert row["min_mm"].value < -4.0
    assert row["limit_mm"].value == pytest.approx(0.080 * INCH)
    (other,) = rows_of(section, "piston_crown", "exhaust_valve")
    assert other["verdict"] == "clear"
    assert other["limit_mm"].value == pytest.approx(0.100 * INCH)
    (finding,) = [f for f in section.findings if f.id == "clearance_piston_to_intake_valve"]
    assert finding.severity == "stop"
    assert "trade articles" in finding.text


def test_rows_say_what_of_the_valve_gear_is_assumed():
    told = clearances.run(assemble(spec("knot")), "mm")
    assert {row["assumed_timing"] for row in told.rows} == {""}
    guessed = clearances.run(assemble(changed(cam=("rocker", "exhaust_centre"))), "mm")
    (row,) = rows_of(guessed, "piston_crown", "exhaust_valve")
    assert row["assumed_timing"] == "lift, lobe centre"
    (row,) = rows_of(guessed, "piston_crown", "intake_valve")
    assert row["assumed_timing"] == "lift"
    assert "lift assumed" in row["remark"]
    assert any("assumed" in note and note.startswith("Exhaust valve") for note in guessed.notes)


def test_an_engine_without_valves_says_that_none_is_checked():
    data = raw("knot")
    bare = Engine.model_validate({**data, "head": {"chamber": "33 cc"}})
    assert valve_notes(bare, "mm") == (NONE,)


def test_one_limit_for_both_kinds_or_one_each():
    both = changed(limits={"piston_to_valve": "1.5 mm"})
    assert {limit_for(both, f"piston_to_{k}_valve").least_mm for k in ("intake", "exhaust")} == {1.5}
    one = changed(limits={"piston_to_valve": "1.5 mm", "piston_to_exhaust_valve": "1.8 mm"})
    assert limit_for(one, "piston_to_exhaust_valve").least_mm == 1.8
    assert limit_for(one, "piston_to_intake_valve").source == "your engine file"
