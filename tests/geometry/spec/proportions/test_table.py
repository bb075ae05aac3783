"""The table of proportions: nothing missing, and every fit that it gives within what the trade asks for."""

import math
from typing import get_args

import pytest

from geometry.rings.gap import gap_target
from geometry.rings.groove import SIDE_LIMITS
from geometry.spec.base import quantity_of
from geometry.spec.engine import Duty, Engine
from geometry.spec.known import fields_of, models_in
from geometry.spec.proportions.fill import given_of
from geometry.spec.proportions.given import DERIVED, Usual
from geometry.spec.proportions.row import DimensionKind, Instrument, Proportion
from geometry.spec.proportions.table import ROWS, usual
from geometry.trade import oil_clearance, piston_to_wall, rod_side
from tests.geometry import fleet
from tests.geometry.spec.proportions.engines import LAYOUTS, few, filled


def quantity_keys(model=Engine, path=""):
    """Every key of the engine file that holds a quantity: whether it is required, and how it is written."""
    for key, field in fields_of([model]).items():
        here = f"{path}.{key}" if path else key
        inner = () if here == "bore" else models_in(field.annotation)  # [bore.3] has keys of its own
        if quantity_of(field.annotation, field.metadata) is not None:
            yield here, field.is_required()
        for one in inner:
            yield from quantity_keys(one, f"{here}[]" if "list" in str(field.annotation) else here)


KEYS = dict(quantity_keys())


def test_every_quantity_of_the_engine_file_has_a_row():
    assert len(KEYS) > 150
    assert [key for key in KEYS if usual(key) is None] == []


def test_no_row_stands_twice_or_for_nothing():
    plain = [row.key.replace("[]", "") for row in ROWS]
    assert len(set(plain)) == len(plain)
    assert [key for key in plain if key not in {known.replace("[]", "") for known in KEYS}] == []


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.key)
def test_each_row_says_how_it_comes_to_be_and_how_it_is_measured(row):
    assert row.kind in get_args(DimensionKind)
    assert row.instrument in get_args(Instrument)
    assert len(row.how) > 5
    assert not row.how.endswith(".")
    assert row.rule is None or row.told


def test_what_is_required_has_a_rule_and_its_words():
    chosen = ("crank.throws", "rings.clock.top", "rings.heat.ring", "rings.heat.bore")
    for key, required in KEYS.items():
        row = usual(key.replace("[]", "[1]"))
        if required and key not in chosen and "section" not in key:
            assert row.rule is not None, key
            assert row.told, key


def test_an_array_is_asked_with_and_without_its_number():
    assert usual("piston.grooves[].root").rule is None
    assert usual("piston.grooves.root") is usual("piston.grooves[].root")
    second = usual("piston.grooves[2].root")
    assert second.key == "piston.grooves[2].root"
    assert second.how == usual("piston.grooves[].root").how
    assert usual("block.crankcase.section[2][1]").kind == "cast"
    assert usual("block.crankcase.bays.2[1][2]").kind == "cast"
    assert usual("crank.colour") is None


def test_what_one_bore_has_of_its_own_is_measured_as_what_all_have():
    assert usual("bore.3.rod.length") is usual("rod.length")
    assert usual("bore.3.diameter") is usual("block.bore.diameter")
    assert usual("bore.3.rings.top.gap").instrument == "feeler"


def test_rules_that_ask_for_each_other_are_told(monkeypatch):
    monkeypatch.setitem(DERIVED, "hen", lambda v: v["egg"])
    monkeypatch.setitem(DERIVED, "egg", lambda v: v["hen"])
    with pytest.raises(RuntimeError, match="hen - egg - hen"):
        Usual({}, usual)["hen"]


def test_what_was_worked_out_does_not_count_as_given():
    values = Usual({"block.bore.diameter": 100.0}, usual)
    assert values["piston.pin.length"] == pytest.approx(68.9)
    assert "piston.pin.length" not in values


def test_what_follows_follows_from_the_value_as_it_is_rounded():
    values = Usual({"block.bore.diameter": 100.0}, usual, lambda row, value: round(value))
    assert values["crank.pin.diameter"] == 58
    assert values["crank.main.diameter"] == round(1.154 * 58)


# ---- from the known few, worked by hand ----


