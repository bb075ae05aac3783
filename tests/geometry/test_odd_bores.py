"""One bore with sizes and parts of its own: what changes in it by hand-worked sums, and nothing in the others."""

from math import pi, sqrt

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED
from geometry.checks import bores, fasteners, fits, rings, summary
from geometry.checks.inertia import cap_load
from geometry.checks.volumes import volumes_of
from geometry.doubts.box import box_of
from geometry.errors import InputError
from geometry.kinematics.layout import build_layout
from geometry.mistakes.rods.rods_exchanged import MISTAKE
from geometry.record.load import record_of
from geometry.record.overlay import overlay
from geometry.spec.described import load_described
from geometry.spec.engine import Engine
from geometry.spec.load import load_engine
from geometry.stack import stack_of
from tests.geometry.fleet import FOLDER, assembly, raw, spec

INCH = 25.4


def tern(tables):
    """Tern with odd bores, put together."""
    return assemble(Engine.model_validate({**raw("tern"), "bore": tables}))


def by_bore(section, key, **where):
    found = {row["bore"]: row[key] for row in section.rows if all(row[k] == v for k, v in where.items())}
    return {bore: getattr(cell, "value", cell) for bore, cell in found.items()}


def changed(key, check, engine, **where):
    """By how much a number of each bore differs from Tern without odd parts; only where it does."""
    before = by_bore(check.run(assembly("tern"), "in"), key, **where)
    after = by_bore(check.run(engine, "in"), key, **where)
    return {bore: after[bore] - before[bore] for bore in before if abs(after[bore] - before[bore]) > 1e-12}


def top_mm(rod_mm):
    """Height of Tern's piston pin at true top dead centre: throw and rod in one line, 0.040 in beside the axis."""
    return sqrt((3.350 / 2 * INCH + rod_mm) ** 2 - (0.040 * INCH) ** 2)


def test_a_longer_rod_lifts_its_own_piston_and_no_other():
    engine = tern({"3": {"rod": {"length": f"{5.850 * INCH + 0.5!r} mm"}}})
    up = top_mm(5.850 * INCH + 0.5) - top_mm(5.850 * INCH)
    assert up == pytest.approx(0.5, abs=2e-5)  # the offset makes the rod lean a little
    for key in ("deck_clearance_mm", "piston_to_head_mm"):
        assert changed(key, bores.CHECK, engine) == {3: pytest.approx(-up, abs=1e-9)}
    assert changed("wall_above_mm", rings.CHECK, engine, name="top") == {3: pytest.approx(-up, abs=1e-9)}
    # what stands in the engine, and how it moves: the small end of the rod stays on the piston's pin
    poses = engine.frame_poses(np.array([0.0, 77.0, 200.0]))
    small_end = poses["R3"] @ [0.0, 0.0, 5.850 * INCH + 0.5, 1.0]
    pin = poses["P3"] @ [0.0, engine.layout.site(3).offset_mm, 0.0, 1.0]
    assert np.allclose(small_end, pin, atol=1e-9)
    top = max(
        feature.pieces[0].X_AP[2, 3]
        for feature in engine.body("rod 3").part.features
        if feature.name == "rod_small_end"
    )
    assert top == pytest.approx(5.850 * INCH + 0.5)
    assert engine.body("rod 4").part is engine.body("rod 5").part is not engine.body("rod 3").part


def test_crank_zero_stays_the_top_of_the_lowest_bore():
    engine = tern({"1": {"rod": {"length": "5.95 in"}, "piston": {"compression_height": "1.35 in"}}})
    assert by_bore(bores.CHECK.run(engine, "in"), "top_dead_centre_deg")[1] == pytest.approx(0.0, abs=1e-9)


def test_a_higher_piston_comes_nearer_to_deck_and_head():
    engine = tern({"2": {"piston": {"compression_height": "1.453 in"}}})
    assert changed("deck_clearance_mm", bores.CHECK, engine) == {2: pytest.approx(-0.003 * INCH)}
    heights = {n: engine.body(f"piston {n}").part.features[0].pieces[0] for n in (2, 4)}
    tops = {n: piece.X_AP[2, 3] + piece.length_mm / 2 for n, piece in heights.items()}
    assert tops[2] == pytest.approx(1.453 * INCH)
    assert tops[4] == pytest.approx(1.450 * INCH)


