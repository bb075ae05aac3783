"""A worn bore: a ring is filed for and judged at the tightest place that it reaches, and at the widest.

The ring keeps its length, so its gap grows by pi times the difference of diameter. Tern: 4.030 in, least gap 0.0035 in
per inch of bore, greatest 0.0050 (common practice, no source); her top ring turns from 0.31 to 3.66 in below the deck.
"""

from math import pi, sqrt

import pytest

from geometry.assembly import Assembly
from geometry.built import BoreAt, built_linkage
from geometry.checks import rings as check
from geometry.errors import InputError
from geometry.kinematics.layout import build_layout
from geometry.record.overlay import overlay
from geometry.record.todo import todo
from geometry.record.verdicts import verdicts
from geometry.spec.load import load_engine
from tests.geometry.record.bench_fixtures import DEMOS, tern, typed

THOU, INCH = 0.0254, 25.4
GAUGE = "resolution=0.0001in"


def worn(*depths, bore=3, gauge=GAUGE):
    """4.034 x 4.036 at the top, 4.032 x 4.0325 in the middle, 4.030 x 4.0302 at the bottom: 5 thou of wear."""
    sizes = (
        ("top", "4.034in", "4.036in"),
        ("middle", "4.032in", "4.0325in"),
        ("bottom", "4.030in", "4.0302in"),
    )
    return tuple(
        f"bore {bore}: diameter.{height} depth={depth}in along={along} across={across} {gauge}"
        for (height, along, across), depth in zip(sizes, depths, strict=True)
    )


WORN = worn(0.4, 2.0, 3.6)
BELOW_REACH = worn(0.4, 2.5, 4.2)


def planned(gap):
    return load_engine(DEMOS / "tern.toml", {"rings.top.gap": f"'{gap}'"})


def checked(spec, record, system="in"):
    """The rings section of `check --built` for bore 3: its rows by ring, and what was found."""
    built, layout = overlay(spec, record), build_layout(spec)
    section = check.run(Assembly(spec, layout, built, built_linkage(layout, built), ()), system)
    rows = {row["name"]: row for row in section.as_json() if row["bore"] == 3}
    return rows, [finding for finding in section.findings if finding.bore == 3]


def judged(record, path, spec=None):
    found = verdicts(spec or tern(), record, bore=3, system="in")
    return next(one for one in found if one.path == path)


def test_ten_thou_in_a_worn_bore_is_judged_at_the_bottom(tmp_path):
    spec = planned("10 thou")
    rows, found = checked(spec, typed(tmp_path, *WORN, engine=spec))
    top = rows["top"]
    # 4.0301 in at the bottom: 10 + pi 0.1 thou = 10.31; 4.035 in at the top: 10 + pi 5.0 = 25.71; least 14.105 thou.
    assert top["gap_mm"] / THOU == pytest.approx(10.314, abs=5e-4)
    assert top["gap_widest_mm"] / THOU == pytest.approx(25.708, abs=5e-4)
    assert top["gap_at_depth_mm"] / INCH == pytest.approx(3.6)
    assert top["gap_widest_at_depth_mm"] / INCH < 0.4
    assert top["gap_min_mm"] / THOU == pytest.approx(0.0035 * 4030.1, abs=1e-3)
    assert top["gap_verdict"] == "below"
    tight = next(one for one in found if one.id == "ring_gap_tight")
    assert (tight.severity, "0.0103 in at 3.600 in below the deck" in tight.text) == ("stop", True)
    # 14.105 - 10.314 = 3.79 thou to file; 25.71 + 3.79 = 29.5 thou at the top is over 20.15.
    # A blade of 15 thou shows the least gap; of 3.79 thou 3 may come off before it is measured again.
    assert "until a blade of 15 thou goes at 3.600 in below the deck" in tight.remedy
    assert "; 3 thou off, both together, then measure again" in tight.remedy
    assert "0.0295 in then at 0.3" in tight.remedy
    assert "worn too far for one gap" in tight.remedy