def test_the_deck_is_half_the_stroke_the_rod_and_the_compression_height_away():
    data = few("vee-eight", 100.0, 0.9, 1.6) | {"piston": {"compression_height": "40 mm"}}
    assert given_of(data)["block.deck_height"] == pytest.approx(45 + 144 + 40 + 0.4)


@pytest.mark.parametrize(
    ("key", "rest"),
    [
        ("rod.length", {"piston": {"compression_height": "40 mm"}}),
        ("piston.compression_height", {"rod": {"length": "150 mm"}}),
    ],
)  # fmt: skip
def test_from_the_deck_back_to_rod_and_piston(key, rest):
    data = few("vee-eight", 100.0, 0.9)
    data = {**data, "rod": {}, **rest}
    data["block"] = {"bore": {"diameter": "100 mm"}, "deck_height": "235.4 mm"}
    assert given_of(data)[key] == pytest.approx(235.4 - 45 - 0.4 - (40 if key == "rod.length" else 150))


def test_the_bore_goes_down_to_where_the_skirt_ends_at_bottom_dead_centre():
    """Rod 176.4 less half of stroke 84 is 134.4 mm to the pin; the skirt hangs 0.222 x 90 = 19.98 mm below it."""
    values = given_of(few("single", 90.0, 84 / 90, 2.1))
    assert values["block.deck_height"] - values["block.bore.length"] == pytest.approx(134.4 - 19.98)


def test_the_bore_ends_higher_where_the_cheeks_need_it():
    """With a rod of 1.45 strokes the skirt ends lower than cheeks of 42 mm throw and 33 mm radius let it."""
    values = given_of(few("single", 90.0, 84 / 90, 1.45))
    bottom = values["block.deck_height"] - values["block.bore.length"]
    assert (
        42 + values["crank.cheek.pin_radius"] + 1.016 < bottom < 42 + values["crank.cheek.pin_radius"] + 6.0
    )


def test_a_known_housing_gives_pin_and_shell():
    data = few("single") | {"rod": {"big_end": {"bore": "60 mm"}}}
    values = given_of(data)
    oil = values["rod.big_end.bore"] - 2 * values["rod.bearing.wall"] - values["crank.pin.diameter"]
    assert oil == pytest.approx(0.000875 * values["crank.pin.diameter"], rel=1e-6)
    assert values["crank.pin.diameter"] == pytest.approx(56.7, abs=0.2)


@pytest.mark.parametrize(("shape", "above_cc"), [("flat", 4.0), ("dish", 10.0), ("dome", -10.0)])
def test_the_chamber_leaves_the_usual_compression_over_any_crown(shape, above_cc):
    """Bore 90, stroke 90: 572.6 cc swept, 67.36 cc at 9.5; less gasket, deck of 0.4 mm, and what the crown holds."""
    crown = {"shape": shape, "volume": f"{abs(above_cc)} cc", "diameter": "60 mm"}
    data = few("single", 90.0, 1.0) | {"piston": {"crown": crown}}
    swept_cc = math.pi / 4 * 9.0**3
    left_cc = swept_cc / (9.5 - 1.0)
    gasket_cc, deck_cc = math.pi / 4 * (1.0167 * 9.0) ** 2 * 0.1, math.pi / 4 * 9.0**2 * 0.04
    assert given_of(data)["head.chamber"] == pytest.approx(left_cc - gasket_cc - deck_cc - above_cc, rel=1e-6)


def test_the_small_chamfer_lies_towards_a_neighbour_rod_only():
    """Alone on its pin, or with a web of a split pin beside it, a rod has a cheek on each side, and a fillet there."""
    for layout in LAYOUTS:
        values = given_of(few(layout))
        neighbour = layout == "vee-eight"
        assert values["rod.chamfer.other"] == (0.4 if neighbour else values["rod.chamfer.cheek"]), layout


def test_a_small_value_stays_as_small_as_its_rule_has_it():
    """A cast skirt, 0.00067 of the bore: 0.0603 mm in 90 mm, 0.0369 mm in 55 mm."""
    assert given_of(few("single", 90.0))["piston.skirt.clearance"] == pytest.approx(0.0603)
    assert given_of(few("vee-eight", 55.0))["piston.skirt.clearance"] == pytest.approx(0.03685)


def test_a_known_crankpin_gives_the_width_of_its_rods():
    pair = few("vee-eight")
    pair["crank"]["pin"] = {"width": "50.3 mm"}
    assert given_of(pair)["rod.big_end.width"] == pytest.approx(25.0)
    alone = few("inline-four")
    alone["crank"]["pin"] = {"width": "30.22 mm"}
    assert given_of(alone)["rod.big_end.width"] == pytest.approx(30.0)


