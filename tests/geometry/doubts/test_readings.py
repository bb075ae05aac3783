"""Readings of a build record as sides of the box of doubt, and the assumed values that they stand in for."""

import math

import pytest

from geometry.assembly import assemble
from geometry.checks.fits import fits
from geometry.doubts.readings import read_box
from geometry.record.overlay import overlay
from geometry.spec.described import load_described
from geometry.stack import stack_of
from tests.geometry.record.bench_fixtures import DEMOS, typed

IN, THOU = 25.4, 0.0254
ABOUT = {
    "rod.length": "about 5.85 in", "piston.compression_height": "about 1.45 in", "rings.top.gap": "about 18 thou",
    "rings.oil.rail_gap": "about 25 thou", "block.bore.diameter": "about 4.03 in",
}  # fmt: skip
EVERY = range(1, 9)


def read(folder, *lines, changes=ABOUT):
    described = load_described(DEMOS / "tern.toml", changes)
    return read_box(described, typed(folder, *lines, engine=described.spec))


def sides(found):
    return {side.key: side for side in found.box.coordinates}


def replaced(found):
    return [value.key for value in found.replaced]


def every(words):
    return [f"bore {bore}: {words}" for bore in EVERY]


# what a reading proves


def test_a_reading_is_known_as_closely_as_its_instrument(tmp_path):
    found = sides(read(tmp_path, "bore 3: rod.length value=5.851in resolution=0.001in"))
    side = found["bore 3 rod.length"]
    assert (side.lowest / IN, side.nominal / IN, side.highest / IN) == pytest.approx((5.8505, 5.851, 5.8515))
    assert (side.assumed, side.path) == (False, None)


def test_a_pair_of_blades_bounds_a_gap(tmp_path):
    side = sides(read(tmp_path, "bore 3: ring.top.gap go=18thou tight=20thou"))["bore 3 ring.top.gap"]
    assert (side.lowest / THOU, side.nominal / THOU, side.highest / THOU) == pytest.approx((18.0, 19.0, 20.0))


def test_a_blade_that_goes_proves_no_upper_end_and_stands_in_for_nothing(tmp_path):
    found = read(tmp_path, *every("ring.top.gap go=18thou"))
    assert "bore 3 ring.top.gap" not in sides(found)
    assert "rings.top.gap" in sides(found)
    assert replaced(found) == []
    assert found.box.built_at({}).bore(3).ring("top").gap_mm == pytest.approx(18 * THOU)  # as ever


def test_what_a_bore_gauge_cannot_tell_moves_all_diameters_of_a_bore(tmp_path):
    found = read(
        tmp_path,
        "bore 3: diameter.top depth=0.5in along=4.0300in across=4.0304in resolution=0.0002in",
        "bore 3: diameter.bottom depth=4.2in along=4.0308in across=4.0308in resolution=0.0002in",
    )
    side = sides(found)["bore 3 diameter"]
    assert side.nominal / IN == pytest.approx(4.0305)
    assert (side.highest - side.nominal) / IN == pytest.approx(0.0001)
    largest = found.box.built_at({side.key: side.highest}).bore(3)
    assert largest.bore_diameter_mm / IN == pytest.approx(4.0306)
    assert [at.across_mm / IN for at in largest.bore_readings] == pytest.approx([4.0305, 4.0309])


# laid over the engine, wherever in the box that is


def decks(found, point):
    engine = found.box.assembly_at(point)
    return [stack_of(engine.spec, engine.layout, bore, engine.built).deck_mm for bore in (3, 4)]


def test_a_deck_reading_holds_however_long_the_rod_is(tmp_path):
    """Bore 3 was read; in bore 4 the crown goes up with the rod, by d·(l + r) / sqrt((l + r)² - offset²)."""
    found = read(tmp_path, "bore 3: deck 12thou")
    (here, there), (longer, up) = decks(found, {}), decks(found, {"rod.length": 5.86 * IN})
    assert here == longer == pytest.approx(12 * THOU)
    line = math.sqrt(7.535**2 - 0.040**2) - math.sqrt(7.525**2 - 0.040**2)
    assert (there - up) / IN == pytest.approx(line)


def test_a_reading_may_be_anything_that_it_proves(tmp_path):
    found = read(tmp_path, "bore 3: deck value=12thou resolution=1thou")
    side = sides(found)["bore 3 deck"]
    assert decks(found, {side.key: side.highest})[0] == pytest.approx(12.5 * THOU)
    assert decks(found, {side.key: side.lowest, "rod.length": 5.86 * IN})[0] == pytest.approx(11.5 * THOU)


def test_at_its_middle_the_box_is_the_engine_as_put_together(tmp_path):
    lines = (
        "bore 3: rod.way turned",
        "bore 3: deck 12thou",
        "bore 3: rod.length 5.851in",
        "bore 3: ring.top.gap go=18thou tight=20thou",
        "bore 4: piston.skirt 4.0272in",
        "bore 4: bolt.major.stand 1.2mm",
        "bore 5: bearing.clearance 2.2thou",
        "bore 5: diameter.top depth=0.5in along=4.0300in across=4.0304in",
        "main 2: way turned",
    )
    found = read(tmp_path, *lines)
    described = load_described(DEMOS / "tern.toml", ABOUT)
    assert found.box.built_at({}) == overlay(described.spec, typed(tmp_path, engine=described.spec))


