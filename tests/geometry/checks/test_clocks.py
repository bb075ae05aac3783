"""The ring clock section of the report."""

import pytest

from geometry.assembly import Assembly
from geometry.built import AS_DESIGNED, BoreBuild, Built, RingBuild, built_linkage
from geometry.checks.clocks import CHECK, run
from geometry.checks.section import Finding, worst_first
from geometry.kinematics.layout import build_layout
from geometry.rings.schemes import RINGS_TURN_NOTE, SCHEMES
from tests.geometry.rings.engines import LAYOUTS, ROTATIONS, engine


def section(spec, **builds):
    built = Built(bores={3: BoreBuild(**builds)}) if builds else AS_DESIGNED
    layout = build_layout(spec)
    return run(Assembly(spec, layout, built, built_linkage(layout, built), ()), "in")


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("rotation", ROTATIONS)
def test_one_row_per_bore_in_the_builders_numbers(layout, rotation):
    found = section(engine(layout, rotation))
    assert [row["bore"] for row in found.rows] == sorted(
        site.bore for site in build_layout(engine(layout)).bores
    )
    assert {column.key for column in found.columns} <= set(found.rows[0])
    assert {row["thrust_ring_deg"].value for row in found.rows} == {
        90.0 if rotation == "clockwise" else 270.0
    }
    assert RINGS_TURN_NOTE in found.notes
    assert CHECK.key == found.key == "clocks"


def test_thirds_on_the_demo():
    # A maker's 2002 service manual: 60 degrees between a compression gap and the lower rail is the closest.
    row = section(engine()).as_json()[0]
    assert row["smallest_separation_deg"] == 60.0
    assert row["smallest_pair"] in ("top ring - lower rail", "second ring - lower rail")
    assert row["rules_kept"] == "kept"
    assert row["turn_deg"] == 0.0
    # A third of the land's circumference, 4.030 in less 0.032 in.
    assert row["way_top_to_second_mm"] == pytest.approx(3.14159265 * 3.998 * 25.4 / 3, abs=1e-4)


def test_findings_carry_limit_and_source():
    found = section(engine(), rings={"top": RingBuild(gap_ring_deg=118.0)})
    ids = {(finding.id, finding.bore) for finding in found.findings}
    assert ("clock_near", 3) in ids
    assert all(finding.bore == 3 for finding in found.findings)
    near = next(finding for finding in found.findings if finding.id == "clock_near")
    assert "2 degrees apart; at least 45" in near.text
    assert "common practice, no source" in near.text


def test_an_overlapped_expander_stops_the_job():
    found = section(engine(), rings={"expander": RingBuild(overlapped=True)})
    assert [(f.id, f.severity) for f in found.findings] == [("clock_expander_overlapped", "stop")]


def test_no_turn_is_given_where_no_turn_mends():
    broken = section(engine(), rings={"top": RingBuild(gap_ring_deg=118.0)}).as_json()[2]
    assert (broken["rules_kept"], broken["turn_deg"]) == ("broken", None)
    broken = section(engine(), rings={"expander": RingBuild(overlapped=True)}).as_json()[2]
    assert (broken["rules_kept"], broken["turn_deg"]) == ("broken", None)


def test_a_turn_is_given_where_all_gaps_together_came_round():
    # All gaps as planned but 25 degrees further: the second ring stands 5 degrees from the thrust side at 90.
    planned = {"top": 240.0, "second": 120.0, "upper_rail": 0.0, "expander": 90.0, "lower_rail": 180.0}
    rings = {role: RingBuild(gap_ring_deg=(angle - 25.0) % 360.0) for role, angle in planned.items()}
    row = section(engine(), rings=rings).as_json()[2]
    assert row["rules_kept"] == "broken"
    assert 0.0 < abs(row["turn_deg"]) <= 25.0
    turned = {
        role: RingBuild(gap_ring_deg=(angle - 25.0 + row["turn_deg"]) % 360.0)
        for role, angle in planned.items()
    }
    assert section(engine(), rings=turned).as_json()[2]["rules_kept"] == "kept"


def test_missing_rings_leave_their_cells_empty():
    found = section(engine(), rings={"second": RingBuild(missing=True)})
    row = next(row for row in found.as_json() if row["bore"] == 3)
    assert row["second_deg"] is None
    assert row["way_top_to_second_mm"] is None


@pytest.mark.parametrize("scheme", SCHEMES)
def test_every_scheme_runs_on_the_demo(scheme):
    found = section(engine(rings={"scheme": scheme}))
    assert {row["scheme"] for row in found.rows} == {scheme}


def test_what_stops_the_job_comes_first_and_equals_keep_their_order():
    said = [Finding(name, severity, None, "") for name, severity in
            (("a", "note"), ("b", "look"), ("c", "stop"), ("d", "look"), ("e", "stop"))]  # fmt: skip
    assert [finding.id for finding in worst_first(said)] == ["c", "e", "b", "d", "a"]