def test_the_hot_gap_counts_from_the_tightest_place(tmp_path):
    spec = planned("10 thou")
    rows, found = checked(spec, typed(tmp_path, *WORN, engine=spec))
    # Ductile iron 11.2e-6 at 200 C in iron 11.4e-6 at 120 C (as in test_fitted), on pi 4.0301 in.
    closing = pi * 4.0301 * INCH * (11.2e-6 * 180 - 11.4e-6 * 100)
    assert rows["top"]["hot_gap_mm"] == pytest.approx(10.3142 * THOU - closing, abs=1e-5)
    assert ("ring_butts_hot", "stop") in {(one.id, one.severity) for one in found}


def test_only_what_the_ring_reaches_counts(tmp_path):
    spec = planned("10 thou")
    rows, _ = checked(spec, typed(tmp_path, *BELOW_REACH, engine=spec))
    # Bottom dead centre by the triangle of throw, rod and 0.040 in pin offset; then down to the middle of the groove.
    pin = sqrt((5.850 - 3.350 / 2) ** 2 - 0.040**2)
    for name, groove in (("top", 0.270 + 0.0616 / 2), ("lower_rail", 0.690 + 0.1880 / 2)):
        depth = 8.985 - (pin + 1.450 - groove)
        bore = 4.03225 + (4.0301 - 4.03225) * (depth - 2.5) / (4.2 - 2.5)
        written = {"top": 10.0, "lower_rail": 25.0}[name]
        assert rows[name]["gap_at_depth_mm"] / INCH == pytest.approx(depth, abs=1e-6)
        assert rows[name]["gap_mm"] / THOU == pytest.approx(written + pi * (bore - 4.030) * 1000, abs=1e-4)
    assert rows["top"]["gap_mm"] / THOU == pytest.approx(12.456, abs=5e-3)


@pytest.mark.parametrize(
    "gap, state, severity, place",
    [
        # Measured at the top of the bore: 4.9 thou of diameter further down it is 15.4 thou less.
        ("go=25thou tight=26thou depth=0.4in", "outside", "stop", "tightest"),
        ("go=18thou tight=19thou depth=0.4in", "outside", "stop", "tightest"),
        # Measured at the bottom: good there, and 15.4 thou more at the top, over the greatest of 20.15.
        ("go=18thou tight=19thou depth=3.6in", "outside", "look", "widest"),
        # 29.5 - 15.39 = 14.11 at the bottom nobody can tell from the least of 14.105; at the top it is surely too wide.
        ("29.5thou resolution=0.01thou depth=0.4in", "outside", "look", "widest"),
        ("go=18thou tight=19thou", "cannot tell", "look", "tightest"),
        # Too tight wherever it was measured.
        ("go=9thou tight=10thou", "outside", "stop", "tightest"),
    ],
)
def test_a_measured_gap_is_carried_to_where_it_counts(tmp_path, gap, state, severity, place):
    found = judged(typed(tmp_path, *WORN, f"bore 3: ring.top.gap {gap}"), "ring.top.gap")
    assert (found.verdict, found.severity) == (state, severity)
    assert f"where the bore is {place}" in found.text


def test_what_is_filed_is_filed_for_the_tightest_place(tmp_path):
    found = judged(
        typed(tmp_path, *WORN, "bore 3: ring.top.gap go=25thou tight=26thou depth=0.4in"), "ring.top.gap"
    )
    # pi (4.0350 - 4.0301) = 15.394 thou less, 0.314 thou either way by a gauge of 0.1 thou: 9.29 to 10.92 thou.
    row = found.as_row()
    assert row["tightest_low_mm"] / THOU == pytest.approx(25 - 15.394 - 0.314, abs=1e-3)
    assert row["tightest_high_mm"] / THOU == pytest.approx(26 - 15.394 + 0.314, abs=1e-3)
    assert row["tightest_depth_mm"] / INCH == pytest.approx(3.6)
    assert (row["widest_low_mm"] / THOU, row["widest_high_mm"] / THOU) == pytest.approx((25, 26))
    assert (row["low_mm"] / THOU, row["high_mm"] / THOU) == pytest.approx((25, 26))
    # 14.105 - 10.92 = 3.2 at once, 14.105 - 9.29 = 4.8 at most.
    assert "file 3 thou off" in found.remedy
    assert "5 thou at most" in found.remedy
    assert "measure again at 3.600 in below the deck" in found.remedy
    assert "worn too far for one gap" in found.remedy  # 25 + 3.2 is over 20.15


