"""Running fits in closed form, against values worked by hand, published expansions, and brute force."""

import random

import pytest

from geometry.running_fits import (
    ShellSize,
    clearance_mm,
    nearest_grade,
    wall_change_mm,
    warm_closing_mm,
    with_grade_mm,
)
from geometry.trade import PISTON_EXPANSION, end_play, oil_clearance

INCH = 25.4


def test_oil_clearance_is_the_housing_less_two_shells_less_the_journal():
    # 2.1760 - 2 x 0.0620 - 2.0500 = 0.0020 in
    assert clearance_mm(2.1760, 0.0620, 2.0500) == pytest.approx(0.0020)


@pytest.mark.parametrize(
    "per_k, closing_mm",
    [(19.4e-6, 0.1752), (20.5e-6, 0.1897), (22.3e-6, 0.2135)],
)
def test_a_101_6_mm_fit_closes_by_the_even_growth_of_piston_and_bore(per_k, closing_mm):
    # Piston 20 to 150, iron bore 20 to 90 degC, grey iron 11.4e-6 (Callister, table B.6); wrought 4032 and 2618 (quoted
    # from a handbook) and AlSi12CuMgNi (a piston foundry's data sheet), worked by hand to four decimals.
    assert warm_closing_mm(101.6, per_k, 130.0, 11.4e-6, 70.0) == pytest.approx(closing_mm, abs=5e-5)


def test_a_fit_opens_where_the_bore_outgrows_the_piston():
    assert warm_closing_mm(100.0, 11.4e-6, 100.0, 21.5e-6, 100.0) == pytest.approx(-0.101)


@pytest.mark.parametrize(
    "material, per_k", [("cast_aluminium", 20.5), ("forged_aluminium", 22.3), ("cast_iron", 11.4)]
)
def test_pistons_grow_as_their_metal_is_printed(material, per_k):
    found = PISTON_EXPANSION[material]
    assert found.per_k == pytest.approx(per_k * 1e-6)
    assert found.source.text


@pytest.mark.parametrize(
    "journal_in, least_in, most_in",
    # 0.00075 to 0.0010 in per inch, 0.0005 in either way for tight and loose (a bearing maker's note, trade press).
    [(2.000, 0.0010, 0.0025), (2.375, 0.00128125, 0.002875), (2.500, 0.001375, 0.0030)],
)
def test_the_trades_oil_clearance_by_the_journal(journal_in, least_in, most_in):
    fit = oil_clearance(journal_in * INCH)
    assert (fit.least_mm / INCH, fit.most_mm / INCH) == pytest.approx((least_in, most_in))


def test_end_play_is_that_of_the_published_service_data():
    # 0.07 to 0.23 mm, a four-cylinder engine of 2008; a V6 of 2001 has 0.004 to 0.008 in, which lies in it.
    fit = end_play()
    assert (fit.least_mm, fit.most_mm) == (0.07, 0.23)
    assert fit.least_mm < 0.004 * INCH < 0.008 * INCH < fit.most_mm


def test_thicker_shells_always_leave_less():
    dice = random.Random(14)
    for _ in range(200):
        housing, journal = dice.uniform(45, 80), dice.uniform(30, 44)
        thin = dice.uniform(1.0, 3.0)
        thick = thin + dice.uniform(1e-6, 0.1)
        assert clearance_mm(housing, thick, journal) < clearance_mm(housing, thin, journal)
        assert with_grade_mm(0.05, thin, ShellSize("", thick)) < 0.05


def test_the_change_of_both_shells_brings_it_to_what_is_wanted():
    dice = random.Random(15)
    for _ in range(200):
        has, wanted, wall = dice.uniform(0.0, 0.1), dice.uniform(0.01, 0.09), dice.uniform(1.0, 3.0)
        change = wall_change_mm(has, wanted)
        assert with_grade_mm(has, wall, ShellSize("", wall + change)) == pytest.approx(wanted, abs=1e-12)
        assert (change > 0.0) == (has > wanted)  # too loose: thicker


def test_the_grade_chosen_is_the_best_of_those_listed():
    dice = random.Random(16)
    for _ in range(300):
        wall = dice.uniform(1.0, 3.0)
        grades = [ShellSize(str(k), wall + dice.uniform(-0.03, 0.03)) for k in range(dice.randint(1, 8))]
        has, wanted = dice.uniform(-0.01, 0.12), dice.uniform(0.02, 0.06)
        chosen = nearest_grade(has, wall, wanted, grades)
        left = [abs(has - 2 * (grade.wall_mm - wall) - wanted) for grade in grades]
        assert abs(has - 2 * (chosen.wall_mm - wall) - wanted) == pytest.approx(min(left), abs=1e-8)


def test_of_two_grades_as_near_the_thinner_is_chosen_and_none_where_none_is_listed():
    grades = [ShellSize("thick", 1.51), ShellSize("thin", 1.50)]
    assert nearest_grade(0.05, 1.505, 0.05, grades).name == "thin"
    assert nearest_grade(0.05, 1.505, 0.05, []) is None
