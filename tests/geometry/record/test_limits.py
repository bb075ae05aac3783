"""What readings are held against, row by row of the published figures, and on whose word."""

import tomllib

import pytest

from geometry.assembly import assemble
from geometry.checks.fillets import CHECK as SIDES
from geometry.checks.fits import CHECK as FITS
from geometry.record.catalogue import KIND_AT, KINDS, LIMITS, lay_out
from geometry.record.form import FORM, RECORD_LIMITS
from geometry.record.kind import ReadingAt
from geometry.record.limits import LengthLimit, TorqueLimit
from geometry.record.model import Record
from geometry.record.place import BenchPlace
from geometry.spec.base import FROM_FILE
from geometry.spec.engine import Engine
from geometry.spec.load import load_engine
from tests.geometry.record.bench_fixtures import DEMOS, tern

THOU = 0.0254
BORE_3 = BenchPlace("bore", 3)


def limit(name, engine=None, limits=None, place=BORE_3):
    record = FORM(limits=RECORD_LIMITS(**limits)) if limits else Record()
    kind = next(kind for kind in KINDS if kind.limit and kind.limit.name == name)
    return ReadingAt(kind, lay_out(engine or tern(), record, "in"), place).limit


def test_every_name_under_limits_has_a_rule_and_the_other_way_round():
    assert set(LIMITS) == set(RECORD_LIMITS.model_fields)


def test_oil_clearance_grows_with_the_journal():
    # A bearing maker's note and the trade press: 2.375 in wants 0.0024 in, 2.5 in 0.0025 in, tight 0.002, loose 0.003.
    wide = load_engine(DEMOS / "tern.toml", {"crank.main.diameter": "2.5 in"})
    found = limit("main_bearing", wide, place=BenchPlace("main", 1))
    assert found.most == pytest.approx(0.0030 * 25.4)
    assert found.least <= 0.0020 * 25.4
    assert limit("bearing").least < 0.00205 * 25.4 < limit("bearing").most


def test_two_rods_on_a_pin_have_more_side_play_than_one():
    # Service data: pair 0.11 to 0.51 mm (V8, 2006); single 0.10 to 0.30 mm (four-cylinder, 2008).
    pair, single = limit("rod_side"), limit("rod_side", load_engine(DEMOS / "dunlin.toml"))
    assert (pair.least, pair.most) == (0.11, 0.51)
    assert (single.least, single.most) == (0.10, 0.30)


@pytest.mark.parametrize("name", ["tern", "dunlin", "plover", "curlew", "whimbrel", "knot"])
def test_check_and_record_hold_a_fit_to_the_same_figure(name):
    engine = load_engine(DEMOS / f"{name}.toml")
    base = assemble(engine)
    bore = BenchPlace("bore", base.layout.bores[0].bore)
    side = next(row for row in SIDES.run(base, "mm").rows if row["bore"] == bore.number)
    assert limit("rod_side", engine, place=bore).least == side["limit_mm"].value
    assert limit("rod_side", engine, place=bore).source.text == side["limit_source"]
    for entry, fit in (("bearing", "rod_oil_clearance"), ("piston_to_wall", "skirt_clearance")):
        row = next(r for r in FITS.run(base, "mm").rows if (r["bore"], r["fit"]) == (bore.number, fit))
        held = limit(entry, engine, place=bore)
        assert (held.least, held.most) == (row["least_mm"].value, row["most_mm"].value)
        assert held.source.text == row["limit_source"]


def test_rods_on_split_pins_stand_alone():
    # Curlew's pins are split: each rod has a journal of its own, so the figures for a single rod hold.
    engine = load_engine(DEMOS / "curlew.toml")
    found = limit("rod_side", engine)
    assert (found.least, found.most) == (0.10, 0.30)
    bench = lay_out(engine, Record(), "mm")
    side = KIND_AT["bore", "rod.side"]
    assert all(ReadingAt(side, bench, BenchPlace("bore", number)).is_wanted for number in range(1, 7))


def test_end_play_is_that_of_published_service_data():
    found = limit("end_play", place=BenchPlace("crank"))
    assert (found.least, found.most) == (0.07, 0.23)  # 0.07 to 0.23 mm, limit 0.30 (four-cylinder, 2008)


def test_ring_side_clearance_of_a_v8():
    found = limit("ring_side")  # 0.0016 to 0.0037 in (service data of a V8, 1999)
    assert (found.least, found.most) == pytest.approx((0.0016 * 25.4, 0.0037 * 25.4))


def test_stretch_of_a_rod_bolt():
    found = limit(
        "bolt_stretch", load_engine(DEMOS / "knot.toml")
    )  # 0.005 to 0.006 in (trade magazine, 2015)
    assert (found.least, found.most) == pytest.approx((0.005 * 25.4, 0.006 * 25.4))
    # Tern's bolts are short: their maker wants 3.4 thou, which goes first.
    found = limit("bolt_stretch")
    assert (found.least, found.most) == pytest.approx((0.0029 * 25.4, 0.0039 * 25.4))