# ---- against what the trade asks for ----


@pytest.mark.parametrize("bore_mm", [55.0, 90.0, 130.0])
@pytest.mark.parametrize("duty", get_args(Duty))
def test_gaps_and_side_clearances_keep_to_the_trade_for_every_duty(bore_mm, duty):
    spec = filled(few("inline-four", bore_mm, duty=duty))
    for ring in ("top", "second"):
        gap, target = getattr(spec.rings, ring).gap_mm, gap_target(bore_mm, duty, ring)
        assert target.min_mm < gap
        assert gap < (target.max_mm or 1.2 * target.min_mm)
    assert spec.rings.oil.rail_gap_mm > gap_target(bore_mm, duty, "oil_rail").min_mm
    limits = SIDE_LIMITS["diesel" if duty == "diesel" else "petrol"]
    sides = [
        g.height_mm - getattr(spec.rings, g.ring).height_mm for g in spec.piston.grooves if g.ring != "oil"
    ]
    assert all(limits.min_mm < side < limits.max_mm for side in sides)


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("bore_mm", [55.0, 130.0])
def test_running_fits_keep_to_the_trade(layout, bore_mm):
    spec = filled(few(layout, bore_mm))
    oil, asked = (
        spec.rod.big_end.bore_mm - 2 * spec.rod.bearing.wall_mm - spec.crank.pin.diameter_mm,
        oil_clearance(spec.crank.pin.diameter_mm),
    )
    assert asked.least_mm < oil < asked.most_mm
    side = rod_side(spec)
    rods = 2 if layout == "vee-eight" else 1
    assert side.least_mm < spec.crank.pin.width_mm - rods * spec.rod.big_end.width_mm < side.most_mm


@pytest.mark.parametrize("bore_mm", [55.0, 90.0, 130.0])
@pytest.mark.parametrize("material", ["cast_aluminium", "forged_aluminium"])
def test_the_skirt_has_what_its_metal_asks_for(bore_mm, material):
    spec = filled(few("single", bore_mm) | {"piston": {"material": material}})
    asked = piston_to_wall(material)
    assert asked.least_mm < spec.piston.skirt.clearance_mm < asked.most_mm


@pytest.mark.parametrize("bore_mm", [55.0, 90.0, 130.0])
def test_behind_every_ring_is_a_little_room_and_no_more(bore_mm):
    """By definition (bore - root) / 2 - wall; the starter that once let 5.5 mm through is what this is about."""
    spec = filled(few("vee-eight", bore_mm))
    land = bore_mm - spec.piston.land_clearance_mm
    for groove in spec.piston.grooves:
        ring = getattr(spec.rings, groove.ring)
        wall = ring.rail_wall_mm if groove.ring == "oil" else ring.wall_mm
        assert 0.0 < (land - groove.root_mm) / 2 - wall < 0.15


def test_demo_engines_lie_near_their_proportions():
    """Six engines that were laid out by hand before there were rules: what a share of the bore gives is not far off."""
    shares = (
        "crank.pin.diameter", "rod.big_end.outside", "piston.pin.diameter", "piston.pin.length", "rings.top.wall",
        "gasket.bore", "block.bore.spacing", "block.deck_height", "rod.cap.height",
    )  # fmt: skip
    for name in (name for name in fleet.CLEAR if name != "knot"):
        values = given_of(fleet.raw(name))
        for key in shares:
            if key in values:
                assert usual(key).rule(values) == pytest.approx(values[key], rel=0.2), (name, key)


def test_a_rule_never_asks_for_its_own_key():
    """So that a written value can be held against what its neighbours make of it."""
    values = given_of(fleet.raw("tern"))
    for row in ROWS:
        if row.rule is not None and row.key in values:
            asked = _Asked(values)
            row.rule(asked)
            assert row.key not in asked.keys_asked, row.key


class _Asked(Usual):
    """Values that note what they are asked for."""

    def __init__(self, values):
        super().__init__(values, usual)
        self.keys_asked = set()

    def __getitem__(self, key):
        self.keys_asked.add(key)
        return super().__getitem__(key)


def test_a_row_is_plain_data():
    assert isinstance(usual("rod.length"), Proportion)
