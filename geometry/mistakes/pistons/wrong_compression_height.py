"""A piston of a greater compression height than the design's."""

from geometry.mistakes.pistons.height_words import stands_high

MISTAKE = stands_high(
    "wrong_compression_height",
    "piston of a wrong compression height",
    "The piston is higher from its pin to its crown than the design's.",
    change="compression_height_change_mm",
    does="The piston of bore {bore} is {by} higher from pin to crown than the others.",
    remedy="A piston of the right compression height; compare all of one set side by side on their pins first.",
)
