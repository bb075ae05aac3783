"""Statements that a builder would reject, each held to what the trade says; figures by hand."""

import re
from dataclasses import astuple

import pytest
from shapely import LineString, Point, Polygon

from geometry.assembly import assemble
from geometry.built import OilRead, Read
from geometry.checks.section import checks
from geometry.diagnose.candidates import lightly
from geometry.mistakes.mistake import mistakes
from tests.geometry.fleet import CLEAR, assembly
from tests.geometry.mistakes.shop import made, mistake, right, row, spec

BEARING = ("cap_turned", "cap_exchanged", "shell_tang_out", "shells_exchanged")
MAINS = ("main_cap_turned", "main_caps_exchanged")


def words(study):
    said = [study.does, study.felt, study.look_for, study.remedy, study.spot.text]
    return " ".join([*said, *(str(r["what"]) for r in study.rows)])


@pytest.mark.parametrize("key", BEARING)
def test_oil_clearance_is_on_the_diameter(key):
    _, study = made(key, 3)
    # Tern's own figures: housing 2.1760, two shells of 0.0620, pin 2.050 in leave 0.0020 in on the diameter.
    found = row(study, "oil clearance")
    assert "on the diameter" in found["what"]
    assert found["right"].value == pytest.approx(0.0020 * 25.4, abs=1e-9)
    assert "0.0010 in" not in study.does


@pytest.mark.parametrize("key", MAINS)
def test_main_oil_clearance_is_that_of_the_file(key):
    # Tern's own figures: housing 2.6922, two shells of 0.0950, journal 2.5 in leave 0.0022 in on the diameter.
    _, study = made(key, 2)
    found = row(study, "oil clearance, on the diameter")
    assert found["right"].value == pytest.approx(0.0022 * 25.4, abs=1e-9)
    assert "by rule" not in str(found)


@pytest.mark.parametrize("key", MAINS)
def test_a_main_oil_clearance_that_was_measured_goes_first(key):
    base = right()
    read = base.built.with_main(2, oil=OilRead(gauge=Read(0.0019 * 25.4, 0.001)))
    _, study = made(key, 2, assemble(base.spec, read))
    found = row(study, "oil clearance, on the diameter")
    assert found["right"].value == pytest.approx(0.0019 * 25.4, abs=1e-9)


@pytest.mark.parametrize("key", MAINS)
def test_main_oil_clearance_is_by_the_makers_rule_where_nobody_gives_it(key):
    base = assemble(spec(block={"main_bearing": None}))
    _, study = made(key, 2, base)
    found = row(study, "oil clearance, on the diameter, by rule")
    assert found["right"].value == pytest.approx(2.5 * 0.0010 * 25.4, abs=1e-9)  # 2.5 in journal


@pytest.mark.parametrize("journal, left", [("2.5 in", 0.0035), ("2.0 in", -0.0092)])
def test_a_turned_main_cap_says_no_more_than_its_numbers(journal, left):
    # 0.0010 in per inch of journal, 0.0635 or 0.0508 mm, less a step of 0.06 mm.
    # The file says nothing of its main shells: those it has are for the journal of 2.5 in.
    base = assemble(spec(crank={"main": {"diameter": journal}}, block={"main_bearing": None}))
    _, study = made("main_cap_turned", 2, base)
    found = row(study, "clearance left")
    assert found["wrong"].value == pytest.approx(left, abs=1e-9)
    assert (found["severity"] == "stop") == ("takes all of the oil clearance" in study.does) == (left <= 0)
    assert "larger than the oil clearance" not in study.does


