"""The trade's figures in inches or millimetres as printed, with their source, against what the checks hold to."""

import pytest

from geometry.clearance.limits import DEFAULTS, limit_for
from geometry.trade import oil_clearance, piston_to_wall, rod_side
from tests.geometry.mistakes.shop import right, spec

INCH = 25.4
# Least clearance in thousandths of an inch. Squish: trade articles; valves: articles on piston to valve; the rest is
# common practice without a source.
LEAST_THOU = {
    "rod_to_block": 50, "rod_to_cam": 50, "rod_to_piston": 40, "rod_to_counterweight": 40, "rod_to_rod": 40,
    "piston_to_block": 40, "counterweight_to_piston": 50, "counterweight_to_block": 40, "crank_to_cam": 50,
    "crank_to_pan": 60, "piston_to_head": 35, "piston_to_intake_valve": 80, "piston_to_exhaust_valve": 100,
    "valve_to_pocket": 50, "valve_to_bore": 20, "valve_to_valve": 40, "piston_to_piston": 50, "notch_wall": 80,
}  # fmt: skip


def test_every_least_clearance_is_the_one_it_names():
    assert set(DEFAULTS) == {*LEAST_THOU, "rod_side"}
    for name, thou in LEAST_THOU.items():
        limit = limit_for(right().spec, name)
        assert limit.least_mm == pytest.approx(thou / 1000 * INCH, abs=1e-9), name
        assert limit.source.startswith(f"{thou / 1000:.3f} in"), name


def test_aluminium_rods_stretch_more():
    # 0.050 in to the head instead of 0.035 in, a trade article; nothing else changes with the rod's material.
    soft = spec(rod={"material": "aluminium"})
    assert limit_for(soft, "piston_to_head").least_mm == pytest.approx(0.050 * INCH, abs=1e-9)
    others = set(DEFAULTS) - {"piston_to_head"}
    assert all(limit_for(soft, name) == limit_for(right().spec, name) for name in others)


@pytest.mark.parametrize("journal_in, least, most", [(2.000, 0.0010, 0.0025), (2.5, 0.001375, 0.0030)])
def test_bearing_clearance_by_the_makers_rule(journal_in, least, most):
    # 0.00075 to 0.0010 in per inch of journal, 0.0005 in either way; the note itself gives 0.0030 in for 2.5 in loose.
    fit = oil_clearance(journal_in * INCH)
    assert (fit.least_mm, fit.most_mm) == pytest.approx((least * INCH, most * INCH), abs=1e-9)
    assert oil_clearance(0.5 * INCH).least_mm == 0.0


def test_skirt_clearance_by_material():
    assert piston_to_wall("cast_aluminium").least_mm == pytest.approx(0.0010 * INCH, abs=1e-9)
    assert piston_to_wall("forged_aluminium").least_mm == pytest.approx(0.0025 * INCH, abs=1e-9)
    assert piston_to_wall("cast_aluminium").most_mm == pytest.approx(0.007 * INCH, abs=1e-9)
    assert piston_to_wall("cast_iron") is None


def test_side_clearance_of_rods_by_service_data():
    # Two rods on a pin 0.11 to 0.51 mm (a V8, 2006); one rod 0.10 to 0.30 mm (a four-cylinder, 2008).
    pair, single = rod_side(right().spec), rod_side(right("inline").spec)
    assert (pair.least_mm, pair.most_mm) == (0.11, 0.51)
    assert (single.least_mm, single.most_mm) == (0.10, 0.30)
    assert limit_for(right().spec, "rod_side").least_mm == 0.11
    assert limit_for(right("inline").spec, "rod_side").least_mm == 0.10
