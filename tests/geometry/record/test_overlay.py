"""The record laid over the design: everything that was found reaches the engine that is checked."""

import pytest

from geometry.assembly import assemble
from geometry.checks import clearances, fillets
from geometry.clearance.full_turn import full_turn
from geometry.record.load import load_record
from geometry.record.overlay import overlay
from tests.geometry.record.bench_fixtures import DEMOS, backwards, tern, typed

THOU = 0.0254


def bore(record, number=3, engine=None):
    return overlay(engine or tern(), record).bore(number)


def test_an_empty_record_is_the_design(tmp_path):
    assert overlay(tern(), load_record(tmp_path / "none.record.toml", tern())).bores == {}


@pytest.mark.parametrize(
    "line, field, value",
    [
        ("rod.way turned", "rod_turned", True),
        ("piston.way turned", "piston_turned", True),
        ("cap.way turned", "cap_turned", True),
        ("rod.number 5", "rod_from", 5),
        ("cap.number 4", "cap_from", 4),
        ("piston.number 1", "piston_from", 1),
        ("ring.top.groove second", "rings_exchanged", True),
        ("shell.upper.tang out", "shell_proud_mm", 1.0),
    ],
)
def test_what_is_seen_reaches_the_build(tmp_path, line, field, value):
    assert getattr(bore(typed(tmp_path, f"bore 3: {line}")), field) == value


def test_its_own_number_is_no_stranger(tmp_path):
    assert bore(typed(tmp_path, "bore 3: rod.number 3")).rod_from is None


def test_rings_reach_the_build(tmp_path):
    build = bore(
        typed(
            tmp_path, "bore 3: ring.top.gap go=18thou tight=20thou", "bore 3: ring.top.way down",
            "bore 3: ring.second.fitted missing", "bore 3: ring.expander.ends overlapped",
            "bore 3: ring.upper_rail.angle 350deg",
        )
    )  # fmt: skip
    assert build.ring("top").gap_mm == pytest.approx(19 * THOU)
    assert build.ring("top").upside_down
    assert build.ring("second").missing
    assert build.ring("expander").overlapped
    assert build.ring("upper_rail").gap_ring_deg == pytest.approx(350.0)


def test_an_angle_from_the_thrust_side_is_counted_from_there(tmp_path):
    # By the convention: the major thrust side stands at ring angle 90 in normal rotation, at 270 in the other.
    line = "bore 3: ring.top.angle value=30deg datum=thrust"
    assert bore(typed(tmp_path, line)).ring("top").gap_ring_deg == pytest.approx(120.0)
    other = tmp_path / "other"
    other.mkdir()
    turned = bore(typed(other, line, engine=backwards()), engine=backwards())
    assert turned.ring("top").gap_ring_deg == pytest.approx(300.0)


def test_the_bolt_on_the_major_side_is_the_one_at_plus_y_in_normal_rotation(tmp_path):
    line = "bore 3: bolt.major.stand 1.2mm"
    assert bore(typed(tmp_path, line)).bolt_out_mm == pytest.approx((0.0, 1.2))
    other = tmp_path / "other"
    other.mkdir()
    assert bore(typed(other, line, engine=backwards()), engine=backwards()).bolt_out_mm == pytest.approx(
        (1.2, 0.0)
    )


def test_a_deck_reading_is_a_change_of_the_crown(tmp_path):
    # Closed form: designed deck clearance is deck height less the line-up of throw and rod less compression height.
    spec = tern()
    reach = spec.rod.length_mm + spec.crank.stroke_mm / 2
    designed = (
        spec.block.deck_height_mm
        - (reach**2 - spec.piston.pin.offset_mm**2) ** 0.5
        - spec.piston.compression_height_mm
    )
    build = bore(typed(tmp_path, "bore 3: deck 0.10mm"))
    assert build.compression_height_change_mm == pytest.approx(designed - 0.10)


def test_a_long_rod_moves_the_crown_up(tmp_path):
    build = bore(typed(tmp_path, f"bore 3: rod.length {tern().rod.length_mm + 0.4:.4f}mm"))
    assert build.rod_length_change_mm == pytest.approx(0.4, abs=1e-6)


def test_the_record_that_binds_is_found_out_by_the_checks():
    spec = tern()
    record = load_record(DEMOS / "tern_binding.record.toml", spec)
    assembly = assemble(spec, overlay(spec, record))
    sides = fillets.run(assembly, "in").findings
    assert [(f.id, f.bore) for f in sides] == [("fillet_ride", 3)]
    close = clearances.untried(assembly, full_turn(assembly), "in").findings
    assert {f.bore for f in close} == {6}
    assert all("rod bolt" in f.text and "meets" in f.text for f in close)


def test_a_bolt_that_counts_as_seated_stands_off_by_nothing(tmp_path):
    lines = ("bore 3: bolt.major.stand 0.00mm", "bore 3: bolt.minor.stand go=0thou tight=1.5thou")
    assert bore(typed(tmp_path, *lines)).bolt_out_mm == (0.0, 0.0)


@pytest.mark.parametrize(
    "line, loose",
    [
        ("bolt.major.torque 45lbf*ft", False),  # the maker's figure in the engine file
        (
            "bolt.major.torque 43lbf*ft",
            False,
        ),  # 4 percent under is 43.2: within what the wrench can tell apart
        ("bolt.minor.torque 30lbf*ft", True),
        ("bolt.minor.stretch 3.5thou", False),  # the maker's 3.4 thou in the engine file
        ("bolt.minor.stretch 2thou", True),
    ],
)
def test_a_bolt_surely_under_its_figure_is_loose(tmp_path, line, loose):
    assert bore(typed(tmp_path, f"bore 3: {line}")).bolts_loose is loose


def test_a_deck_reading_holds_what_the_rod_already_explains(tmp_path):
    alone = overlay(tern(), typed(tmp_path, "bore 3: deck 10thou")).bore(3)
    both = overlay(tern(), typed(tmp_path, "bore 3: deck 10thou rod.length 5.860in")).bore(3)
    # Tern's rod is 5.850 in: ten thou of the crown's height are the rod's, and no longer the piston's.
    assert both.rod_length_change_mm == pytest.approx(0.254)
    assert both.compression_height_change_mm == pytest.approx(alone.compression_height_change_mm - 0.254)
