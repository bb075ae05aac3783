"""Ring gaps, heat and clearances against published tables and hand-worked geometry.

Rows of published tables are trade practice: they test that the data were taken over correctly, not that the
practice is right. Rows worked out by formula test the formula to its printed digits.
"""

import pytest

from geometry.rings.angles import gap_deg
from geometry.rings.bore import BoreSurvey, gap_along_bore
from geometry.rings.feeler import GapInterval
from geometry.rings.gap import OIL_RAIL_MIN_MM, filing, gap_in_other_bore, gap_target, oversize_stock_mm
from geometry.rings.groove import SIDE_LIMITS, groove_fit
from geometry.rings.hot import EXPANSION, butting_rise_k, thermal_closing_mm

INCH = 25.4


def target_in(bore_in, duty, ring):
    return gap_target(bore_in * INCH, duty, ring).min_mm / INCH


def test_floor_of_a_compression_ring():
    # A ring maker's minimum rule, quoted in secondary text: 0.0035 in per inch, 0.0140 in on 4.000 in.
    assert target_in(4.000, "street", "top") == pytest.approx(0.0140, abs=1e-12)


def test_street_practice_on_4_030():
    # Common practice, no source: 4.030 in asks for 14 thou and no more than 20 thou, in whole thousandths.
    target = gap_target(4.030 * INCH, "street", "top")
    assert round(target.min_mm / INCH * 1000) == 14
    assert round(target.max_mm / INCH * 1000) == 20
    assert target.source.certainty == "practice"


@pytest.mark.parametrize(
    "duty, top_in, second_in",
    [
        # Table A, a piston maker's published article (quoted in secondary text). The tops are worked there for a
        # 4.000 in bore; the seconds are its factors 0.0050, 0.0055, 0.0053, 0.0057, 0.0063 times 4.000.
        ("street_table_a", 0.016, 0.0200),
        ("modified_table_a", 0.020, 0.0220),
        ("race_table_a", 0.022, 0.0212),
        ("boost_race_table_a", 0.024, 0.0228),
        ("blower_race_table_a", 0.028, 0.0252),
        # Table B, another piston maker's installation table: factors 0.0045, 0.0050, 0.0055, 0.0065, second
        # ring 1.25 times the top ring.
        ("street_table_b", 0.018, 0.0225),
        ("mild_boost_table_b", 0.020, 0.0250),
        ("race_table_b", 0.022, 0.0275),
        ("boost_race_table_b", 0.026, 0.0325),
    ],
)
def test_tables_on_a_4_inch_bore(duty, top_in, second_in):
    assert target_in(4.000, duty, "top") == pytest.approx(top_in, abs=1e-12)
    assert target_in(4.000, duty, "second") == pytest.approx(second_in, abs=1e-12)
    assert gap_target(4 * INCH, duty, "top").max_mm is None


def test_oil_rails_have_their_own_minimum():
    # Table B: oil rail minimum 0.015 in, whatever the bore and the duty.
    assert pytest.approx(0.015 * INCH, abs=1e-12) == OIL_RAIL_MIN_MM
    assert target_in(3.0, "street", "oil_rail") == pytest.approx(0.015, abs=1e-12)
    assert target_in(4.5, "blower_race_table_a", "oil_rail") == pytest.approx(0.015, abs=1e-12)


def test_service_data_of_a_93_mm_petrol_engine():
    # Maker's service data: top 0.010-0.016 in, second 0.014-0.020, oil 0.010-0.030; "top 0.0027 to 0.0044 per in".
    for ring, least, greatest in (
        ("top", 0.010, 0.016),
        ("second", 0.014, 0.020),
        ("oil_one_piece", 0.010, 0.030),
    ):
        target = gap_target(93.0, "service_petrol", ring)
        assert target.min_mm / INCH == pytest.approx(least, abs=1e-12)
        assert target.max_mm / INCH == pytest.approx(greatest, abs=1e-12)
    per_inch = gap_target(INCH, "service_petrol", "top")
    assert round(per_inch.min_mm / INCH, 4) == 0.0027
    assert round(per_inch.max_mm / INCH, 4) == 0.0044


@pytest.mark.parametrize(
    "change_mm, gap_change_mm",
    [
        # Geometry, pi times the change of diameter, to the printed digits.
        (0.001 * INCH, 0.003142 * INCH),
        (0.01, 0.03142),
        (0.003 * INCH, 0.009425 * INCH),
    ],
)
def test_gap_against_bore(change_mm, gap_change_mm):
    changed = gap_in_other_bore(0.4, 100.0, 100.0 + change_mm) - 0.4
    assert changed == pytest.approx(gap_change_mm, rel=2e-4)