def test_an_oversize_bore_opens_what_stands_in_it():
    """The piston and rings of the others in it; gap by pi times the difference, target by 0.0035 of the bore."""
    engine = tern({"3": {"diameter": "4.036 in"}})
    more = 0.006 * INCH
    assert changed("value_mm", fits.CHECK, engine, fit="skirt_clearance") == {3: pytest.approx(more)}
    assert changed("value_mm", fits.CHECK, engine, fit="pin_to_wall") == {3: pytest.approx(more / 2)}
    assert changed("value_mm", fits.CHECK, engine, fit="rod_oil_clearance") == {}
    for name in ("top", "second", "upper_rail", "lower_rail"):
        assert changed("gap_mm", rings.CHECK, engine, name=name) == {3: pytest.approx(pi * more)}
    assert changed("gap_min_mm", rings.CHECK, engine, name="top") == {3: pytest.approx(0.0035 * more)}
    assert changed("back_mm", rings.CHECK, engine, name="top") == {3: pytest.approx(more / 2)}
    hot = changed("hot_gap_mm", rings.CHECK, engine, name="top")
    assert hot == {3: pytest.approx(pi * more, rel=0.02)}  # less the growth of that much more wall


def test_the_block_is_bored_where_it_is_odd():
    engine = tern({"3": {"diameter": "4.036 in"}})
    inner = {}
    for feature in engine.body("block").part.features:
        if feature.name == "bore_wall" and feature.bore is not None:
            inner[feature.bore] = float(np.min(feature.pieces[0].profile_mm[:, 0]))
    assert inner[3] == pytest.approx(4.036 / 2 * INCH)
    assert inner[1] == inner[8] == pytest.approx(4.030 / 2 * INCH)


def test_an_oversize_piston_brings_its_own_clearance_lands_and_grooves():
    engine = tern(
        {
            "3": {
                "diameter": "4.060 in",
                "piston": {"skirt": {"clearance": "0.0032 in"}},
                "rings": {"top": {"gap": "19 thou"}},
            }
        }
    )
    assert changed("value_mm", fits.CHECK, engine, fit="skirt_clearance") == {3: pytest.approx(0.0002 * INCH)}
    assert changed("gap_mm", rings.CHECK, engine, name="top") == {3: pytest.approx(0.001 * INCH)}
    # 0.0298 in larger all round: root 3.640 + 0.0298 in, ring wall 0.170 in; half the difference of bore is left behind
    behind = (4.060 - 3.6698) / 2 - 0.170
    assert by_bore(rings.CHECK.run(engine, "in"), "back_mm", name="top")[3] == pytest.approx(behind * INCH)
    one = engine.spec.of_bore(3)
    land = one.block.bore.diameter_mm - one.piston.land_clearance_mm
    assert land == pytest.approx((4.030 - 0.032 + 0.0298) * INCH)
    assert engine.spec.of_bore(4) is engine.spec


def test_shells_and_housing_of_one_rod():
    engine = tern({"6": {"rod": {"bearing": {"wall": "0.0615 in"}, "big_end": {"bore": "2.1762 in"}}}})
    wider = (0.0002 + 2 * 0.0005) * INCH
    assert changed("value_mm", fits.CHECK, engine, fit="rod_oil_clearance") == {6: pytest.approx(wider)}
    shell = engine.body("upper_shell 6").part.features[0].pieces[0].profile_mm
    assert float(shell[:, 0].min()) == pytest.approx((2.1762 / 2 - 0.0615) * INCH)
    assert engine.body("upper_shell 5").part is engine.body("upper_shell 7").part


