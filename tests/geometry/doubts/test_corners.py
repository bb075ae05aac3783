"""The least and the most of numbers over a box of doubt, against formulas that can be worked by hand."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product
from typing import Any

import pytest

from geometry.doubts.box import Coordinate, DoubtBox
from geometry.doubts.corners import Read, Reading, answers_in_doubt, merged
from geometry.errors import GeometryError

SIDES = (
    Coordinate("a", 10.0, 9.0, 12.0, True),
    Coordinate("b", 3.0, 2.5, 3.5, False),
    Coordinate("c", 0.0, -1.0, 1.0, True),
)


def _box(*sides: Coordinate) -> DoubtBox:
    none: Any = None
    return DoubtBox(none, sides or SIDES)


def _reads(formula: Any, least: float | None = None, most: float | None = None) -> Read:
    def read(point: Mapping[str, float]) -> dict[Any, Reading]:
        a, b, c = (point.get(side.key, side.nominal) for side in SIDES)
        return {("s", "n", None): Reading(formula(a, b, c), least, most, "length")}

    return read


def test_a_sum_is_least_at_the_sum_of_the_reaches() -> None:
    """2 a - 4 b: 8 at nominal; 2 x 9 - 4 x 3.5 = 4 at the least, 2 x 12 - 4 x 2.5 = 14 at the most."""
    (found,) = answers_in_doubt(_box(), _reads(lambda a, b, c: 2 * a - 4 * b, least=5.0))
    assert (found.nominal, found.lowest, found.highest) == pytest.approx((8.0, 4.0, 14.0))
    assert (found.margin, found.margin_lowest, found.margin_highest) == pytest.approx((3.0, -1.0, 9.0))
    assert found.settled == "open"
    assert [leaning.key for leaning in found.leanings] == ["a", "b"]
    assert [leaning.slope for leaning in found.leanings] == pytest.approx([2.0, -4.0])
    assert (found.leanings[0].below, found.leanings[0].above) == pytest.approx((-2.0, 4.0))
    assert (found.assumed, found.wider_mm, found.told) == (1, 0.0, "")


@pytest.mark.parametrize(
    "formula",
    [
        lambda a, b, c: a * b * (2 + c),
        lambda a, b, c: a / b - c * c * c,
        # what c does hangs on the sign of the rest: at nominal values it does nothing at all
        lambda a, b, c: a + c * (b - 3.0) * 4,
        lambda a, b, c: max(a, 10.5) * b + c,
    ],
)
def test_the_interval_is_that_of_all_corners(formula: Any) -> None:
    """Each formula is monotone in each value, so its ends lie at corners: all eight of them are asked here."""
    (found,) = answers_in_doubt(_box(), _reads(formula))
    every = [formula(*point) for point in product((9.0, 12.0), (2.5, 3.5), (-1.0, 1.0))]
    # within what is told, where the search from corner to corner ended too early
    assert found.lowest - found.wider_mm <= min(every) + 1e-9
    assert found.highest + found.wider_mm >= max(every) - 1e-9
    assert found.lowest >= min(every) - 1e-9
    assert found.highest <= max(every) + 1e-9


def test_both_limits_count_within_the_interval() -> None:
    """10 is at nominal above 9.5; at 12 and at 9 it is outside 9.4 .. 9.5, yet in between it is inside."""
    (found,) = answers_in_doubt(_box(SIDES[0]), _reads(lambda a, b, c: a, least=9.4, most=9.5))
    assert found.settled == "open"
    assert found.margin_highest == pytest.approx(0.05)
    assert found.margin_lowest == pytest.approx(-2.5)


def test_each_limit_is_told_apart() -> None:
    """2 a - 4 b between 5 and 12: 3 over and 4 under at nominal; 4 to 14 in all, so -1 to 9 over and -2 to 8 under."""
    (found,) = answers_in_doubt(_box(), _reads(lambda a, b, c: 2 * a - 4 * b, least=5.0, most=12.0))
    over, under = found.sides
    assert (over.margin, over.lowest, over.highest) == pytest.approx((3.0, -1.0, 9.0))
    assert (under.margin, under.lowest, under.highest) == pytest.approx((4.0, -2.0, 8.0))
    assert [leaning.slope for leaning in under.leanings] == pytest.approx([-2.0, 4.0])


def test_outside_whatever_the_doubt() -> None:
    """9 to 12 against at most 8."""
    (found,) = answers_in_doubt(_box(SIDES[0]), _reads(lambda a, b, c: a, most=8.0))
    assert found.settled == "outside"
    assert (found.margin_lowest, found.margin_highest) == pytest.approx((-4.0, -1.0))
    # the margin falls as the value rises
    assert found.margin_leanings[0].slope == pytest.approx(-1.0)


@pytest.mark.parametrize("bad", [GeometryError("short", "rod", "too short"), float("nan")])
def test_what_cannot_be_put_together_is_open_and_says_so(bad: Any) -> None:
    """Within its limits wherever it can be worked out, and yet not settled."""

    def formula(a: float, b: float, c: float) -> float:
        if a > 11:
            if isinstance(bad, GeometryError):
                raise bad
            return float(bad)
        return a

    (found,) = answers_in_doubt(_box(), _reads(formula, least=1.0))
    assert found.settled == "open"
    assert "a = 12" in found.told
    assert (found.lowest, found.highest) == pytest.approx((9.0, 10.0))


def test_corners_that_do_not_clash_are_one() -> None:
    """Two of three want nothing that another wants otherwise."""
    found = merged([{"a": 9.0}, {"b": 2.5}, {"a": 12.0}])
    assert sorted(found, key=len) == [{"a": 12.0}, {"a": 9.0, "b": 2.5}]


def test_few_evaluations() -> None:
    """Nominal, six single changes, two with all values moved, and one corner each for least and most.

    The numbers lean on different values, so they share corners; one of them is among those with all moved.
    """
    asked = []

    def read(point: Mapping[str, float]) -> dict[Any, Reading]:
        asked.append(dict(point))
        return {
            ("s", side.key, None): Reading(point.get(side.key, side.nominal), None, None, "length")
            for side in SIDES
        }

    answers_in_doubt(_box(), read)
    assert len(asked) <= 1 + 6 + 2 + 2
