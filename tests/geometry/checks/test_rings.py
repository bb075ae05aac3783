"""The rings section of the report."""

import pytest

from geometry.assembly import Assembly
from geometry.built import AS_DESIGNED, BoreBuild, Built, RingBuild, built_linkage
from geometry.checks.rings import CHECK, run
from geometry.kinematics.layout import build_layout
from tests.geometry.rings.engines import LAYOUTS, engine


def section(spec, system="in", **builds):
    built = Built(bores={3: BoreBuild(**builds)}) if builds else AS_DESIGNED
    layout = build_layout(spec)
    return run(Assembly(spec, layout, built, built_linkage(layout, built), ()), system)


def ids(found):
    return [(finding.id, finding.severity, finding.bore) for finding in found.findings]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_sound_engine_has_rows_and_no_findings(layout):
    found = section(engine(layout))
    bores = {row["bore"] for row in found.rows}
    assert len(found.rows) == 4 * len(bores)
    assert found.findings == ()
    assert {column.key for column in found.columns} <= set(found.rows[0])
    assert all(isinstance(note, str) and note for note in found.notes)
    assert CHECK.key == found.key == "rings"


def test_json_has_every_number_in_house_units():
    # 18 thou = 0.4572 mm; least 0.0035 x 4.030 in = 0.358267 mm.
    row = section(engine()).as_json()[0]
    assert (row["bore"], row["name"], row["gap_mm"]) == (1, "top", 0.4572)
    assert row["gap_min_mm"] == pytest.approx(0.358267, abs=1e-6)
    assert row["gap_source"].startswith("common practice, no source")
    assert row["twist"] == "positive"
    assert row["side_up"].startswith("The dot goes up")


@pytest.mark.parametrize(
    "tables, expected",
    [
        ({"rings": {"top": {"gap": "10 thou"}}}, {("ring_gap_tight", "stop"), ("ring_butts_hot", "stop")}),
        ({"rings": {"top": {"gap": "13 thou"}}}, {("ring_gap_tight", "stop")}),
        ({"rings": {"top": {"gap": "24 thou"}}}, {("ring_gap_wide", "look")}),
        ({"rings": {"oil": {"rail_gap": "12 thou"}}}, {("ring_gap_tight", "stop")}),
        ({"rings": {"gap_bore": "4.040 in"}}, {("ring_too_long", "stop")}),
        ({"rings": {"gap_bore": "4.033 in"}}, {("ring_gap_tight", "stop"), ("ring_butts_hot", "stop")}),
        ({"rings": {"top": {"wall": "0.200 in"}}}, {("ring_proud", "stop")}),
        ({"rings": {"top": {"wall": "0.185 in"}}}, {("ring_bottoms", "look")}),
        ({"rings": {"top": {"height": "0.0610 in"}}}, {("ring_side", "stop")}),
        ({"rings": {"top": {"height": "0.0560 in"}}}, {("ring_side", "look")}),
        ({"block": {"bore": {"length": "4.10 in"}}}, {("ring_leaves_bottom", "stop")}),
        ({"block": {"bore": {"notch": {"width": "1.2 in", "height": "1.60 in", "depth": "0.1 in"}}}},
         {("ring_crosses_notch", "look")}),
        ({"piston": {"compression_height": "1.75 in"}}, {("ring_leaves_top", "stop")}),
    ],
)  # fmt: skip
def test_what_is_wrong_is_found_and_told(tables, expected):
    found = section(engine(**tables))
    assert {(name, severity) for name, severity, _ in ids(found)} == expected
    assert {bore for *_, bore in ids(found)} == set(range(1, 9))
    severities = [severity for _, severity, _ in ids(found)]
    assert severities == sorted(severities, key=["stop", "look", "note"].index)
    for finding in found.findings:
        assert " in" in finding.text or "°F" in finding.text
        assert finding.remedy


@pytest.mark.parametrize(
    "builds, expected",
    [
        ({"rings": {"top": RingBuild(upside_down=True)}}, ["ring_upside_down"]),
        ({"rings": {"second": RingBuild(missing=True)}}, ["ring_missing"]),
        ({"rings_exchanged": True}, ["rings_exchanged"]),
        ({"rings": {"top": RingBuild(gap_mm=0.30)}}, ["ring_gap_tight"]),
    ],
)
def test_mistakes_are_told_of_their_own_bore(builds, expected):
    found = section(engine(), **builds)
    assert [(name, bore) for name, _, bore in ids(found)] == [(name, 3) for name in expected]
    assert all(finding.severity == "stop" for finding in found.findings)


def test_a_plain_ring_may_lie_either_way_up():
    spec = engine(rings={"top": {"face": "barrel", "inside": "plain", "mark": "none"}})
    assert section(spec, rings={"top": RingBuild(upside_down=True)}).findings == ()


def test_upside_down_in_a_builders_words():
    (finding,) = section(engine(), rings={"second": RingBuild(upside_down=True)}).findings
    assert "upside down" in finding.text
    assert "smokes" in finding.text
    assert "dot goes up" in finding.remedy


def test_millimetres_when_asked_for():
    (finding, *_) = section(engine(rings={"top": {"gap": "0.30 mm"}}), "mm").findings
    assert "0.300 mm" in finding.text


def test_other_figures_in_print_are_shown_beside_the_one_that_is_used():
    # Tables A and B on 4.030 in: 0.0040 and 0.0045 per inch for the top ring.
    notes = " ".join(section(engine()).notes)
    assert "0.0161 in / 0.0201 in" in notes
    assert "0.0181 in / 0.0227 in" in notes