def test_a_heavier_piston_pulls_harder_at_its_own_cap():
    light = tern({"4": {"piston": {"mass": "500 g"}, "rod": {"mass_small": "150 g"}}})
    heavy = tern({"4": {"piston": {"mass": "560 g"}, "rod": {"mass_small": "180 g"}}})
    site = light.layout.site(4)
    loads = [cap_load(engine, site) for engine in (light, heavy)]
    assert loads[1].reciprocating_kg - loads[0].reciprocating_kg == pytest.approx(0.060 + 0.030)
    opens = by_bore(fasteners.CHECK.run(heavy, "in"), "opens_at_rpm")
    assert opens[4] != opens[3] == opens[5]


def test_compression_ratio_bore_by_bore_and_as_a_mean():
    engine = tern({"5": {"piston": {"crown": {"volume": "3.9 cc"}}}, "2": {"diameter": "4.050 in"}})
    ratios = {}
    for bore in (1, 2, 5):
        across = (4.050 if bore == 2 else 4.030) * INCH
        area = pi / 4 * across**2 / 1000.0
        high, low = top_mm(5.850 * INCH), sqrt(((5.850 - 1.675) * INCH) ** 2 - (0.040 * INCH) ** 2)
        deck = (8.985 - 1.450) * INCH - high
        left = (
            62.0
            + pi / 4 * (4.1 * INCH) ** 2 / 1000.0 * 0.040 * INCH
            + area * deck
            + (3.9 if bore == 5 else 7.9)
        )
        ratios[bore] = (area * (high - low) + left) / left
        assert volumes_of(engine, bore).ratio == pytest.approx(ratios[bore], rel=1e-9)
    row, notes = summary.CHECK.run(engine, "in").rows[0], summary.CHECK.run(engine, "in").notes
    assert row["compression_ratio"] == pytest.approx((6 * ratios[1] + ratios[2] + ratios[5]) / 8, abs=5e-4)
    assert any("the mean of all bores" in note and "(bore 5)" in note for note in notes)
    assert by_bore(bores.CHECK.run(engine, "in"), "compression_ratio")[5] == pytest.approx(
        ratios[5], abs=5e-4
    )


def test_a_reading_of_the_record_goes_before_the_file():
    engine = Engine.model_validate(
        {**raw("tern"), "bore": {"3": {"rod": {"length": "5.870 in"}, "diameter": "4.036 in"}}}
    )
    at = 'depth = "2 in", along = "4.0310 in", across = "4.0310 in"'
    text = f'[bore.3]\nrod.length = {{ value = "5.8500 in" }}\ndiameter.top = {{ {at} }}\n'
    built = assemble(engine, overlay(engine, record_of(text, "r.toml", engine)))
    assert changed("deck_clearance_mm", bores.CHECK, built) == {}
    clearance = changed("value_mm", fits.CHECK, built, fit="skirt_clearance")
    assert clearance == {3: pytest.approx(0.001 * INCH, abs=1e-9)}
    deck = '[bore.3]\ndeck = { value = "4.0 thou" }\n'
    built = assemble(engine, overlay(engine, record_of(deck, "r.toml", engine)))
    assert by_bore(bores.CHECK.run(built, "in"), "deck_clearance_mm")[3] == pytest.approx(0.004 * INCH)


def test_rods_exchanged_take_their_length_with_them():
    right = tern({"3": {"rod": {"length": "5.853 in"}}})
    wrong = assemble(right.spec, MISTAKE.make(right, 3))
    other = wrong.built.bore(3).rod_from
    decks = {n: [stack_of(e.spec, e.layout, n, e.built).deck_mm for e in (right, wrong)] for n in (3, other)}
    assert decks[3] == pytest.approx(decks[other][::-1])
    assert wrong.body(f"rod {other}").part is not wrong.body("rod 3").part


def test_pistons_exchanged_take_their_size_with_them():
    odd = tern({"3": {"piston": {"skirt": {"clearance": "0.0040 in"}}, "diameter": "4.031 in"}})
    swapped = AS_DESIGNED.with_bore(3, piston_from=4).with_bore(4, piston_from=3)
    found = by_bore(fits.CHECK.run(assemble(odd.spec, swapped), "in"), "value_mm", fit="skirt_clearance")
    assert found[3] == pytest.approx(0.0040 * INCH)  # 4.031 less 4.027
    assert found[4] == pytest.approx(0.0030 * INCH)  # 4.030 less 4.027
    swapped = AS_DESIGNED.with_bore(5, piston_from=3)
    found = by_bore(fits.CHECK.run(assemble(odd.spec, swapped), "in"), "value_mm", fit="skirt_clearance")
    assert found[5] == pytest.approx(0.0030 * INCH)


