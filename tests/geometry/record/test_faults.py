"""The faults of a built engine: each told once, whatever tells of it, and none lost."""

from dataclasses import replace

import pytest

from geometry.assembly import assemble
from geometry.checks import bores, clocks, fasteners, fillets, fits, rings
from geometry.checks.section import Column, Figure, Finding, Section
from geometry.record.faults import faults, told_once
from geometry.record.overlay import overlay
from geometry.record.section import section_of
from tests.geometry.record.bench_fixtures import tern, typed


def sections(record, *more, checks):
    assembly = assemble(tern(), overlay(tern(), record))
    run = [check.run(assembly, "in") for check in checks]
    return assembly, [*run, *more, section_of(tern(), record, "record", "in")]


def told(tmp_path, *lines, checks, more=()):
    record = typed(tmp_path, *lines)
    assembly, found = sections(record, *more, checks=checks)
    return [
        (
            fault.bore if fault.main is None else f"main {fault.main}",
            fault.group,
            fault.severity,
            len(fault.also),
        )
        for fault in faults(assembly, record, "in", found)
        if fault.severity != "note"
    ]


def meeting(one, other, bore):
    """A clearance section in which two bodies meet."""
    figure = Figure("a : b", bore, -1.0, 1.0, None, "length", 0, "min_mm")
    finding = Finding("clearance_rod_to_block", "stop", bore, f"{one} meets the {other}", figure="a : b")
    row = {"body_a": one, "body_b": other, "bore": bore}
    return Section("clearances", "", (Column("bore", ""),), (row,), (finding,), figures=(figure,))


@pytest.mark.parametrize(
    "line, checks, count",
    [
        # the gap by the record, by the ring check, and its ends that meet when hot
        ("bore 5: ring.top.gap go=9thou tight=10thou", (rings,), [(5, "ring.top.gap", "stop", 1)]),
        ("bore 5: ring.second.way down", (rings,), [(5, "ring.second.way", "stop", 0)]),
        ("bore 5: ring.expander.ends overlapped", (clocks,), [(5, "ring.expander_overlapped.expander", "stop", 0)]),
        ("bore 5: ring.upper_rail.fitted missing", (rings,), [(5, "ring.upper_rail.fitted", "stop", 0)]),
        # turned, so it rides on its fillet
        ("bore 3: rod.way turned", (fillets,), [(3, "rod.way", "stop", 1)]),
        ("bore 3: rod.way turned rod.side go=0thou tight=2thou", (fillets,), [(3, "rod.way", "stop", 2)]),
        # the reading stands at the other bore of the same pin
        ("bore 4: rod.way turned", (fillets,), [(4, "rod.way", "stop", 1)]),
        # two bolts are two faults; the check of both of them is neither
        ("bore 6: bolt.major.torque 20lbf*ft bolt.minor.torque 20lbf*ft", (fasteners,),
         [(6, "bolt.major.tension", "stop", 1), (6, "bolt.minor.tension", "stop", 0)]),
        # the crown stands low and the squish is idle
        ("bore 2: deck 60thou rod.length 5.80in", (bores,), [(2, "rod.length", "stop", 2)]),
        ("bore 2: shell.upper.seat cap shell.lower.seat rod", (), [(2, "shell.seat", "stop", 1)]),
        ("bore 2: piston.skirt 4.0288in diameter.top depth=0.5in along=4.0293in across=4.0293in", (fits,),
         [(2, "piston.skirt", "stop", 2)]),
        # by plastic strip and by bore gauge; the pin that is too small is why
        ("bore 2: bearing.clearance 4.0thou bearing.gauged 4.0thou crankpin 2.0970in", (fits,),
         [(2, "bearing.clearance", "look", 2)]),
        ("main 2: clearance 5.0thou gauged 5.0thou", (fits,), [("main 2", "main.clearance", "look", 1)]),
        ("crank: end_play 30thou", (fits,), [(None, "crank.end_play", "look", 0)]),
    ],
)  # fmt: skip
def test_one_fault_is_one_finding(tmp_path, line, checks, count):
    assert told(tmp_path, line, checks=checks) == count


