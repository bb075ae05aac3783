"""What goes where, seen from the bench: clearances by hand-worked sums, limits and whose they are, verdicts."""

from math import pi, sqrt

import pytest

from geometry.kinematics.layout import build_layout
from geometry.matching.fits import NO_LIMIT
from geometry.matching.outcome import as_listed, outcome_of
from geometry.matching.solve import best
from geometry.spec.engine import Engine
from tests.geometry.fleet import raw, spec
from tests.geometry.matching.shelves import INCH, demo, shelf_of


def matched(text, engine=None):
    engine = engine or spec("tern")
    shelf = shelf_of(text, engine)
    return shelf, outcome_of(shelf, build_layout(engine), best(shelf))


def listed(text, engine=None):
    engine = engine or spec("tern")
    shelf = shelf_of(text, engine)
    return outcome_of(shelf, build_layout(engine), as_listed(shelf))


def of(outcome, name, bore):
    (fit,) = [fit for fit in outcome.fits if (fit.name, fit.bore) == (name, bore)]
    return fit


def test_the_demo_fails_as_it_is_listed_and_not_as_it_is_matched():
    shelf, outcome = matched(demo())
    assert outcome.all_within
    assert len(outcome.fits) == 8 * 5
    wrong = [fit for fit in listed(demo()).fits if fit.outside]
    assert wrong
    assert {fit.state for fit in wrong} <= {"below", "above"}
    for kind in ("piston", "pin", "rod", "top ring"):
        assert {outcome.goes[bore][kind] for bore in range(1, 9)} == {part.name for part in shelf.parts[kind]}
    grades = [outcome.goes[bore]["shells"] for bore in range(1, 9)]
    assert all(grades.count(grade) <= 4 for grade in grades)


def test_clearances_of_the_first_bore_as_listed():
    """Bore 1 with piston A, pin a, rod 1, red shells and ring 1, in inches."""
    outcome = listed(demo())
    assert outcome.goes[1] == {"piston": "A", "pin": "a", "rod": "1", "shells": "red", "top ring": "1"}
    deck = 8.9850 - sqrt((1.675 + 5.8505) ** 2 - 0.040**2) - 1.4505
    expected = {
        "piston to wall": 4.0301 - 4.0273, "oil clearance": 2.1761 - 2 * 0.0618 - 2.0500, "deck": deck,
        "pin in piston": 0.94045 - 0.94005, "top ring gap": 0.0168 + pi * (4.0301 - 4.0300),
    }  # fmt: skip
    for name, value in expected.items():
        fit = of(outcome, name, 1)
        assert fit.value_mm == pytest.approx(value * INCH, abs=1e-9), name
        assert fit.low_mm == fit.high_mm == fit.value_mm
    assert (
        of(outcome, "oil clearance", 1).state == "above" if expected["oil clearance"] > 0.0025 else "within"
    )
    assert outcome.mass_kg[1] == pytest.approx((511.8 + 120.8 + 181.2) / 1000)
    big = next(spread for spread in outcome.spreads if "big ends" in spread.words)
    throws = [402.5 + 401.8, 403.1 + 402.2, 402.9 + 401.5, 402.6 + 402.0]
    assert (big.least, big.most) == (pytest.approx(min(throws) / 1000), pytest.approx(max(throws) / 1000))


def test_limits_are_the_sheets_else_the_files_else_the_trades():
    own = ("piston to wall", "oil clearance,", "deck, 8", "top ring gap")
    text = "\n".join(line for line in demo().split("\n") if not line.startswith(own))
    outcome = listed(text)
    fit = of(outcome, "piston to wall", 3)
    assert (fit.least_mm, fit.most_mm) == (pytest.approx(0.001 * INCH), pytest.approx(0.007 * INCH))
    assert "mailing list" in fit.source
    gap = of(outcome, "top ring gap", 3)
    assert gap.least_mm == pytest.approx(0.0035 * 4.0303 * INCH)  # each bore its own
    deck = of(outcome, "deck", 3)
    assert (deck.least_mm, deck.most_mm) == (pytest.approx(-0.005 * INCH), pytest.approx(0.020 * INCH))
    builders = Engine.model_validate({**raw("tern"), "limits": {"piston_to_wall": "2 thou"}})
    assert of(listed(text, builders), "piston to wall", 3).least_mm == pytest.approx(0.002 * INCH)