def test_filing_stock_of_a_5_thou_oversize_ring():
    # Geometry: 0.015708 in.
    assert oversize_stock_mm(0.005 * INCH) / INCH == pytest.approx(0.015708, abs=5e-7)
    # A ring with 14 thou in a bore 5 thou larger is too long for this bore; filing it to 14 thou takes the stock.
    bore = 4.030 * INCH
    gap_now = gap_in_other_bore(0.014 * INCH, bore + 0.005 * INCH, bore)
    assert gap_now < 0
    wanted = gap_target(4.000 * INCH, "street", "top")
    allowance = filing(gap_now, gap_now, wanted)
    assert allowance.needed_mm / INCH == pytest.approx(0.015708, abs=5e-7)
    assert allowance.needed_mm / 2 / INCH == pytest.approx(0.015708 / 2, abs=5e-7)


def test_three_thou_taper():
    # Geometry: 0.003 in taper changes the gap by 0.009425 in. A US Army manual (TM 10-3930-653-14&P): measure low in
    # a worn bore, where the ring has not worn it.
    bore = 4.000 * INCH
    survey = BoreSurvey((10.0, 90.0), (bore + 0.003 * INCH, bore), (bore + 0.003 * INCH, bore))
    along = gap_along_bore(survey, GapInterval(0.016 * INCH, 0.016 * INCH), 90.0, 10.0, 90.0)
    assert (along.widest.lower_mm - along.tightest.lower_mm) / INCH == pytest.approx(0.009425, abs=5e-7)
    assert along.tightest_depth_mm == 90.0


@pytest.mark.parametrize(
    "ring_per_k, ring_rise, bore_per_k, bore_rise, closing_mm",
    [
        # Worked by hand from pi D (a dT - a dT), D = 101.6 mm; temperatures illustrative.
        (11.4e-6, 200, 11.4e-6, 100, 0.36387),
        (12.3e-6, 230, 11.4e-6, 100, 0.53910),
        (12.3e-6, 230, 21.5e-6, 100, 0.21673),
    ],
)
def test_thermal_closing(ring_per_k, ring_rise, bore_per_k, bore_rise, closing_mm):
    assert thermal_closing_mm(101.6, ring_per_k, ring_rise, bore_per_k, bore_rise) == pytest.approx(
        closing_mm, abs=5e-6
    )


def test_butting_temperature():
    # A 0.016 in gap on a 4 in bore butts at a ring rise of 211.7 K, the bore 100 K up, both 11.4e-6.
    assert butting_rise_k(0.016 * INCH, 101.6, 11.4e-6, 11.4e-6, 100) == pytest.approx(211.7, abs=0.05)
    assert thermal_closing_mm(101.6, 11.4e-6, 200, 11.4e-6, 100) / INCH == pytest.approx(0.01433, abs=5e-6)


def test_expansions():
    # Callister, table B.6: grey iron 11.4, 4140 and 4340 steel 12.3, cast 356.0 aluminium 21.5, times 1e-6 per K.
    assert EXPANSION["cast_iron"].per_k == 11.4e-6
    assert EXPANSION["steel"].per_k == 12.3e-6
    assert EXPANSION["cast_aluminium"].per_k == 21.5e-6


def test_gap_as_an_angle():
    # Geometry: 0.016 in on a 4.000 in bore = 0.4584 degrees.
    assert gap_deg(0.016 * INCH, 4.000 * INCH) == pytest.approx(0.4584, abs=5e-5)


def test_side_clearance_rows():
    # Service data of a 1997 petrol engine: 0.030-0.070 mm, limit 0.10. Of a 1999 V8: 0.0016-0.0037 in.
    # TM 5-1940-277-34: 0.0025-0.0040 in; TM 9-6115-604-34: replace above 0.006 in.
    petrol, v8, diesel = SIDE_LIMITS["petrol"], SIDE_LIMITS["petrol_v8"], SIDE_LIMITS["diesel"]
    assert (petrol.min_mm, petrol.max_mm, petrol.replace_mm) == (0.030, 0.070, 0.10)
    assert (v8.min_mm / INCH, v8.max_mm / INCH) == pytest.approx((0.0016, 0.0037))
    assert (diesel.min_mm / INCH, diesel.max_mm / INCH) == pytest.approx((0.0025, 0.0040))
    assert diesel.replace_mm / INCH == pytest.approx(0.006)


def test_back_clearance():
    # Definition (from memory), worked: bore 101.60, groove root 92.20, wall 4.20 mm: 0.50 mm.
    assert groove_fit(101.60, 101.00, 92.20, 1.55, 1.50, 4.20).back_mm == pytest.approx(0.50, abs=1e-9)