def test_the_turned_rod_of_a_pin_explains_a_reading_at_its_neighbour(tmp_path):
    lines = ("bore 4: rod.way turned", "bore 3: rod.side go=0thou tight=2thou")
    assert told(tmp_path, *lines, checks=(fillets,)) == [(4, "rod.way", "stop", 2)]


def test_the_same_fault_in_two_bores_or_of_two_rings_is_two(tmp_path):
    lines = ("bore 5: ring.top.gap go=9thou tight=10thou ring.second.gap go=9thou tight=10thou",
             "bore 6: ring.top.gap go=9thou tight=10thou")  # fmt: skip
    found = [(bore, group) for bore, group, *_ in told(tmp_path, *lines, checks=(rings,))]
    assert sorted(found) == [(5, "ring.second.gap"), (5, "ring.top.gap"), (6, "ring.top.gap")]


def test_two_rules_of_one_ring_are_two_and_told_by_the_ring_clock(tmp_path):
    line = "bore 2: ring.top.angle 100deg ring.second.angle 110deg"
    groups = {group for _, group, *_ in told(tmp_path, line, checks=(clocks,))}
    assert groups == {"ring.near.top.second", "ring.thrust_line.top"}


@pytest.mark.parametrize("degrees, count", [(12, 1), (30, 0)])
def test_an_angle_that_cannot_be_told_is_told_once(tmp_path, degrees, count):
    # 12 degrees from the thrust side at 90, judged to 6 either way: 15 may be kept, 30 surely keeps it
    line = f"bore 1: ring.top.angle {90 + degrees}deg resolution=12deg ring.second.angle 270deg"
    found = [
        group for _, group, *_ in told(tmp_path, line, checks=(clocks,)) if group == "ring.thrust_line.top"
    ]
    assert len(found) == count


def test_a_bolt_off_its_seat_that_strikes_is_one_fault_and_another_bolt_is_not(tmp_path):
    line = "bore 6: bolt.minor.stand 3.8mm"
    strikes = meeting("rod_bolt 6 minor", "block", 6)
    assert told(tmp_path, line, more=[strikes], checks=()) == [(6, "bolt.minor.stand", "stop", 1)]
    other = meeting("rod_bolt 6 major", "block", 6)
    assert len(told(tmp_path, line, more=[other], checks=())) == 2
    elsewhere = meeting("rod_bolt 5 minor", "block", 5)
    assert len(told(tmp_path, line, more=[elsewhere], checks=())) == 2


def test_a_fault_is_as_grave_as_what_it_does(tmp_path):
    # a piston that stands low is only to be looked at; one that meets something stops the job
    line = "bore 2: deck 60thou"
    assert told(tmp_path, line, checks=()) == [(2, "deck", "look", 0)]
    strikes = meeting("piston 2", "head left", 2)
    assert told(tmp_path, line, more=[strikes], checks=()) == [(2, "deck", "stop", 1)]


def test_an_open_answer_is_never_put_behind_a_fault(tmp_path):
    record = typed(tmp_path, "bore 5: ring.top.gap go=9thou tight=10thou")
    assembly, found = sections(record, checks=(rings,))
    opened = tuple(replace(f, severity="look", open_to="stop") for f in found[0].findings)
    once = told_once([replace(found[0], findings=opened), *found[1:]], assembly, record)
    assert len(once[0].findings) == len(opened) == 2
    assert all(finding.open_to == "stop" for finding in once[0].findings)


def test_a_reading_within_the_makers_limit_is_not_outside_the_trades(tmp_path):
    file, words = tmp_path / "bench.record.toml", "bore 5: ring.second.gap go=13thou tight=14thou"
    assert told(tmp_path, words, checks=(rings,)) == [(5, "ring.second.gap", "stop", 0)]
    limits = '[limits]\nsecond_gap = { least = "12 thou", source = "sheet in the box" }\n'
    file.write_text(limits + file.read_text())
    assert told(tmp_path, words, checks=(rings,)) == []


def test_a_main_cap_is_told_by_its_number(tmp_path):
    assert told(tmp_path, "main 2: way turned", checks=()) == [("main 2", "main.way", "stop", 0)]
