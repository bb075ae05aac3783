"""A rod that is longer than the design's."""

from geometry.mistakes.pistons.height_words import stands_high

MISTAKE = stands_high(
    "wrong_rod_length",
    "rod of a wrong length",
    "The rod is longer between centres than the design's.",
    change="rod_length_change_mm",
    does="Rod {bore} is {by} longer between centres than the others.",
    remedy="A rod of the right length; lay all rods of a set on two mandrels before fitting them.",
)