def test_a_used_rod_bolt_is_as_long_as_its_maker_allows():
    found = limit("bolt_length")  # Tern's file: 1.981 in
    assert (found.least, found.most) == (None, pytest.approx(1.981 * 25.4))
    # Without the maker's word a thousandth over new; without its length when new nobody can say.
    found = limit("bolt_length", load_engine(DEMOS / "knot.toml", {"rod.bolt.free_length": "1.5 in"}))
    assert found.most == pytest.approx(1.501 * 25.4)
    assert limit("bolt_length", load_engine(DEMOS / "knot.toml")) is None


def test_torque_and_stretch_say_nothing_of_a_rod_bolt_beyond_its_yield():
    data = tomllib.loads((DEMOS / "knot.toml").read_text(encoding="utf-8"))
    del data["rod"]["bolt"]["torque"]
    data["rod"]["bolt"] |= {"yield_tightened": True, "stages": [{"torque": "10 N*m"}, {"angle": "90 deg"}]}
    engine = Engine.model_validate(data, context=FROM_FILE)
    assert limit("bolt_torque", engine) is None
    assert limit("bolt_stretch", engine) is None
    # Nor its own thousandth: one that was used is longer, and only its maker says how long it may be.
    data["rod"]["bolt"]["free_length"] = "1.5 in"
    assert limit("bolt_length", Engine.model_validate(data, context=FROM_FILE)) is None


def test_torque_of_a_main_cap_bolt_is_the_engine_files():
    found = limit("main_bolt_torque")  # 60 lbf ft, and a wrench that may be 4 percent out
    assert (found.least, found.most) == pytest.approx((57.6 * 1.3558179483, 62.4 * 1.3558179483))


def test_the_deck_leaves_the_head_its_distance():
    # Trade articles: 0.035 in at least between piston and head with steel rods; 0.041 gasket at zero deck is in order.
    engine = load_engine(DEMOS / "tern.toml", {"gasket.thickness": "0.041 in"})
    found = limit("deck", engine)
    assert found.least == pytest.approx((0.035 - 0.041) * 25.4)
    assert found.least < 0.0 < found.most
    assert found.most < 0.020 * 25.4  # 0.020 + 0.041 = 0.061 in is too loose


def test_aluminium_rods_need_more():
    engine = load_engine(DEMOS / "tern.toml", {"rod.material": "aluminium"})
    assert limit("deck", engine).least == pytest.approx(0.050 * 25.4 - engine.gasket.thickness_mm)


def test_the_wall_by_the_kind_of_piston():
    # Mailing list, weak: hypereutectic 0.0010 in at least, low-expansion forged 0.0025 in.
    assert limit("piston_to_wall").least == pytest.approx(0.0010 * 25.4)
    forged = load_engine(DEMOS / "tern.toml", {"piston.material": "forged_aluminium"})
    assert limit("piston_to_wall", forged).least == pytest.approx(0.0025 * 25.4)
    iron = load_engine(DEMOS / "tern.toml", {"piston.material": "cast_iron"})
    assert limit("piston_to_wall", iron) is None


def test_a_figure_in_the_record_goes_first():
    own = {"top_gap": LengthLimit(least_mm=0.40, most_mm=0.55, source="sheet in the box of rings")}
    found = limit("top_gap", limits=own)
    assert (found.least, found.most, str(found.source)) == (0.40, 0.55, "sheet in the box of rings")
    assert found.source.certainty == "stated"
    tight = {"bolt_torque": TorqueLimit(least_nm=70.0, source="the bolt maker's sheet")}
    assert limit("bolt_torque", limits=tight).least == 70.0
    turning = {"turning": TorqueLimit(most_nm=40.0, source="the shed's own")}
    assert limit("turning", limits=turning).most == 40.0


def test_the_engine_file_goes_before_the_trade():
    engine = load_engine(DEMOS / "tern.toml", {"limits.rod_side": "0.3 mm"})
    assert limit("rod_side", engine).least == pytest.approx(0.3)


def test_where_nobody_gives_a_figure_there_is_none():
    assert limit("turning") is None
    assert limit("main_bolt_torque", load_engine(DEMOS / "turnstone.toml")) is None


# a weight is held against those of other bores: tests/geometry/record/test_weights.py
@pytest.mark.parametrize("name", [n for n, kind in LIMITS.items() if kind.trade and kind.dimension != "mass"])
def test_every_limit_says_where_it_comes_from(name):
    found = limit(name)
    assert found.source.text
    assert found.source.certainty
    assert found.least is None or found.most is None or found.least <= found.most