def test_what_no_source_limits_is_said_and_not_judged():
    text = demo(("pin in piston", None))
    shelf, outcome = matched(text)
    assert any("pin in piston" in note and NO_LIMIT in note for note in shelf.notes)
    assert not [fit for fit in outcome.fits if fit.name == "pin in piston"]


def test_sizes_that_were_not_measured_are_the_engine_files():
    outcome = matched("shells, wall in, pairs\nred, 0.0620, 8\n")[1]
    assert [fit.name for fit in outcome.fits] == ["oil clearance"] * 8
    assert of(outcome, "oil clearance", 4).value_mm == pytest.approx(0.0020 * INCH)


def test_what_no_part_can_change_is_told_and_keeps_no_part_out():
    """The engine file's piston in a bore that is measured too large, beside shells that are to be matched."""
    bores = "bore, diameter in\n" + "".join(f"{k}, {4.0400 if k == 3 else 4.0300}\n" for k in range(1, 9))
    outcome = matched(bores + "shells, wall in, pairs\nred, 0.0620, 8\n")[1]
    assert {fit.bore for fit in outcome.fits if fit.outside} == {3}
    assert not outcome.all_within


def test_an_odd_bore_of_the_engine_file_counts_where_the_sheet_says_nothing():
    bores = {"3": {"diameter": "4.0310 in"}, "5": {"rod": {"length": "5.851 in"}}}
    odd = Engine.model_validate({**raw("tern"), "bore": bores})
    pistons = "piston, diameter in, height in\n" + "".join(f"{k}, 4.0270, 1.450\n" for k in range(8))
    outcome = matched(pistons, odd)[1]
    assert of(outcome, "piston to wall", 3).value_mm == pytest.approx(0.0040 * INCH)
    assert of(outcome, "piston to wall", 4).value_mm == pytest.approx(0.0030 * INCH)
    lower = of(outcome, "deck", 4).value_mm - of(outcome, "deck", 5).value_mm
    assert lower == pytest.approx(0.001 * INCH, rel=1e-4)


SKIRTS = {"A": "4.0273", "B": "4.0268", "C": "4.0271", "D": "4.0269", "E": "4.0274", "F": "4.0270", "G": "4.0272",
          "H": "4.0270"}  # fmt: skip


def with_doubt(thou):
    rows = {name: f"{name}, {size} in +- {thou} thou, 1.4500, 0.94040, 512" for name, size in SKIRTS.items()}
    return demo(*((f"{name}, {size}", rows[name]) for name, size in SKIRTS.items()))


def test_the_doubt_of_sizes_is_counted():
    outcome = matched(with_doubt(0.2))[1]
    fit = of(outcome, "piston to wall", 1)
    assert fit.high_mm - fit.low_mm == pytest.approx(0.4e-3 * INCH)
    assert fit.state == "within whatever the doubt"
    assert of(outcome, "oil clearance", 1).state == "within"
    assert outcome.all_within


def test_what_the_doubt_leaves_open_is_open_and_not_within():
    outcome = matched(with_doubt(0.7))[1]
    assert {fit.state for fit in outcome.fits if fit.name == "piston to wall"} == {"open"}
    assert not outcome.all_within


def test_a_dearer_assignment_is_taken_that_is_within_whatever_the_doubt():
    """Two pistons, one known to half a thou: only in the larger bore does its clearance hold whatever the doubt."""
    text = (
        "bore, diameter in\n1, 4.0300\n2, 4.0304\n"
        "piston, diameter in\nA, 4.0271 +- 0.0006\nB, 4.0272\n"
        "limit, least thou, most thou, source\npiston to wall, 2.5, 4.0, me\n"
    )
    general = {**raw("tern")["engine"], "numbering": {"left": [1], "right": [2]}}
    general.pop("firing_order")
    crank = {**raw("tern")["crank"], "throws": ["0 deg"]}
    engine = Engine.model_validate({**raw("tern"), "engine": general, "crank": crank})
    outcome = matched(text, engine)[1]
    assert outcome.goes[2]["piston"] == "A"
    assert outcome.all_within
