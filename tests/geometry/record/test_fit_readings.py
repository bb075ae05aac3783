"""Readings of fits: held to the limits of the check, laid over the engine, and told of once."""

import pytest

from geometry.assembly import Assembly
from geometry.built import OilRead, Read, built_linkage
from geometry.checks.fits import CHECK
from geometry.kinematics.layout import build_layout
from geometry.record.catalogue import KIND_AT, lay_out
from geometry.record.faults import told_once
from geometry.record.kind import ReadingAt
from geometry.record.model import Record
from geometry.record.overlay import overlay
from geometry.record.place import BenchPlace
from geometry.record.section import section_of
from geometry.record.verdicts import verdicts
from tests.geometry.record.bench_fixtures import tern, typed

THOU = 0.0254
LINES = {
    # path by place: a reading within, one outside, what it is held to in thou, and how grave outside
    ("bore", "bearing.gauged"): ("1.8thou", "0.6thou", (1.0375, 2.55), "stop"),
    ("main", "gauged"): ("2.2thou", "3.6thou", (1.375, 3.0), "look"),
    ("bore", "shell.crush"): ("1.0thou", "6thou", (0.0, 0.1 / THOU), "stop"),
    ("main", "crush"): ("1.0thou", "6thou", (0.0, 0.1 / THOU), "stop"),
    ("bore", "pin.in_piston"): ("0.4thou", "0.05thou", (0.2, 0.6), "stop"),
    ("bore", "pin.in_rod"): ("0.5thou", "1.3thou", (0.3, 0.9), "look"),
    ("bore", "pin.float"): ("12thou", "2thou", (5.0, 20.0), "stop"),
    ("main", "journal"): ("2.5000in", "2.4980in", (2499.5, 2500.5), "look"),
    ("main", "housing"): ("2.6922in", "2.6930in", (2691.7, 2692.7), "stop"),
    ("main", "shell.wall"): ("0.0950in", "0.0954in", (94.8, 95.2), "look"),
}


def found(record, path):
    return next(v for v in verdicts(tern(), record) if v.path == path)


@pytest.mark.parametrize("kind", LINES, ids=" ".join)
def test_a_reading_of_a_fit_is_held_to_the_limits_of_the_table(tmp_path, kind):
    place, path = kind
    within, outside, held_to, grave = LINES[kind]
    limit = ReadingAt(KIND_AT[kind], lay_out(tern(), Record(), "in"), BenchPlace(place, 3)).limit
    assert (limit.least, limit.most) == pytest.approx(tuple(end * THOU for end in held_to))
    step = "resolution=0.0001in" if within.endswith("in") else "resolution=0.1thou"
    good = found(typed(tmp_path, f"{place} 3: {path} value={within} {step}"), path)
    assert good.verdict == "within"
    bad = found(typed(tmp_path, f"{place} 3: {path} value={outside} {step}"), path)
    assert (bad.verdict, bad.severity) == ("outside", grave)
    assert bad.remedy


@pytest.mark.parametrize(
    "line, built",
    [
        ("bore 3: shell.crush 1thou", lambda b: b.bore(3).crush_mm),
        ("main 3: crush 1thou", lambda b: b.main(3).crush_mm),
        ("bore 3: pin.in_piston 1thou", lambda b: b.bore(3).pin_in_piston_mm),
        ("bore 3: pin.in_rod 1thou", lambda b: b.bore(3).pin_in_rod_mm),
        ("bore 3: pin.float 1thou", lambda b: b.bore(3).pin_float_mm),
        ("main 3: journal 1thou", lambda b: b.main(3).journal_mm),
        ("main 3: housing 1thou", lambda b: b.main(3).housing_bore_mm),
        ("main 3: shell.wall 1thou", lambda b: b.main(3).shell_wall_mm),
    ],
)
def test_a_reading_is_laid_over_the_place_that_it_was_taken_at(tmp_path, line, built):
    laid = overlay(tern(), typed(tmp_path, line))
    assert built(laid) == pytest.approx(THOU)


def test_strip_and_bore_gauge_are_both_kept_with_what_they_can_tell(tmp_path):
    steps = "resolution=0.5thou", "resolution=0.1thou"
    laid = overlay(tern(), typed(
        tmp_path, f"main 2: clearance value=2.5thou {steps[0]} gauged value=2.2thou {steps[1]}",
        f"bore 5: bearing.clearance value=2.0thou {steps[0]} bearing.gauged value=1.8thou {steps[1]}",
    ))  # fmt: skip
    for oil, strip, gauge in ((laid.main(2).oil, 2.5, 2.2), (laid.bore(5).oil, 2.0, 1.8)):
        want = OilRead(Read(strip * THOU, 0.5 * THOU), Read(gauge * THOU, 0.1 * THOU))
        for read, wanted in ((oil.strip, want.strip), (oil.gauge, want.gauge)):
            assert (read.value_mm, read.step_mm) == pytest.approx((wanted.value_mm, wanted.step_mm))
        assert oil.value_mm == pytest.approx(gauge * THOU)
    assert laid.bore(4).oil.value_mm is None


def test_end_play_is_laid_over_the_crank(tmp_path):
    assert overlay(tern(), typed(tmp_path, "crank: end_play 6thou")).end_play_mm == pytest.approx(6 * THOU)


def test_a_bearing_measured_by_bore_gauge_needs_no_strip(tmp_path):
    bench = lay_out(tern(), typed(tmp_path, "bore 3: bearing.gauged 2thou", "main 2: gauged 2thou"), "in")
    strips = {("bore", 3): "bearing.clearance", ("main", 2): "clearance"}
    for (place, number), path in strips.items():
        assert not ReadingAt(KIND_AT[place, path], bench, BenchPlace(place, number)).is_wanted
        assert ReadingAt(KIND_AT[place, path], bench, BenchPlace(place, 1)).is_wanted


@pytest.mark.parametrize(
    "line, group, bore, main",
    [
        ("main 2: clearance 0.5thou", "main.clearance", None, 2),
        ("main 2: gauged 0.5thou", "main.clearance", None, 2),
        ("bore 3: bearing.gauged 0.5thou", "bearing.clearance", 3, None),
        ("crank: end_play 20thou", "crank.end_play", None, None),
        ("bore 3: pin.float 1thou", "pin.float", 3, None),
        ("bore 3: shell.crush 8thou", "shell.crush", 3, None),
    ],
)
def test_a_fit_that_was_read_outside_is_one_fault_with_its_row(tmp_path, line, group, bore, main):
    spec, record = tern(), typed(tmp_path, line)
    built, layout = overlay(spec, record), build_layout(spec)
    assembly = Assembly(spec, layout, built, built_linkage(layout, built), ())
    fits, read = CHECK.run(assembly, "in"), section_of(spec, record, "bench", "in")
    assert len(fits.findings) == len(read.findings) == 1
    once = [f for s in told_once([fits, read], assembly, record) for f in s.findings]
    assert [(f.group, f.bore, f.main) for f in once] == [(group, bore, main)]
