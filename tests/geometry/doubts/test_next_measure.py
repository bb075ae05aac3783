"""What to measure next, played through with hidden true values and held against exhaustive search."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from geometry.doubts.answers import Doubtful, Side
from geometry.doubts.box import Coordinate
from geometry.doubts.next_measure import what_next
from tests.geometry.doubts.linear import Toy, answer, means, toy, value

CASES = 200


def played(case: Toy) -> tuple[float, int]:
    """Minutes and measurements until nothing is worth measuring, always the first of the list."""
    measured = np.zeros(len(case.keys), dtype=bool)
    minutes = 0.0
    while True:
        plan = what_next(case.answers(measured), case.values(measured), case.means(), 1e9)
        if not plan.measures:
            return minutes, int(measured.sum())
        k = case.keys.index(plan.measures[0].key)
        assert not measured[k]
        measured[k] = True
        minutes += case.minutes[k]


def fewest(case: Toy) -> tuple[float, int]:
    """The least minutes and the least number of measurements that settle all that can be settled, every set tried
    by someone who knows the true values beforehand."""
    sets = np.array(list(product([False, True], repeat=len(case.keys))))
    settled = case.settled(sets)
    good = sets[(settled >= settled[-1]).all(axis=1)]
    return float((good @ case.minutes).min()), int(good.sum(axis=1).min())


def test_settles_all_in_close_to_the_fewest_steps():
    """Nobody can play as well as one who knows the true values; the rule comes within 15 in 100 of him.

    Measured: 1.11 times the fewest steps, 1.09 times the minutes over all cases, 1.16 case by case. The worst: four
    measurements where one would have done, and 23 minutes where 3 would have done.
    """
    found = [(played(case), fewest(case)) for case in map(toy, range(CASES))]
    found = [(ours, best) for ours, best in found if best[1]]
    assert len(found) > 150
    steps = np.array([ours[1] / best[1] for ours, best in found])
    minutes = np.array([ours[0] / best[0] for ours, best in found])
    assert steps.mean() <= 1.15
    assert minutes.mean() <= 1.16
    assert sum(ours[0] for ours, _ in found) <= 1.1 * sum(best[0] for _, best in found)
    assert steps.max() <= 4.0
    assert minutes.max() <= 8.0


def test_what_is_played_to_the_end_is_settled():
    """By plain interval sums, written apart: what measuring everything settles, the first of each list settled."""
    for case in map(toy, range(40)):
        measured = np.zeros(len(case.keys), dtype=bool)
        while plan := what_next(case.answers(measured), case.values(measured), case.means(), 1e9).measures:
            measured[case.keys.index(plan[0].key)] = True
        everything = np.ones(len(case.keys), dtype=bool)
        assert (case.settled(measured) == case.settled(everything)).all()


def two_alike() -> tuple[list[Coordinate], list[Doubtful]]:
    """Two values that an answer leans on alike, nominally well within, and open by a little."""
    values = [value("rod.length", 99.0, 101.0), value("piston.height", 29.0, 31.0)]
    return values, [answer("deck", -128.5, {"rod.length": 1.0, "piston.height": 1.0}, values)]


def test_of_two_alike_the_quicker_is_first():
    values, answers = two_alike()
    for quick, slow in (("rod.length", "piston.height"), ("piston.height", "rod.length")):
        ways = {quick: means(3.0, 0.05, "a"), slow: means(20.0, 0.05, "b")}
        assert [m.key for m in what_next(answers, values, ways, 1e9).measures] == [quick, slow]


def test_of_two_that_are_both_needed_the_quicker_is_first():
    values = [value("slow.size", -1.0, 1.0), value("quick.size", -1.0, 1.0)]
    answers = [answer("a", 0.01, {"slow.size": 1.0}, values), answer("b", 0.01, {"quick.size": 1.0}, values)]
    ways = {"slow.size": means(20.0, 0.0, "a"), "quick.size": means(3.0, 0.0, "b")}
    first, second = what_next(answers, values, ways, 1e9).measures
    assert (first.key, first.needed, second.needed) == ("quick.size", 1.0, 1.0)


def test_the_side_of_the_margin_decides():
    """An answer that is short by a hair at its lowest is settled by the small cheap value; the large one is dear."""
    values = [value("small.size", -1.0, 1.0), value("large.size", -1.0, 1.0)]
    ways = {"small.size": means(2.0, 0.01, "a"), "large.size": means(8.0, 0.01, "b")}
    lean = {"small.size": 1.0, "large.size": 4.0}
    hair = what_next([answer("a", 4.9, lean, values)], values, ways, 1e9)
    assert hair.measures[0].key == "small.size"
    # nominally at the limit, and both sides far: nothing but the large one can settle it
    far = what_next([answer("a", 0.1, lean, values)], values, ways, 1e9)
    assert far.measures[0].key == "large.size"


def test_what_is_settled_or_known_closely_is_not_listed():
    values = [value("a.size", -1.0, 1.0), value("b.size", -0.05, 0.05), value("c.size", -1.0, 1.0)]
    answers = [
        answer("open", 0.2, {"a.size": 1.0, "b.size": 1.0}, values),
        answer("within", 5.0, {"c.size": 1.0}, values),
        answer("outside", -5.0, {"c.size": 1.0}, values),
        answer("only b", 0.01, {"b.size": 1.0}, values),
    ]
    ways = {v.key: means(3.0, 0.05, v.key) for v in values}
    plan = what_next(answers, values, ways, 1e9)
    assert [m.key for m in plan.measures] == ["a.size"]
    assert [a.name for a in plan.measures[0].answers] == ["open"]
    assert [a.name for a in plan.beyond] == ["only b"]


def test_either_of_two_limits_may_be_the_open_one():
    """A sum between two limits: a small value that only the far limit hangs on is not worth a minute."""
    values = [value("a.size", -1.0, 1.0), value("b.size", -1.0, 1.0)]
    over = answer("x", 0.5, {"a.size": 1.0}, values)
    under = answer("x", 3.0, {"a.size": -1.0, "b.size": 1.0}, values)
    two = replace(
        over,
        sides=tuple(
            Side(one.margin, one.margin_lowest, one.margin_highest, one.margin_leanings)
            for one in (over, under)
        ),
    )
    ways = {v.key: means(3.0, 0.01, v.key) for v in values}
    (first,) = what_next([two], values, ways, 1e9).measures
    assert (first.key, first.closely) == ("a.size", pytest.approx(0.5))
    tight = replace(two, sides=(two.sides[0], replace(two.sides[1], margin=0.2, lowest=-1.8, highest=2.2)))
    assert {m.key for m in what_next([tight], values, ways, 1e9).measures} == {"a.size", "b.size"}


def test_what_is_outside_one_limit_asks_nothing_of_the_other():
    """Over by a - 0.5, outside in three of four; under by b + 0.9, of interest only in the fourth."""
    values = [value("a.size", -1.0, 1.0), value("b.size", -1.0, 1.0)]
    over, under = answer("x", -0.5, {"a.size": 1.0}, values), answer("x", 0.9, {"b.size": 1.0}, values)
    sides = (
        Side(one.margin, one.margin_lowest, one.margin_highest, one.margin_leanings) for one in (over, under)
    )
    ways = {v.key: means(3.0, 0.0, v.key) for v in values}
    first, second = what_next([replace(over, sides=tuple(sides))], values, ways, 1e9).measures
    assert (first.key, second.key) == ("a.size", "b.size")
    assert second.needed == pytest.approx(0.25, abs=0.06)


def test_another_bore_alike_changes_nothing():
    values, answers = two_alike()
    ways = {"rod.length": means(3.0, 0.05, "a"), "piston.height": means(4.0, 0.05, "b")}
    once = what_next(answers, values, ways, 1e9)
    eight = what_next([replace(answers[0], bore=n) for n in range(1, 9)], values, ways, 1e9)
    assert [m.needed for m in eight.measures] == [m.needed for m in once.measures]
    assert [m.share for m in eight.measures] == [m.share for m in once.measures] == [0.5, 0.5]
    assert [len(m.answers) for m in eight.measures] == [8, 8]


def test_a_second_value_in_the_same_set_up_is_cheaper():
    values, answers = two_alike()
    ways = {v.key: means(4.0, 0.05, "stack") for v in values}
    first, second = what_next(answers, values, ways, 1e9).measures
    assert (first.minutes, first.same_set_up_as) == (4.0, "")
    assert (second.minutes, second.same_set_up_as) == (2.0, first.key)


def test_a_set_up_that_is_needed_anyhow_draws_others_to_it():
    """Of two that would do, 8 minutes and 6: the 8 are 4 once the instrument is at that part."""
    values = [value(f"{k}.size", -1.0, 1.0) for k in "abc"]
    answers = [
        answer("one", 0.01, {"a.size": 1.0}, values),
        answer("two", 0.9, {"b.size": 1.0, "c.size": 1.0}, values),
    ]
    ways = {"a.size": means(3.0, 0.0, "p"), "b.size": means(8.0, 0.0, "p"), "c.size": means(6.0, 0.0, "q")}
    together = [m.key for m in what_next(answers, values, ways, 1e9).measures]
    assert together == ["a.size", "b.size", "c.size"]
    ways |= {"b.size": means(8.0, 0.0, "r")}
    apart = [m.key for m in what_next(answers, values, ways, 1e9).measures]
    assert apart == ["a.size", "c.size", "b.size"]


def test_how_closely_by_hand():
    """Margin 0.5 against 2.0 of doubt from two values of half-width 1: a quarter of each may stay."""
    values, answers = two_alike()
    assert answers[0].margin == pytest.approx(1.5)
    tight = [answer("deck", -129.5, {"rod.length": 1.0, "piston.height": 1.0}, values)]
    ways = {v.key: means(3.0, 0.05, v.key) for v in values}
    for measure in what_next(tight, values, ways, 1e9).measures:
        assert measure.closely == pytest.approx(0.25)
        assert not measure.too_fine
    # nominally outside by 0.5: the same on the other side
    out = [answer("deck", -130.5, {"rod.length": 1.0, "piston.height": 1.0}, values)]
    assert what_next(out, values, ways, 1e9).measures[0].closely == pytest.approx(0.25)
    coarse = {v.key: means(3.0, 0.5, v.key) for v in values}
    assert [a.name for a in what_next(tight, values, coarse, 1e9).measures[0].too_fine] == ["deck"]


def test_clay_where_one_clearance_leans_on_much():
    values = [value(f"block.section[{k}]", -1.0, 1.0) for k in range(6)]
    answers = [answer("rod to wall", 1.0, {v.key: 1.0 for v in values}, values)]
    ways = {v.key: means(10.0, 0.1, v.key) for v in values}
    (offer,) = what_next(answers, values, ways, 40.0).directly
    assert (offer.answer.name, len(offer.keys), offer.their_minutes) == ("rod to wall", 6, 60.0)
    assert not what_next(answers, values, ways, 70.0).directly