def written(tmp_path, more):
    path = tmp_path / "odd.toml"
    text = (FOLDER / "tern.toml").read_text(encoding="utf-8")
    path.write_text(f"{text}\n{more}\n", encoding="utf-8")
    return path, text.count("\n") + 2


def test_an_odd_part_is_read_at_its_place_and_may_be_set(tmp_path):
    path, _ = written(tmp_path, '[bore.3.rod]\nlength = "5.852 in +- 1 thou"')
    described = load_described(path)
    value = next(v for v in described.values if v.key == "bore.3.rod.length")
    assert (value.nominal, value.lowest) == (pytest.approx(5.852 * INCH), pytest.approx(5.851 * INCH))
    box, decks = box_of(described), {}
    for length in (value.lowest, value.highest):
        spec_there = box.spec_at({value.key: length})
        decks[length] = [stack_of(spec_there, build_layout(spec_there), bore).deck_mm for bore in (3, 4)]
    low, high = decks[value.highest], decks[value.lowest]
    assert high[0] - low[0] == pytest.approx(0.002 * INCH, rel=1e-4)
    assert high[1] == low[1]
    set_to = load_engine(path, {"bore.3.rod.length": "5.860 in", "bore.5.diameter": "4.032 in"})
    assert set_to.of_bore(3).rod.length_mm == pytest.approx(5.860 * INCH)
    assert set_to.of_bore(5).block.bore.diameter_mm == pytest.approx(4.032 * INCH)


@pytest.mark.parametrize(
    ("more", "line", "key", "what"),
    [
        ('[bore.9]\ndiameter = "4.04 in"', 0, "bore.9", "this engine has no bore 9"),
        ('[bore.three]\ndiameter = "4.04 in"', 0, "bore.three", "this engine has no bore three"),
        ('[bore.3.rod]\nwidth = "1 in"', 1, "bore.3.rod.width", "is not a known key"),
        ('[bore.3.rod]\nlength = "1.2 in"', 1, "bore.3.rod.length", "in bore 3: the rod is shorter"),
        ('[bore.3.rod]\nlength = 5.85', 1, "bore.3.rod.length", "has no unit"),
        ('[bore.3]\ndiameter = "4.020 in"', 1, "bore.3.diameter", "the piston is larger than bore 3"),
        ('[bore.3]\ndiameter = "4.6 in"', 0, "bore.3", "in bore 3: the chamfer cuts through the wall"),
        ('[bore.3.rod.big_end]\nbore = "2.9 in"', 1, "bore.3", "the big end's outside is not larger"),
        ('[bore.3.piston]\ncompression_height = "0.5 in"', 1, "bore.3", "in bore 3: the crown reaches down to the pin"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_at_its_line(tmp_path, more, line, key, what):
    path, first = written(tmp_path, more)
    with pytest.raises(InputError) as refused:
        load_engine(path)
    found = [p for p in refused.value.problems if p.key.startswith(key) and what in p.what]
    assert found, [str(p) for p in refused.value.problems]
    assert found[0].line in (first + line, first)
    assert found[0].right


def test_a_ring_that_is_not_there_has_no_gap():
    dunlin = {**raw("tern"), "rings": {k: v for k, v in raw("tern")["rings"].items() if k != "second"}}
    with pytest.raises(ValueError, match="no such ring"):
        Engine.model_validate({**dunlin, "bore": {"1": {"rings": {"second": {"gap": "20 thou"}}}}})


def test_an_engine_without_odd_bores_is_its_own_bore():
    assert spec("tern").of_bore(3) is spec("tern")
    assert spec("tern").of_bore(3, piston_from=4, rod_from=5) is spec("tern")