def test_where_it_was_measured_is_asked_for(tmp_path):
    record = typed(tmp_path, *WORN, "bore 3: ring.top.gap go=18thou tight=19thou")
    found = judged(record, "ring.top.gap")
    # Measured at the top, 15.7 thou less at the bottom; measured at the bottom, all of it there.
    assert found.as_row()["tightest_low_mm"] / THOU == pytest.approx(18 - 15.394 - 0.314, abs=1e-3)
    assert found.as_row()["tightest_high_mm"] / THOU == pytest.approx(19)
    assert found.remedy.startswith("say at what depth it was measured (depth=), or measure it at 3.600 in")
    rows, said = checked(tern(), record)
    assert rows["top"]["gap_verdict"] == "cannot_tell"
    of_top = {(one.id, one.severity) for one in said if "top ring" in one.text}
    assert of_top == {("ring_gap_unsure", "look"), ("ring_butts_hot", "look")}


def test_check_and_record_hold_a_gap_against_the_same_least(tmp_path):
    record = typed(tmp_path, *BELOW_REACH, "bore 3: ring.top.gap go=25thou tight=26thou depth=0.4in")
    rows, _ = checked(tern(), record)
    assert judged(record, "ring.top.gap").least == pytest.approx(rows["top"]["gap_min_mm"], abs=1e-6)


def test_what_is_left_to_do_says_where_to_measure(tmp_path):
    left = {item.entry: item.what for item in todo(tern(), typed(tmp_path, *WORN), bore=3, system="in")}
    assert left["ring.top.gap"] == "top ring gap at 3.600 in below the deck, where the bore is tightest"
    plain = {item.entry: item.what for item in todo(tern(), typed(tmp_path), bore=1, system="in")}
    assert plain["ring.top.gap"] == "top ring gap"


@pytest.mark.parametrize("lines", [(), WORN[1:2]])
def test_a_bore_measured_at_one_height_or_none_leaves_the_gap_as_read(tmp_path, lines):
    found = judged(typed(tmp_path, *lines, "bore 3: ring.top.gap go=18thou tight=19thou"), "ring.top.gap")
    assert (found.verdict, found.text) == ("within", "")
    row = found.as_row()
    assert row["tightest_low_mm"] == row["widest_low_mm"] == pytest.approx(18 * THOU)


def test_readings_and_depths_reach_the_build(tmp_path):
    build = overlay(tern(), typed(tmp_path, *WORN, "bore 3: ring.top.gap 18thou depth=3.6in")).bore(3)
    assert build.ring("top").gap_depth_mm == pytest.approx(3.6 * INCH)
    assert build.bore_readings[0] == BoreAt(*(pytest.approx(size * INCH) for size in (0.4, 4.034, 4.036)))
    assert [at.depth_mm / INCH for at in build.bore_readings] == pytest.approx([0.4, 2.0, 3.6])


def test_heights_out_of_order_are_refused_in_one_line(tmp_path):
    with pytest.raises(InputError) as refused:
        typed(tmp_path, *worn(0.4, 4.0, 3.6))
    assert len(refused.value.problems) == 1
    assert "diameter.bottom.depth: the bottom is no deeper than the middle" in str(refused.value)


def test_a_rod_that_cannot_be_does_not_silence_the_gaps(tmp_path):
    record = typed(tmp_path, *WORN, "bore 3: rod.length 0.5in", "bore 3: ring.top.gap go=9thou tight=10thou")
    assert judged(record, "ring.top.gap").verdict == "outside"
