"""The best turn of a scheme, against a search by brute force."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.rings.angles import Arc, separation_deg, signed_deg
from geometry.rings.best import best_turn
from geometry.rings.clock import ClockRules, PistonPlaces, judge, rules_for
from geometry.rings.schemes import SCHEMES, resolve
from tests.geometry.rings.mirror import mirrored_deg, mirrored_piston

GRID = np.arange(36_000) / 100
ARC = st.tuples(st.floats(0, 359), st.floats(2, 40))
ANGLES = st.fixed_dictionaries(
    {"top": st.floats(0, 359), "second": st.floats(0, 359), "expander": st.floats(0, 359)}
)


@st.composite
def pistons(draw):
    bosses = tuple(Arc("boss", *draw(ARC)) for _ in range(draw(st.integers(0, 2))))
    pockets = tuple(Arc("pocket", *draw(ARC)) for _ in range(draw(st.integers(0, 4))))
    return PistonPlaces(draw(st.sampled_from([90.0, 270.0])), bosses, pockets, {"top": 0.5, "second": 0.6})


def swept_margin(angles, places, limit):
    """Smallest margin at every hundredth of a degree, from the distance of each gap to each place."""
    kept = []
    for role in ("top", "second"):
        spots = [(places.thrust_deg, limit), (places.thrust_deg + 180, limit)]
        arcs = [*places.bosses, *(places.pockets if role == "top" else ())]
        spots += [(arc.centre_deg, arc.half_deg + places.gap_deg[role] / 2) for arc in arcs]
        for centre, keep in spots:
            away = np.abs((angles[role] + GRID - centre + 180) % 360 - 180)
            kept.append(away - keep)
    return np.min(kept, axis=0)


@given(angles=ANGLES, places=pistons())
def test_no_turn_on_a_fine_grid_is_better(angles, places):
    rules = ClockRules()
    best = best_turn(angles, rules, places)
    swept = swept_margin(angles, places, rules.thrust.deg)
    assert best.margin_deg >= swept.max() - 1e-9
    # Margins change by one degree per degree, so the grid comes within half of its step.
    assert best.margin_deg <= swept.max() + 0.005 + 1e-9


@given(angles=ANGLES, places=pistons())
def test_the_result_is_judged_as_it_says(angles, places):
    best = best_turn(angles, ClockRules(), places)
    for role, angle in angles.items():
        assert separation_deg(best.angles_deg[role], angle + best.turn_deg) == pytest.approx(0, abs=1e-9)
    verdict = judge(best.angles_deg, ClockRules(), places)
    fixed = [m for m in verdict.margins if m.rule not in ("near", "expander_near_rail")]
    assert min(m.margin_deg for m in fixed) == pytest.approx(best.margin_deg, abs=1e-9)
    assert best.keeps_all == (not verdict.findings)


@given(angles=ANGLES, places=pistons())
def test_the_least_turn_is_the_first_that_breaks_nothing(angles, places):
    best = best_turn(angles, ClockRules(), places)
    swept = swept_margin(angles, places, ClockRules().thrust.deg)
    away = np.minimum(GRID, 360 - GRID)
    if best.least_turn_deg is None:
        assert swept.max() <= 1e-9
    else:
        assert not (swept[away < abs(best.least_turn_deg) - 1e-9] > 1e-9).any()
        turned = {role: angle + best.least_turn_deg for role, angle in angles.items()}
        rules = [
            m for m in judge(turned, ClockRules(), places).margins if not m.rule.endswith(("near", "rail"))
        ]
        assert min(m.margin_deg for m in rules) >= -1e-9


@given(angles=ANGLES, places=pistons())
def test_mirroring_everything_keeps_the_margin(angles, places):
    image = {role: mirrored_deg(angle) for role, angle in angles.items()}
    here, there = (
        best_turn(angles, ClockRules(), places),
        best_turn(image, ClockRules(), mirrored_piston(places)),
    )
    assert here.margin_deg == pytest.approx(there.margin_deg, abs=1e-9)
    assert abs(here.turn_deg) == pytest.approx(abs(there.turn_deg), abs=1e-6)


def test_thirds_by_hand():
    # As it stands both compression gaps are 30 degrees from a thrust line, 15 more than asked: no turn is needed. A
    # quarter of a turn brings them to 330 and 210, 60 degrees from 270: 45 more than asked, and it cannot be more.
    best = best_turn(resolve(SCHEMES["thirds"], 90.0), rules_for(SCHEMES["thirds"]), PistonPlaces(90.0))
    assert best.least_turn_deg == 0.0
    assert abs(best.turn_deg) == pytest.approx(90)
    assert best.margin_deg == pytest.approx(45)
    assert best.keeps_all


def test_pocket_pushes_the_scheme_aside():
    # Opposed gaps anywhere but within 15 degrees of the thrust line; a pocket over 0 to 60 holds the top gap. Free for
    # the top gap: 105 to 255 and 285 to 360 with 60 to 75; the middle of the widest is 180.
    best = best_turn(
        {"top": 30.0, "second": 210.0}, ClockRules(boss_roles=frozenset()),
        PistonPlaces(90.0, pockets=(Arc("intake pocket", 30.0, 30.0),)),
    )  # fmt: skip
    assert best.angles_deg["top"] == pytest.approx(180)
    assert best.margin_deg == pytest.approx(75)
    assert signed_deg(best.turn_deg) == pytest.approx(150)


def test_nothing_to_keep_clear_of_leaves_the_scheme_alone():
    best = best_turn({"upper_rail": 0.0, "lower_rail": 180.0}, ClockRules(), PistonPlaces(90.0))
    assert (best.turn_deg, best.margin_deg) == (0.0, None)
    assert best.keeps_all


def test_a_piston_full_of_pockets_leaves_no_place():
    # At 90 + t the rear pocket asks 100 - (90 - t), the thrust line 15 - t: both are missed by 12.5 at t = 2.5.
    places = PistonPlaces(90.0, pockets=(Arc("a", 0.0, 100.0), Arc("b", 180.0, 100.0)))
    best = best_turn({"top": 10.0}, ClockRules(), places)
    assert best.least_turn_deg is None
    assert not best.keeps_all
    assert best.margin_deg == pytest.approx(-12.5)
