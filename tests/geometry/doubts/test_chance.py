"""The probability of trouble, against closed forms, and its stated error against many seeds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import erf, exp, factorial, log, pi, sqrt

import numpy as np
import pytest
from scipy.stats import binomtest

from geometry.doubts.answers import Doubtful
from geometry.doubts.box import Coordinate
from geometry.doubts.chance import Exactly, chance, wilson
from tests.geometry.doubts.linear import answer, value


def irwin_hall(x: float, n: int) -> float:
    """P(sum of n uniforms on 0 to 1 <= x): Irwin 1927, Hall 1927."""
    terms = (
        (-1) ** k * factorial(n) // (factorial(k) * factorial(n - k)) * (x - k) ** n
        for k in range(int(x) + 1)
    )
    return sum(terms) / factorial(n)


def unit(n: int) -> list[Coordinate]:
    return [value(f"v{k}", 0.0, 1.0) for k in range(n)]


@pytest.mark.parametrize("at", [0.5, 0.9, 0.97])
def test_one_uniform_value(at):
    """Outside where the value is over ``at``: 1 - at."""
    values = unit(1)
    found = chance([answer("a", at, {"v0": -1.0}, values)], values, sets=40_000).in_all
    assert found.estimate == pytest.approx(1.0 - at, abs=3.5 * sqrt(at * (1 - at) / 40_000))
    assert found.low < 1.0 - at < found.high


@pytest.mark.parametrize("n,at", [(2, 1.6), (3, 2.2), (5, 3.5)])
def test_a_sum_of_uniform_values(n, at):
    values = unit(n)
    found = chance([answer("a", at, {v.key: -1.0 for v in values}, values)], values, sets=40_000).in_all
    expected = 1.0 - irwin_hall(at, n)
    assert found.estimate == pytest.approx(expected, abs=3.5 * sqrt(expected / 40_000))


def test_a_sum_of_normal_values():
    """Eight values with sigma a third of their doubt: sigma of the sum is root 8 times that, a little less for what
    is cut off at 3 sigma (variance of the truncated normal, 1 - 2 * 3 phi(3) / (2 Phi(3) - 1))."""
    values = [replace(value(f"v{k}", -3.0, 3.0), assumed=False) for k in range(8)]
    cut = 1.0 - 6.0 * exp(-4.5) / sqrt(2.0 * pi) / erf(3.0 / sqrt(2.0))
    sigma = sqrt(8.0 * cut)
    expected = 0.5 * (1.0 - erf(5.0 / sigma / sqrt(2.0)))
    found = chance([answer("a", 5.0, {v.key: 1.0 for v in values}, values)], values, sets=80_000)
    assert set(found.spreads.values()) == {"normal"}
    assert found.in_all.estimate == pytest.approx(expected, rel=0.08)  # 3.5 standard errors of 2 900 seen


def test_the_spread_is_uniform_for_what_nobody_measured_unless_chosen():
    values = [value("about", -1.0, 1.0), replace(value("measured", -1.0, 1.0), assumed=False)]
    answers = [answer("a", 0.5, {"about": 1.0}, values), answer("b", 0.5, {"measured": 1.0}, values)]
    found = {one.answer.name: one.odds.estimate for one in chance(answers, values, sets=40_000).each}
    assert found["a"] == pytest.approx(0.25, abs=0.01)
    assert found["b"] == pytest.approx(0.5 * (1 - erf(1.5 / sqrt(2.0))), abs=0.006)
    normal = chance(answers, values, "normal", sets=40_000)
    assert normal.each[0].odds.estimate == pytest.approx(0.0668, abs=0.006)


def test_in_all_counts_a_set_once():
    """Two answers that are outside together, and one apart: 0.3 and 0.2 of two independent values."""
    values = unit(2)
    answers = [
        answer("one", 0.7, {"v0": -1.0}, values),
        answer("the same", 0.7, {"v0": -1.0}, values),
        answer("apart", 0.8, {"v1": -1.0}, values),
    ]
    found = chance(answers, values, sets=40_000)
    assert found.in_all.estimate == pytest.approx(1.0 - 0.7 * 0.8, abs=0.01)
    assert [one.answer.name for one in found.each][-1] == "apart"


def test_a_lopsided_tolerance():
    """Nominal 10, +0 -3: uniform from 7 to 10, outside below 8, a third."""
    values = [value("v0", 7.0, 10.0, nominal=10.0)]
    found = chance([answer("a", -8.0, {"v0": 1.0}, values)], values, sets=40_000).in_all
    assert found.estimate == pytest.approx(1.0 / 3.0, abs=0.01)


def test_the_same_seed_draws_the_same():
    values = unit(3)
    answers = [answer("a", 2.0, {v.key: -1.0 for v in values}, values)]
    first, again, other = (chance(answers, values, seed=seed) for seed in (7, 7, 8))
    assert first == again
    assert first.in_all.estimate != other.in_all.estimate


def test_none_of_so_many_is_at_most_three_in_so_many():
    """Not impossible: open by a hair, and never seen."""
    values = unit(6)
    found = chance([answer("a", 5.999, {v.key: -1.0 for v in values}, values)], values, sets=10_000).in_all
    assert (found.estimate, found.low, found.high) == (0.0, 0.0, pytest.approx(3.0 / 10_000))


def test_what_is_settled_is_certain():
    values = unit(1)
    within, outside = answer("w", 1.5, {"v0": -1.0}, values), answer("o", -0.5, {"v0": -1.0}, values)
    found = {one.answer.name: one.odds for one in chance([within, outside], values).each}
    assert (found["w"].estimate, found["w"].high) == (0.0, 0.0)
    assert (found["o"].estimate, found["o"].low) == (1.0, 1.0)
    assert chance([within], values).in_all.high == 0.0
    assert chance([within, outside], values).in_all.low == 1.0


def test_what_is_only_worth_a_second_look_is_no_trouble():
    values = unit(2)
    stop = answer("stop", 0.9, {"v0": -1.0}, values)
    look = replace(answer("look", 0.5, {"v1": -1.0}, values), severity="look")
    found = chance([stop, look], values, sets=20_000)
    assert found.in_all.estimate == pytest.approx(0.1, abs=0.01)
    assert {one.answer.name: round(one.odds.estimate, 1) for one in found.each} == {"look": 0.5, "stop": 0.1}


def test_the_interval_is_wilsons():
    for seen, count in ((3, 10_000), (137, 1000), (999, 1000)):
        theirs = binomtest(seen, count).proportion_ci(method="wilson")
        assert wilson(seen / count, count) == pytest.approx((theirs.low, theirs.high), abs=1e-6)


def test_the_stated_error_holds_over_many_seeds():
    """95 in 100 of the intervals hold the true share; of 400, at least 92 in 100 (4 sigma below would be 90.6)."""
    values = unit(2)
    expected = 1.0 - irwin_hall(1.7, 2)
    answers = [answer("a", 1.7, {v.key: -1.0 for v in values}, values)]
    found = [chance(answers, values, sets=1000, seed=seed).in_all for seed in range(400)]
    assert np.mean([one.low <= expected <= one.high for one in found]) == pytest.approx(0.95, abs=0.03)


class Bent:
    """``at - x - bend x y`` for x and y on 0 to 1: what the sum says of it leaves out what both do together."""

    def __init__(self, at: float, bend: float) -> None:
        self.at, self.bend = at, bend
        self.values = [value("x", 0.0, 1.0, nominal=0.0), value("y", 0.0, 1.0, nominal=0.0)]
        plain = answer("bent", at, {"x": -1.0}, self.values)
        low = at - 1.0 - bend
        self.answers = [replace(plain, margin_lowest=low, lowest=low)]
        self.asked = 0

    def exact(self, point: Mapping[str, float], wanted: Sequence[Doubtful]) -> list[float]:
        self.asked += 1
        return [self.at - point["x"] - self.bend * point["x"] * point["y"] for _ in wanted]

    @property
    def expected(self) -> float:
        """P(x (1 + bend y) > at): the integral over y of 1 - at / (1 + bend y), for at below 1."""
        return 1.0 - self.at * log(1.0 + self.bend) / self.bend


def test_the_tail_is_put_right_by_what_is_exact():
    toy = Bent(0.95, 0.2)
    sums = chance(toy.answers, toy.values, sets=4000).in_all
    right = chance(toy.answers, toy.values, sets=4000, exactly=Exactly(toy.exact, 10_000)).in_all
    assert sums.estimate == pytest.approx(0.05, abs=0.015)  # the sum knows nothing of y
    assert sums.low < toy.expected < sums.high  # and says that it does not
    assert right.estimate == pytest.approx(toy.expected, abs=0.015)
    assert right.high - right.low < 0.025
    assert right.exact == toy.asked == pytest.approx(right.doubtful * 4000)


def test_a_part_of_the_tail_is_enough_and_unbiased():
    """Sixty exact evaluations of about 500 that the sum cannot decide: right on average, and within its error."""
    toy = Bent(0.95, 0.2)
    found = [
        chance(toy.answers, toy.values, sets=2000, seed=seed, exactly=Exactly(toy.exact, 60)).in_all
        for seed in range(300)
    ]
    assert toy.asked == 300 * 60
    estimates = np.array([one.estimate for one in found])
    assert estimates.mean() == pytest.approx(toy.expected, abs=4.0 * estimates.std() / sqrt(300))
    assert np.mean([one.low <= toy.expected <= one.high for one in found]) >= 0.91


def test_only_what_is_near_its_limit_is_asked():
    toy = Bent(0.95, 0.2)
    far = answer("far", 9.0, {"x": -1.0}, toy.values)
    asked: list[str] = []

    def exact(point, wanted):
        asked.extend(one.name for one in wanted)
        assert abs(0.95 - point["x"]) <= 0.2 * point["x"] + 1e-12
        return toy.exact(point, wanted)

    chance([*toy.answers, far], toy.values, sets=2000, exactly=Exactly(exact, 20))
    assert asked == ["bent"] * 20


def test_dear_answers_and_cheap_ones_are_put_right_apart():
    """x (1 + y / 5) and z (1 + y / 5), the second dear: each right by its own share, and both together."""
    values = [value(key, 0.0, 1.0, nominal=0.0) for key in "xyz"]

    def bent(key: str) -> Doubtful:
        return replace(answer(key, 0.95, {key: -1.0}, values), margin_lowest=-0.25, lowest=-0.25)

    asked: list[tuple[str, ...]] = []

    def exact(point, wanted):
        asked.append(tuple(one.name for one in wanted))
        return [0.95 - point[one.name] * (1.0 + 0.2 * point["y"]) for one in wanted]

    found = [
        chance(
            [bent("x"), bent("z")], values, sets=1000, seed=seed,
            exactly=Exactly(exact, 10_000, 40, lambda one: one.name == "z"),
        )
        for seed in range(60)
    ]  # fmt: skip
    assert sum("z" in names for names in asked) == 60 * 40
    one = Bent(0.95, 0.2).expected
    # given y both are independent: P(any) = 1 - integral of (0.95 / (1 + y / 5))^2 = 1 - 0.95^2 / 1.2
    either = 1.0 - 0.95**2 / 1.2
    for name in "xz":
        seen = np.array([c.odds.estimate for f in found for c in f.each if c.answer.name == name])
        assert seen.mean() == pytest.approx(one, abs=4.0 * seen.std() / sqrt(60))
    in_all = np.array([f.in_all.estimate for f in found])
    assert in_all.mean() == pytest.approx(either, abs=4.0 * in_all.std() / sqrt(60))
    assert np.mean([f.in_all.low <= either <= f.in_all.high for f in found]) >= 0.87


def test_every_one_of_so_many_is_at_least_all_but_three_in_so_many():
    values = unit(6)
    found = chance([answer("a", -5.999, {v.key: 1.0 for v in values}, values)], values, sets=10_000).in_all
    assert (found.estimate, found.low, found.high) == (1.0, pytest.approx(1.0 - 3e-4), 1.0)


def test_what_cannot_be_put_together_is_trouble():
    toy = Bent(0.95, 0.2)
    found = chance(
        toy.answers, toy.values, sets=4000, exactly=Exactly(lambda point, wanted: [-np.inf], 10_000)
    ).in_all
    # all that the sum cannot decide: 0.95 - x within 0.2 x of the limit
    assert found.estimate == pytest.approx(1.0 - 0.95 / 1.2, abs=0.03)
