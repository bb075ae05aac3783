"""Small lengths beside things of the house: true to 15 per cent, or nothing is said."""

import re

import pytest

from viewer.page.everyday import everyday

# office paper of 80 g/m2 is about 0.1 mm thick; ISO/IEC 7810: a bank card is 0.76 mm
THING_MM = {"sheet": 0.1, "card": 0.76}
COUNT = {
    "a tenth": 0.1,
    "a sixth": 1 / 6,
    "a quarter": 0.25,
    "a third": 1 / 3,
    "half": 0.5,
    "two": 2,
    "three": 3,
    "four": 4,
}
COUNT |= {"five": 5, "six": 6, "one": 1}


def said_mm(words):
    thing = THING_MM["card" if "card" in words else "sheet"]
    between = re.match(r"between (\w+) and (\w+)", words)
    if between:
        return tuple(COUNT[word] * thing for word in between.groups())
    about = next((count for word, count in COUNT.items() if f"about {word}" in words), 1)
    return about * thing / 1.1501, about * thing * 1.1501


@pytest.mark.parametrize(
    "length_mm", [0.0105, 0.017, 0.024, 0.035, 0.1, 0.127, 0.21, 0.254, 0.38, 0.62, 0.76, 1.1, 1.5, 3.8]
)
def test_what_is_said_of_a_length_is_so(length_mm):
    low, high = said_mm(everyday(length_mm))
    assert low <= length_mm <= high
    assert everyday(-length_mm) == everyday(length_mm)


def test_a_hair_is_no_thicker_than_a_hair():
    assert "hair" in everyday(0.06)
    assert "hair" not in everyday(0.045)
    assert "hair" not in everyday(0.09)


def test_nothing_is_said_of_what_has_no_like():
    assert everyday(0.0) == ""
    assert everyday(30.0) == ""
