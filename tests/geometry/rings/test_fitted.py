"""Every ring of whole engines."""

import numpy as np
import pytest

from geometry.built import AS_DESIGNED, BoreBuild, Built, RingBuild, built_linkage
from geometry.errors import GeometryError, InputError
from geometry.kinematics.layout import build_layout
from geometry.kinematics.slider_crank import poses
from geometry.rings.fitted import bore_rings, gap_target_of, heat_of, side_limits_of
from tests.geometry.rings.engines import LAYOUTS, ROTATIONS, engine

INCH = 25.4


def fits(spec, **builds):
    built = Built(bores={1: BoreBuild(**builds)}) if builds else AS_DESIGNED
    return {bore.bore: bore for bore in bore_rings(spec, build_layout(spec), built)}


def ring(bore, name):
    return next(ring for ring in bore.rings if ring.name == name)


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("rotation", ROTATIONS)
def test_wall_travel_against_the_motion(layout, rotation):
    # Swept: piston poses at every tenth of a degree, measured along each bore's own axis.
    spec = engine(layout, rotation)
    laid = build_layout(spec)
    moved = poses(built_linkage(laid, AS_DESIGNED), np.linspace(0, 360, 3601))
    grooves = {groove.ring: groove for groove in spec.piston.grooves}
    bore_bottom = spec.block.deck_height_mm - spec.block.bore.length_mm + spec.block.bore.chamfer_mm
    found = fits(spec)
    for index, site in enumerate(laid.bores):
        bank = np.radians(site.bank_deg)
        axis = np.array([0.0, -np.sin(bank), np.cos(bank)])
        pins = moved.X_EP[:, index, :3, 3] @ axis
        crowns = pins + spec.piston.compression_height_mm
        for name, groove in (
            ("top", grooves["top"]),
            ("second", grooves["second"]),
            ("lower_rail", grooves["oil"]),
        ):
            travel = ring(found[site.bore], name).travel
            upper = crowns - groove.from_crown_mm
            # Near a dead centre a tenth of a degree moves the piston by less than 0.0002 mm.
            assert travel.top_margin_mm == pytest.approx(spec.block.deck_height_mm - upper.max(), abs=2e-4)
            lowest = (upper - groove.height_mm).min()
            assert travel.bottom_margin_mm == pytest.approx(lowest - bore_bottom, abs=2e-4)


def test_gap_of_the_demo_by_hand():
    # 18 thou in a 4.030 in bore for street use: within 14.1 to 20.15 thou.
    top = ring(fits(engine())[1], "top")
    assert top.gap_mm == pytest.approx(0.018 * INCH)
    assert top.verdict.state == "within"
    # Ductile iron 11.2e-6 (from memory) at 200 C in an iron bore 11.4e-6 at 120 C: pi 102.362 (11.2 * 180 - 11.4 *
    # 100) 1e-6 = 0.2817 mm used up.
    assert top.hot.hot_gap_mm == pytest.approx(0.4572 - 0.28170, abs=1e-5)
    # Groove 0.0616, ring 0.0600 in; root 3.640 in, wall 0.170 in: 0.195 - 0.170 = 0.025 in behind it.
    assert top.groove.side_mm == pytest.approx(0.0016 * INCH)
    assert top.groove.back_mm == pytest.approx(0.025 * INCH)
    assert top.side == "within"
    # 18 thou by half of 32 thou.
    assert top.area_mm2 == pytest.approx(0.018 * 0.016 * INCH**2)


def test_series_of_the_compression_gaps():
    bore = fits(engine())[1]
    top, second = ring(bore, "top").area_mm2, ring(bore, "second").area_mm2
    assert bore.series_area_mm2 == pytest.approx((top**-2 + second**-2) ** -0.5)


def test_a_worn_bore_opens_the_gap_and_a_measured_gap_wins():
    # pi times 0.010 in.
    worn = fits(engine(), bore_diameter_mm=4.040 * INCH)[1]
    assert ring(worn, "top").gap_mm == pytest.approx((0.018 + np.pi * 0.010) * INCH)
    assert ring(worn, "top").verdict.state == "above"
    assert worn.bore_mm == pytest.approx(4.040 * INCH)
    measured = fits(engine(), bore_diameter_mm=4.040 * INCH, rings={"top": RingBuild(gap_mm=0.5)})[1]
    assert ring(measured, "top").gap_mm == 0.5


def test_gaps_written_for_another_bore_are_carried_over():
    spec = engine(rings={"gap_bore": "4.035 in"})
    assert ring(fits(spec)[1], "top").gap_mm == pytest.approx((0.018 - np.pi * 0.005) * INCH)


def test_oversize_rings_have_stock_to_file():
    spec = engine(rings={"oversize": "0.005 in"})
    assert ring(fits(spec)[1], "top").filing_mm / INCH == pytest.approx(0.015708, abs=5e-7)
    assert ring(fits(spec)[1], "upper_rail").filing_mm == 0.0


