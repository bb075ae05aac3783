"""Starters: each loads, fits together, passes its checks in either unit, and says what every number is."""

import re
import tomllib

import pytest

from geometry.assembly import assemble
from geometry.checks.clearances import judged
from geometry.checks.section import checks
from geometry.clearance.full_turn import full_turn
from geometry.spec.base import FROM_FILE
from geometry.spec.engine import Engine
from tests.geometry import fleet
from viewer.starters import names, text

LAYOUTS = {"inline-four": 4, "inline-six": 6, "vee-eight": 8, "vee-six": 6, "flat-four": 4, "single": 1}


def engine(name, units="mm"):
    return Engine.model_validate(tomllib.loads(text(name, units)), context=FROM_FILE)


def test_there_is_one_for_each_usual_layout():
    assert set(names()) == set(LAYOUTS)


@pytest.mark.parametrize("name", LAYOUTS)
def test_fires_evenly_from_as_many_bores_as_its_name_says(name):
    firing = assemble(engine(name)).layout.firing
    assert len(firing.order) == LAYOUTS[name]
    assert firing.intervals_deg == pytest.approx([720 / LAYOUTS[name]] * LAYOUTS[name], abs=1e-6)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("name", LAYOUTS)
def test_passes_its_own_checks(name, units):
    assembly = assemble(engine(name, units))
    others = [check for check in checks() if check.key != "clearances"]
    found = [finding for check in others for finding in check.run(assembly, units).findings]
    assert [finding.text for finding in found if finding.severity == "stop"] == []


@pytest.mark.parametrize("name", LAYOUTS)
def test_clears_through_the_full_turn(name):
    assembly = assemble(engine(name))
    found = judged(assembly, full_turn(assembly))
    assert [(c.near.approach.a, c.near.approach.b) for c in found if c.verdict != "clear"] == []


@pytest.mark.parametrize("name", LAYOUTS)
def test_in_inches_it_is_the_same_engine_at_254_over_250(name):
    metric, inch = engine(name), engine(name, "in")
    assert "mm" not in re.sub(r'"[0-9.]+mm"', "", text(name, "in"))
    for read in (
        lambda e: e.crank.stroke_mm, lambda e: e.rod.length_mm, lambda e: e.block.deck_height_mm,
        lambda e: e.rod.bearing.wall_mm, lambda e: e.piston.pin.offset_mm, lambda e: e.rings.top.gap_mm,
        lambda e: e.rod.big_end.bore_mm - 2 * e.rod.bearing.wall_mm - e.crank.pin.diameter_mm,
    ):  # fmt: skip
        assert read(inch) == pytest.approx(read(metric) * 25.4 / 25, rel=1e-9)
    assert inch.head.chamber_cm3 == pytest.approx(metric.head.chamber_cm3 * (25.4 / 25) ** 3, abs=0.05)
    assert inch.rod.bolt.torque_nm == pytest.approx(metric.rod.bolt.torque_nm, rel=0.02)
    assert inch.rod.bolt.proof_mpa == pytest.approx(metric.rod.bolt.proof_mpa, rel=0.01)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("name", LAYOUTS)
def test_remarks_stand_in_one_column_and_lines_fit_a_screen(name, units):
    for line in text(name, units).splitlines():
        assert len(line) <= 140
        found = re.match(r"[^#\s][^#]*(#)", line)
        if found and len(line[: found.start(1)].rstrip()) < 38:
            assert found.start(1) == 38, line


def test_no_starter_is_a_demo_engine():
    bores = {round(fleet.spec(name).block.bore.diameter_mm, 3) for name in fleet.NAMES if name != "curlew"}
    strokes = {round(fleet.spec(name).crank.stroke_mm, 3) for name in fleet.NAMES}
    for name in names():
        assert engine(name).crank.stroke_mm not in strokes
        assert engine(name).block.bore.diameter_mm not in bores


def test_an_unknown_starter_is_refused():
    with pytest.raises(KeyError):
        text("radial-nine")