def test_an_engine_in_no_doubt_has_no_sides(tmp_path):
    found = read(tmp_path, "bore 3: deck 12thou", changes={})
    assert found.box.coordinates == ()
    assert decks(found, {})[0] == pytest.approx(12 * THOU)


# what readings stand in for


@pytest.mark.parametrize(
    "lines, gone",
    [
        (every("rod.length 5.85in"), ["rod.length"]),
        (every("rod.length 5.85in")[:-1], []),
        (every("piston.height 1.45in"), ["piston.compression_height"]),
        (every("deck 10thou"), ["piston.compression_height"]),
        ([*every("deck 10thou")[:4], *every("piston.height 1.45in")[4:]], ["piston.compression_height"]),
        (every("ring.upper_rail.gap 25thou"), []),
        (
            [*every("ring.upper_rail.gap 25thou"), *every("ring.lower_rail.gap 25thou")],
            ["rings.oil.rail_gap"],
        ),
        (every("diameter.top depth=0.5in along=4.03in across=4.03in"), ["block.bore.diameter"]),
        (every("bearing.clearance 2thou"), []),
    ],
)
def test_a_value_is_struck_when_readings_stand_in_for_it_in_every_bore(tmp_path, lines, gone):
    found = read(tmp_path, *lines)
    assert sorted(replaced(found)) == gone
    assert not set(gone) & set(sides(found))
    assert len(found.box.described.assumed) == len(ABOUT) - len(gone)
    assert {v.key for v in found.box.described.values if v.origin == "read"} == set(gone)


def test_a_value_of_one_bore_is_struck_by_the_reading_of_that_bore(tmp_path):
    changes = {
        **ABOUT,
        "bore": '{ 3 = { rod = { length = "about 5.851 in" }, diameter = "about 4.031 in" } }',
    }
    found = read(tmp_path, "bore 3: rod.length 5.851in", changes=changes)
    assert replaced(found) == ["bore.3.rod.length"]
    assert "bore.3.diameter" in sides(found)


# sizes of a big end


def oil_mm(tmp_path, *lines):
    engine = read(tmp_path, *lines).box.assembly_at({})
    return {
        bore: next(
            h.value_mm for h in fits(engine, engine.layout.site(bore)) if h.name == "rod_oil_clearance"
        )
        for bore in (3, 4)
    }


def test_oil_clearance_is_the_sum_of_what_was_measured(tmp_path):
    """2.1763 - 2 * 0.0621 - 2.0498 = 0.0023 in in bore 3; 0.0020 in as designed in bore 4."""
    found = oil_mm(
        tmp_path, "bore 3: rod.housing 2.1763in", "bore 3: shell.wall 0.0621in", "bore 3: crankpin 2.0498in"
    )
    assert found[3] / IN == pytest.approx(0.0023)
    assert found[4] / IN == pytest.approx(0.0020)


def test_oil_clearance_as_read_goes_before_its_sum(tmp_path):
    found = oil_mm(tmp_path, "bore 3: rod.housing 2.1763in", "bore 3: bearing.clearance 1.5thou")
    assert found[3] / IN == pytest.approx(0.0015)


def test_a_measured_skirt_in_a_measured_bore_leaves_their_difference(tmp_path):
    lines = (
        "bore 3: piston.skirt 4.0262in",
        "bore 3: diameter.top depth=0.5in along=4.0301in across=4.0301in",
    )
    engine = read(tmp_path, *lines).box.assembly_at({})
    (held,) = [h for h in fits(engine, engine.layout.site(3)) if h.name == "skirt_clearance"]
    assert held.value_mm / IN == pytest.approx(0.0039)


def test_the_measured_skirt_is_the_one_that_is_built(tmp_path):
    engine = read(tmp_path, "bore 3: piston.skirt 4.0200in").box.assembly_at({})
    one, other = (engine.body(f"piston {bore}").part for bore in (3, 4))
    radii = [
        max(float(r) for f in part.features if f.name == "piston_skirt" for p in f.pieces for r in reach(p))
        for part in (one, other)
    ]
    assert 2 * (radii[1] - radii[0]) / IN == pytest.approx(4.0270 - 4.0200, abs=2e-4)


def reach(piece):
    """Farthest a piece reaches from the bore's axis."""
    from geometry.collision.support import circles_of

    circles = circles_of(piece)
    centre = circles.centre_mm @ piece.X_AP[:3, :3].T + piece.X_AP[:3, 3]
    return (centre[:, 0] ** 2 + centre[:, 1] ** 2) ** 0.5 + circles.radius_mm


def test_assembling_costs_nothing_where_nothing_was_measured():
    spec = load_described(DEMOS / "tern.toml").spec
    engine = assemble(spec)
    assert engine.built.design(spec, 3) is spec