def test_exchanged_rings_sit_in_each_others_groove():
    grooves = [
        {"ring": "top", "from_crown": "7 mm", "height": "1.60 mm", "root": "92.5 mm"},
        {"ring": "second", "from_crown": "13 mm", "height": "1.70 mm", "root": "92.0 mm"},
        {"ring": "oil", "from_crown": "18 mm", "height": "4.8 mm", "root": "92.5 mm"},
    ]
    spec = engine(piston={"grooves": grooves})
    right, wrong = fits(spec)[1], fits(spec, rings_exchanged=True)[1]
    assert wrong.exchanged
    assert ring(wrong, "top").groove.side_mm == pytest.approx(ring(right, "top").groove.side_mm + 0.1)
    assert ring(wrong, "second").travel.name == "top"


def test_missing_rings_are_listed():
    bore = fits(engine(), rings={"top": RingBuild(missing=True), "second": RingBuild(missing=True)})[1]
    assert bore.missing == ("top", "second")
    assert bore.series_area_mm2 is None
    assert [ring.name for ring in bore.rings] == ["upper_rail", "lower_rail"]


def test_makers_gap_goes_first():
    spec = engine(
        rings={"top": {"gap_least": "16 thou", "gap_most": "19 thou"}, "oil": {"rail_gap_most": "60 thou"}}
    )
    target = gap_target_of(spec, "top", 102.362)
    assert (target.min_mm / INCH, target.max_mm / INCH) == pytest.approx((0.016, 0.019))
    assert target.source.certainty == "stated"
    rail = gap_target_of(spec, "upper_rail", 102.362)
    assert (rail.min_mm / INCH, rail.max_mm / INCH) == pytest.approx((0.015, 0.060))
    assert "oil rails at least 0.015 in" in rail.source.text


def test_own_temperatures_and_expansions():
    heat = {
        "ring": "240 degC",
        "bore": "140 degC",
        "ring_expansion": "12.3e-6/K",
        "bore_expansion": "21.5e-6/K",
    }
    spec = engine(rings={"heat": heat})
    assert (
        heat_of(spec, "top").ring_c,
        heat_of(spec, "second").ring_c,
        heat_of(spec, "upper_rail").ring_c,
    ) == (240, 190, 165)
    # pi 102.362 (12.3 * 220 - 21.5 * 120) 1e-6 = 0.04052 mm.
    assert ring(fits(spec)[1], "top").hot.closing_mm == pytest.approx(0.04052, abs=1e-5)


def test_side_limits_by_kind_of_engine():
    assert side_limits_of(engine("vee90")).key == "petrol_v8"
    assert side_limits_of(engine("inline")).key == "petrol"
    assert side_limits_of(engine("inline", engine={"duty": "diesel"})).key == "diesel"


def test_side_limits_of_the_makers_sheet_go_first():
    own = side_limits_of(engine("vee90", rings={"side_least": "0.0020 in", "side_most": "0.0030 in"}))
    assert (own.min_mm, own.max_mm) == pytest.approx((0.0508, 0.0762))
    assert own.replace_mm is None
    assert own.source.certainty == "stated"
    spec = engine("vee90", rings={"side_least": "0.2 mm"})
    assert ring(fits(spec)[1], "top").side == "tight"
    half = side_limits_of(spec)
    assert half.max_mm >= half.min_mm == pytest.approx(0.2)
    assert "least: your engine file; most: service data" in half.source.text


def test_side_limits_the_wrong_way_round_are_refused():
    with pytest.raises(ValueError, match="greatest side clearance is below the least"):
        engine("vee90", rings={"side_least": "0.08 mm", "side_most": "0.04 mm"})


def test_tension_needs_the_free_gap():
    assert ring(fits(engine())[1], "top").tension is None
    spec = engine(rings={"top": {"free_gap": "0.45 in"}})
    found = ring(fits(spec)[1], "top").tension
    # F = E h a^3 m / (14.137 (d - a)^3): 150000 MPa, 1.524, 4.318, 102.362, opened by 0.432 in.
    assert found.tangential_n == pytest.approx(
        150_000 * 1.524 * 4.318**3 * 10.9728 / (14.137 * 98.044**3), rel=1e-3
    )


@pytest.mark.parametrize(
    "top, words",
    [
        ({"free_gap": "10 thou"}, "free_gap: the free gap is not wider"),
        ({"gap_least": "20 thou", "gap_most": "18 thou"}, "gap_most: the greatest gap is below the least"),
    ],
)
def test_gaps_at_odds_are_refused_by_key(top, words):
    with pytest.raises(InputError, match=f"rings.top.{words}"):
        engine(rings={"top": top})


def test_a_ring_without_groove_is_refused():
    spec = engine("inline")
    grooves = spec.piston.grooves[:2]
    lacking = spec.model_copy(update={"piston": spec.piston.model_copy(update={"grooves": grooves})})
    with pytest.raises(GeometryError, match="no groove for the oil ring"):
        fits(lacking)
