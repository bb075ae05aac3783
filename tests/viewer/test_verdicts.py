"""What a picture says beside a verdict."""

import numpy as np
import pytest

from viewer.scene import Callout
from viewer.verdicts import as_assumed, source_beside

ASSUMED = "3 of 90 values are assumed"


def test_a_distance_over_assumed_values_is_clear_as_assumed():
    callout = Callout(np.zeros(3), np.zeros(3), "rod to block: 2.000 mm", "clear", ("", ""), 2.0, 0.0)
    assert callout.words("") == "rod to block: 2.000 mm, clear"
    assert callout.words(ASSUMED) == "rod to block: 2.000 mm, clear, as assumed"
    assert as_assumed("", ASSUMED) == ""


@pytest.mark.parametrize(
    "source, limit_mm, system, said",
    [
        ("0.050 in, common practice, no source", 1.27, "in", "common practice, no source"),
        ("0.080 in along the bore, articles", 2.032, "in", "along the bore, articles"),
        ("0.050 in, common practice, no source", 1.27, "mm", "0.050 in, common practice, no source"),
        ("0.050 in, common practice, no source", 1.0, "in", "0.050 in, common practice, no source"),
        ("0.0040 in per inch of bore, a sheet", 0.4, "in", "0.0040 in per inch of bore, a sheet"),
        ("your engine file", 1.27, "in", "your engine file"),
    ],
)
def test_a_limit_is_not_told_twice(source, limit_mm, system, said):
    assert source_beside(source, limit_mm, system) == said
