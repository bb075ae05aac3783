"""Worst-case and root-sum-square stacks, worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from geometry.doubts.stacks import stacks
from tests.geometry.doubts.linear import answer, value


def test_tolerances_of_3_4_and_12_stack_to_19_and_13():
    """3, 4, 12: 19 at the worst; the root of 9 + 16 + 144 is 13."""
    values = [value("a", -3.0, 3.0), value("b", -4.0, 4.0), value("c", -12.0, 12.0)]
    answers = [answer("deck", 15.0, {"a": 1.0, "b": -1.0, "c": 1.0}, values)]
    (found,) = stacks(answers, values, dict.fromkeys("abc", "normal"))
    assert (found.worst_low, found.worst_high) == (-4.0, 34.0)
    assert (found.likely_low, found.likely_high) == pytest.approx((2.0, 28.0), abs=1e-4)
    assert [key for key, _ in found.shares] == ["c", "b", "a"]
    assert [share for _, share in found.shares] == pytest.approx([144 / 169, 16 / 169, 9 / 169], abs=1e-4)


def test_uniform_values_count_root_3_times_as_much_and_never_beyond_the_worst():
    """Twelve of 1: 12 at the worst, the root of 36 is 6. Two of 1: the root of 6 is 2.45, more than the 2 there are."""
    many = [value(f"v{k}", -1.0, 1.0) for k in range(12)]
    (found,) = stacks(
        [answer("x", 0.0, {v.key: 1.0 for v in many}, many)], many, {v.key: "uniform" for v in many}
    )
    assert (found.likely_low, found.likely_high) == pytest.approx((-6.0, 6.0), abs=1e-4)
    (found,) = stacks(
        [answer("x", 0.0, {v.key: 1.0 for v in many[:2]}, many)], many, {v.key: "uniform" for v in many}
    )
    assert (found.likely_low, found.likely_high) == pytest.approx((-2.0, 2.0))


def test_a_lopsided_tolerance_moves_the_middle():
    """10 +0 -3 and a margin of 10 - 6: 1 to 4 at the worst, about 2.5; likely 2.5 -+ 1.5."""
    values = [value("a", 7.0, 10.0, nominal=10.0), replace(value("b", -2.0, 2.0), assumed=False)]
    (found,) = stacks(
        [answer("x", -6.0, {"a": 1.0, "b": 1.0}, values)], values, dict.fromkeys("ab", "normal")
    )
    assert (found.nominal, found.worst_low, found.worst_high) == (4.0, -1.0, 6.0)
    assert (found.likely_low, found.likely_high) == pytest.approx((0.0, 5.0), abs=1e-4)


def test_a_value_that_harms_either_way_moves_the_middle_by_half_its_reach():
    """A margin of 5 - |x|, x anywhere from -2 to 2: mean 4, variance 4/3 - 1, so 3 sigma is the root of 3."""
    values = [value("x", -2.0, 2.0)]
    plain = answer("v", 5.0, {"x": 1.0}, values)
    bent = replace(plain.margin_leanings[0], below=-2.0, above=-2.0)
    (found,) = stacks(
        [replace(plain, margin_leanings=(bent,), margin_lowest=3.0, margin_highest=5.0)],
        values,
        {"x": "uniform"},
    )
    assert (found.worst_low, found.worst_high) == (3.0, 5.0)
    # the root of 3 below 4 is less than the worst, so that the worst stands
    assert (found.likely_low, found.likely_high) == pytest.approx((3.0, 5.0))
    wide = replace(plain, margin_leanings=(bent,), margin_lowest=-9.0, margin_highest=9.0)
    (found,) = stacks([wide], values, {"x": "uniform"})
    assert (found.likely_low, found.likely_high) == pytest.approx((4.0 - 3.0**0.5, 4.0 + 3.0**0.5), abs=1e-5)
