"""What is to blame where nothing works, and what size would do: built to have one answer."""

from itertools import combinations

import numpy as np
import pytest

from geometry.kinematics.layout import build_layout
from geometry.matching.blame import _too_few, blame
from geometry.matching.outcome import outcome_of
from geometry.matching.solve import best
from tests.geometry.fleet import spec
from tests.geometry.matching.shelves import INCH, demo, shelf_of


def blamed(*changes):
    shelf = shelf_of(demo(*changes), spec("tern"))
    assert best(shelf) is None
    return shelf, blame(shelf)


def test_a_piston_that_fits_no_bore_and_the_sizes_that_would_do():
    shelf, why = blamed(("H, 4.0270", "H, 4.0255, 1.4500, 0.94040, 513.0"))
    assert (why.cause, why.parts, why.fit, why.filled) == ("alone", (("piston", "H"),), "piston to wall", 7)
    (left,) = why.left
    bore = next(part for part in shelf.parts["bore"] if part.name == str(left.bore)).sizes["diameter"].value
    (size,) = left.sizes  # a bore cannot be made smaller
    assert (size.kind, size.name, size.column) == ("piston", "H", "diameter")
    assert (size.low_mm, size.high_mm) == (
        pytest.approx(bore - 0.0035 * INCH),
        pytest.approx(bore - 0.0025 * INCH),
    )
    # and it is so: with a piston of that size all goes together
    for inches in (size.low_mm / INCH + 1e-6, size.high_mm / INCH - 1e-6):
        text = demo(("H, 4.0270", f"H, {inches:.7f}, 1.4500, 0.94040, 513.0"))
        assert best(shelf_of(text, spec("tern"))) is not None


def test_a_piston_too_large_for_all_may_have_its_bore_honed():
    _, why = blamed(("H, 4.0270", "H, 4.0290, 1.4500, 0.94040, 513.0"))
    (left,) = why.left
    piston, bore = left.sizes
    assert (piston.kind, bore.kind, bore.column) == ("piston", "bore", "diameter")
    assert bore.low_mm == pytest.approx((4.0290 + 0.0025) * INCH)
    assert bore.low_mm > bore.now_mm


def test_a_bore_that_nothing_fits():
    _, why = blamed(("3, 4.0303", "3, 4.0345, 8.9850, 2.0498"))
    assert (why.cause, why.parts[0], why.fit) == ("alone", ("bore", "3"), "piston to wall")
    assert [one.bore for one in why.left] == [3]


def test_two_pistons_that_only_one_bore_takes():
    changes = [
        ("A, 4.0273", "A, 4.0279, 1.4505, 0.94045, 511.8"),
        ("E, 4.0274", "E, 4.0279, 1.4500, 0.94045, 514.1"),
    ]
    _, why = blamed(*changes)
    assert why.cause == "few bores"
    assert set(why.parts) == {("piston", "A"), ("piston", "E"), ("bore", "7")}


def test_bores_for_which_there_are_too_few_shells():
    """Only red shells suit crankpins ground 0.4 thou larger, and there is one pair for two of them."""
    changes = [
        ("1, 4.0301", "1, 4.0301, 8.9850, 2.0507"), ("2, 4.0299", "2, 4.0299, 8.9855, 2.0507"),
        ("red, 0.06180", "red, 0.06180, 1"), ("green, 0.06200", "green, 0.06215, 8"),
    ]  # fmt: skip
    _, why = blamed(*changes)
    assert why.cause == "few parts"
    assert set(why.parts) == {("bore", "1"), ("bore", "2"), ("shells", "red")}
    (left,) = why.left
    shell = next(size for size in left.sizes if size.kind == "shells")
    assert shell.high_mm < shell.now_mm
    for inches, state in ((shell.low_mm / INCH, "above"), (shell.high_mm / INCH, "below")):
        # at either end of the sizes that would do, the clearance of two shells is at a limit
        held = next(fit for fit in left.outside if fit.name == "oil clearance")
        at_limit = held.value_mm - 2 * (inches * INCH - shell.now_mm)
        assert at_limit == pytest.approx(held.most_mm if state == "above" else held.least_mm)


def test_all_can_be_placed_and_not_together():
    shelf, why = blamed(("deck, 8, 12", "deck, 9.8, 10.4, me"))
    assert why.cause == "together"
    assert why.filled == 7
    (left,) = why.left
    assert {fit.name for fit in left.outside} == {"deck"}
    rod = next(size for size in left.sizes if size.kind == "rod")
    line = next(line for line in demo().split("\n") if line.startswith(f"{rod.name}, 5.8"))
    cells = line.split(",")
    middle = (rod.low_mm + rod.high_mm) / 2 / INCH
    text = demo(
        (line, ",".join([cells[0], f" {middle:.6f}", *cells[2:]])), ("deck, 8, 12", "deck, 9.8, 10.4, me")
    )
    found = best(shelf_of(text, spec("tern")))
    assert found is not None
    outcome = outcome_of(shelf_of(text, spec("tern")), build_layout(spec("tern")), found)
    assert outcome.all_within
    del shelf


def test_a_ring_can_be_to_blame_too():
    rings = [(f"{k}, {gap}", f"{k}, 14.0, 4.0300") for k, gap in ((1, "16.8"),)]
    _, why = blamed(*rings)
    assert (why.cause, why.parts, why.fit) == ("alone", (("top ring", "1"),), "top ring gap")
    (size,) = why.left[0].sizes
    assert size.low_mm > size.now_mm


def test_the_smallest_set_with_too_few_against_every_set():
    rng = np.random.default_rng(5)
    short = 0
    for _ in range(200):
        pairs = rng.random((6, 6)) < 0.35
        found = _too_few(pairs)
        sizes = [
            size for size in range(1, 7) for columns in combinations(range(6), size)
            if sum(any(pairs[row, column] for column in columns) for row in range(6)) < size
        ]  # fmt: skip
        short += bool(sizes)
        assert len(found) == (min(sizes) if sizes else 0)
        if found:
            assert sum(pairs[row, list(found)].any() for row in range(6)) < len(found)
    assert 20 < short < 200