@pytest.mark.parametrize("key, turned", [("cap_exchanged", False), ("cap_turned", True)])
def test_what_a_step_leaves_is_the_width_where_both_halves_meet(key, turned):
    base = right()
    _, study = made(key, 3, base)
    step = row(study, "step in the bore")["wrong"].value
    radius = base.spec.rod.big_end.bore_mm / 2 - base.spec.rod.bearing.wall_mm
    # The two half bores as polygons, the cap's out of line by the step; the joint runs through both.
    upper, lower = (Point(x, 0.0).buffer(radius, quad_segs=2048) for x in (0.0, step))
    box = Polygon([(-99, -99), (99, -99), (99, 0), (-99, 0)])
    joint = LineString([(-99, 0), (99, 0)])
    room = (
        joint.intersection(upper.difference(box.buffer(-1e-9))).intersection(lower.intersection(box)).length
    )
    left = row(study, "clearance left")
    assert left["wrong"].value == pytest.approx(room - base.spec.crank.pin.diameter_mm, abs=1e-6)
    assert (left["severity"] == "stop") == (left["wrong"].value <= 0) == turned
    assert study.signature.bound == turned


def test_shells_are_held_by_crush_and_placed_by_tangs():
    for key in BEARING:
        _, study = made(key, 3)
        assert "turn in its seat" not in study.does
        assert "nothing stops" not in study.does
    _, study = made("cap_turned", 3)
    assert "crush holds" in study.does
    assert "tang only places" in study.does


@pytest.mark.parametrize("name", CLEAR)
def test_small_chamfer_is_said_only_where_one_is_smaller_and_meets_the_cheek(name):
    base = assembly(name)
    chamfer = base.spec.rod.chamfer
    told = chamfer.other_mm < chamfer.cheek_mm and base.spec.crank.split_deg == 0
    for key in ("rod_turned", "rods_exchanged", "cap_turned"):
        for place in mistake(key).places(base)[:1]:
            study = mistake(key).study(base, lightly(base, mistake(key), place), place, "mm")
            site = base.layout.site(place)
            assert ("small chamfer" in study.does) <= (told and site.cheek_side != "both"), key
            assert study.signature.seen_only or told or key == "cap_turned", key


@pytest.mark.parametrize("name", ["whimbrel", "knot"])  # a flat engine, and one with a single bore
def test_no_valley_and_no_vee_where_there_is_none(name):
    base = assembly(name)
    texts = [
        words(m.study(base, lightly(base, m, p), p, "mm")) for m in mistakes() for p in m.places(base)[:2]
    ]
    texts += [m.different for m in mistakes()]
    sections = [check.run(base, "mm") for check in checks() if check.key != "clearances"]
    texts += [str(cell) for s in sections for r in s.rows for cell in r.values() if isinstance(cell, str)]
    texts += [note for s in sections for note in s.notes]
    texts += [" ".join(map(str, astuple(f))) for s in sections for f in s.findings]
    wrong = r"\b(valley|vee|inboard|outboard)\b"
    assert [text for text in texts if re.search(wrong, text, re.IGNORECASE)] == []


def test_handed_pistons_lie_the_other_way_up_in_a_flat_engine():
    base = assembly("whimbrel")
    study = mistake("pistons_exchanged").study(base, lightly(base, mistake("pistons_exchanged"), 1), 1, "mm")
    assert "upper side lie on the lower" in study.does


@pytest.mark.parametrize("name", CLEAR)
def test_the_next_stock_length_is_round_in_the_bolts_own_unit(name):
    base = assembly(name)
    wrong = mistake("bolt_too_long").make(base, base.layout.bores[0].bore).bore(base.layout.bores[0].bore)
    step = max(*wrong.bolt_out_mm, wrong.bolt_longer_mm)
    inches = name in ("tern", "knot", "plover", "tern_long_stroke")  # threads per inch in their files
    assert step == pytest.approx(6.35 if inches else 5.0)
    if base.spec.engine.layout == "flat":
        study = mistake("bolt_too_long").study(
            base, assemble(base.spec, mistake("bolt_too_long").make(base, 1)), 1, "mm"
        )
        assert "5.00 mm" in study.does
        assert "6.35" not in study.does


def test_a_bolt_without_a_pitch_is_inch_in_sixteenths():
    for diameter, step in (("3/8 in", 6.35), ("10 mm", 5.0)):
        base = assemble(spec(rod={"bolt": {"diameter": diameter, "pitch": None, "hole": None}}))
        assert max(mistake("bolt_too_long").make(base, 1).bore(1).bolt_out_mm) == pytest.approx(step)
