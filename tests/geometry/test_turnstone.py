"""Turnstone, of which most is assumed: what is written counts as written, what is not is filled and says so."""

import pytest

from geometry.assembly import assemble
from geometry.checks.clearances import judged
from geometry.checks.section import checks
from geometry.clearance.full_turn import full_turn
from geometry.spec.described import load_described
from geometry.spec.proportions.waits import waiting, waiting_figures
from tests.geometry import fleet


@pytest.fixture(scope="module")
def turnstone():
    return load_described(fleet.FOLDER / f"{fleet.NOT_MEASURED}.toml")


@pytest.fixture(scope="module")
def assembly(turnstone):
    return assemble(turnstone.spec)


def test_it_has_measured_about_and_missing_values(turnstone):
    count = {
        origin: [v.key for v in turnstone.values if v.origin == origin]
        for origin in ("measured", "about", "filled")
    }
    assert 20 < len(count["measured"]) < 30
    assert 5 < len(count["about"]) < 15
    assert len(count["filled"]) > 50
    by_key = {value.key: value for value in turnstone.values}
    rod = by_key["rod.length"]
    assert (rod.nominal, rod.lowest, rod.highest, rod.assumed) == (136.0, 135.9, 136.0, False)
    assert by_key["head.chamber"].assumed
    assert by_key["crank.pin.diameter"].reason == ""
    assert by_key["block.web"].reason.startswith("not in the file: the main journal less 1.5 mm at each end")


def test_what_waits_is_what_nobody_wrote(turnstone):
    written = {value.key for value in turnstone.values if value.origin != "filled"}
    assert waiting(turnstone) == {}
    figures = waiting_figures(turnstone)
    assert ("summary", "compression ratio") not in figures
    assert figures["fits", "pin to wall"] == ("piston.pin.length",)
    assert "rings.top.wall" in figures["rings", "back of top ring"]
    assert not {key for keys in figures.values() for key in keys} & written


def test_it_fires_evenly_and_its_sizes_are_its_own(assembly):
    assert assembly.layout.firing.intervals_deg == pytest.approx([240.0] * 3)
    assert (assembly.spec.block.bore.diameter_mm, assembly.spec.crank.stroke_mm) == (74.02, 82.5)


def test_at_its_nominal_values_it_would_clear(assembly):
    found = [
        f.text
        for c in checks()
        if c.key != "clearances"
        for f in c.run(assembly, "mm").findings
        if f.severity == "stop"
    ]
    near = judged(assembly, full_turn(assembly))
    assert found == []
    assert [(c.near.approach.a, c.near.approach.b) for c in near if c.verdict != "clear"] == []
