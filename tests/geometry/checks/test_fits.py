"""Oil clearance, skirt clearance and pin length against their limits; figures worked by hand."""

import math
import re

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.checks.fits import CHECK, pin_to_wall_mm
from tests.geometry.fleet import CLEAR, assembly
from tests.geometry.mistakes.shop import right, spec

INCH = 25.4


def rows(base, name):
    return [row for row in CHECK.run(base, "in").rows if row["fit"] == name]


def verdict(name, bore=1, **tables):
    base = assemble(spec(**tables))
    section = CHECK.run(base, "in")
    row = next(r for r in section.rows if (r["fit"], r["bore"]) == (name, bore))
    severities = {f.severity for f in section.findings if f.id == f"fit_{name}"}
    assert severities == ({row["severity"]} if row["severity"] else set())
    return row["verdict"], row["severity"], row["value_mm"].value / INCH


@pytest.mark.parametrize(
    "wall, state, severity",
    [
        # Pin 2.050, housing 2.1760 in; 0.00075 to 0.0010 in per inch, 0.0005 in either way: 0.0010375 to 0.00255 in.
        ("0.0620 in", "within", ""), ("0.0624 in", "within", ""), ("0.0625 in", "tight", "stop"),
        ("0.06175 in", "within", ""), ("0.0617 in", "loose", "look"),
    ],
)  # fmt: skip
def test_big_end_oil_clearance_is_on_the_diameter(wall, state, severity):
    clearance = 2.1760 - 2 * float(wall.split()[0]) - 2.050
    found = verdict("rod_oil_clearance", rod={"bearing": {"wall": wall}})
    assert found == (state, severity, pytest.approx(clearance, abs=1e-9))


@pytest.mark.parametrize(
    "clearance, material, state, severity",
    [
        ("0.0003 in", "cast_aluminium", "tight", "stop"), ("0.0030 in", "cast_aluminium", "within", ""),
        ("0.0024 in", "forged_aluminium", "tight", "stop"), ("0.0026 in", "forged_aluminium", "within", ""),
        ("0.0071 in", "cast_aluminium", "loose", "look"), ("0.0003 in", "cast_iron", "no limit", ""),
    ],
)  # fmt: skip
def test_skirt_clearance(clearance, material, state, severity):
    found = verdict("skirt_clearance", piston={"skirt": {"clearance": clearance}, "material": material})
    assert found == (state, severity, pytest.approx(float(clearance.split()[0]), abs=1e-9))


@pytest.mark.parametrize(
    "length, state", [("2.80 in", "within"), ("3.80 in", "within"), ("3.84 in", "tight"), ("3.90 in", "none")]
)
def test_pin_length_against_the_bore(length, state):
    # Corner of the pin: half its length along the crank, 0.47 in and the offset of 0.040 in across. Bore 4.030 in.
    left = 2.015 - math.hypot(float(length.split()[0]) / 2, 0.510)
    found = verdict("pin_to_wall", piston={"pin": {"length": length}})
    assert found == (state, "" if state == "within" else "stop", pytest.approx(left, abs=1e-9))


def test_pin_by_brute_force_over_the_rim_of_its_end():
    engine = right().spec
    pin = engine.piston.pin
    turn = np.radians(np.arange(0.0, 360.0, 0.01))
    y = pin.offset_mm + pin.diameter_mm / 2 * np.cos(turn)
    out = np.hypot(pin.length_mm / 2, y).max()
    bore = engine.block.bore.diameter_mm
    assert pin_to_wall_mm(engine, bore) == pytest.approx(bore / 2 - out, abs=1e-9)


def test_a_bore_found_larger_loosens_the_skirt_of_that_bore_alone():
    base = right()
    worn = assemble(base.spec, base.built.with_bore(3, bore_diameter_mm=4.0345 * INCH))
    found = {row["bore"]: row for row in rows(worn, "skirt_clearance")}
    assert found[3]["value_mm"].value == pytest.approx(0.0075 * INCH, abs=1e-9)  # 0.0030 and 0.0045 in more
    assert found[3]["verdict"] == "loose"
    assert found[4]["value_mm"].value == pytest.approx(0.0030 * INCH, abs=1e-9)


def test_the_builders_own_least_goes_first():
    limits = {"rod_oil": "0.0025 in", "piston_to_wall": "0.0035 in"}
    base = assemble(spec().model_copy(update={"limits": type(right().spec.limits).model_validate(limits)}))
    for name in ("rod_oil_clearance", "skirt_clearance"):
        row = rows(base, name)[0]
        assert row["verdict"] == "tight"
        assert "your engine file" in row["limit_source"]


@pytest.mark.parametrize("name", CLEAR)
def test_the_demo_engines_keep_every_fit_and_say_who_asks(name):
    section = CHECK.run(assembly(name), "mm")
    assert section.findings == ()
    told = {row["fit"] for row in section.rows if row["verdict"] != "within"}
    assert told <= {
        "skirt_warm",
        "deck",
        "quench",
    }  # no source gives a limit; a wide quench is a note of its own check
    assert all(row["limit_source"] for row in section.rows)
    for fit in ("rod_oil_clearance", "skirt_clearance", "pin_to_wall", "rod_side", "deck", "quench"):
        assert [row["bore"] for row in section.rows if row["fit"] == fit] == sorted(
            site.bore for site in assembly(name).layout.bores
        )


@pytest.mark.parametrize(
    "wall_in, told",
    [
        ("0.0625 in", r": 0\.0010 in, at least 0\.0010 in "),
        ("0.0617 in", r": 0\.0026 in, at most 0\.002[56] in "),
    ],
)
def test_an_oil_clearance_is_told_to_a_ten_thousandth_with_its_limit(wall_in, told):
    # 0.0010 in on a 2.050 in pin is under the least of 0.0010375; 0.0026 in is over the most of 0.00255.
    section = CHECK.run(assemble(spec(rod={"bearing": {"wall": wall_in}})), "in")
    found = [f for f in section.findings if f.id == "fit_rod_oil_clearance"]
    assert len(found) == 8
    assert all(re.search(told, finding.text) for finding in found)
