"""Which way something shakes, in words."""

import cmath

import pytest

from geometry.balance.phasors import Phasor
from geometry.balance.words import line_words, turns_against


def swinging(lean_deg, sense=1):
    """A force that swings along a line: half of it turns each way, and both meet on it at crank angle zero."""
    half = cmath.rect(0.5, cmath.pi * lean_deg / 180)  # up is real, the engine's left imaginary
    return Phasor(1, sense, half, half)


@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize(
    "lean, words",
    [
        (0, "up and down"), (5, "up and down"), (175, "up and down"), (90, "from side to side"),
        (30, "along a line that leans 30° to the engine's left"),
        (-30, "along a line that leans 30° to the engine's right"),
        (210, "along a line that leans 30° to the engine's left"),
    ],
)  # fmt: skip
def test_where_a_line_lies(lean, words, sense):
    assert line_words(swinging(lean, sense)) == words


def test_the_larger_half_gives_the_way_round():
    assert turns_against(Phasor(1, 1, 0.2 + 0j, 0.5j))
    assert not turns_against(Phasor(1, -1, 0.5 + 0j, 0.2j))
