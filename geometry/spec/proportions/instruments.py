"""What measuring costs, by instrument, and how closely each leaves a value known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from geometry.spec.proportions.row import Instrument

SOURCE: Final = "judgement, no source: one value, the part clean and on the bench"
SAME_SET_UP: Final = 0.5
"""Share of the minutes for one more value of the same part with the same instrument in hand; judgement, no source."""


@dataclass(frozen=True, slots=True)
class Tool:
    """One instrument on the bench.

    Attributes
    ----------
    minutes : for one value, with the part cleaned and laid ready
    leaves : how far out a value may still be when it was measured with it, either way, in the house unit of what it
        measures (mm, deg, cc, kg, N*m); zero where it reads a standard size or the maker's word
    words : what it is called
    """

    minutes: float
    leaves: float
    words: str


TOOLS: Final[Mapping[Instrument, Tool]] = {
    "micrometer": Tool(3.0, 0.01, "micrometer"),
    "bore_gauge": Tool(8.0, 0.01, "bore gauge"),
    "caliper": Tool(3.0, 0.05, "caliper"),
    "depth_gauge": Tool(5.0, 0.02, "depth gauge"),
    "height_gauge": Tool(15.0, 0.05, "height gauge on a plate"),
    "rule": Tool(2.0, 0.5, "rule"),
    "feeler": Tool(3.0, 0.025, "feeler blades"),
    "burette": Tool(20.0, 0.2, "burette and plate"),
    "protractor": Tool(8.0, 0.5, "protractor"),
    "radius_gauge": Tool(3.0, 0.25, "radius gauges"),
    "thread_gauge": Tool(2.0, 0.0, "thread gauge"),
    "scales": Tool(3.0, 0.001, "scales"),
    "torque_wrench": Tool(5.0, 1.0, "torque wrench"),
    "sheet": Tool(10.0, 0.0, "maker's sheet"),
}
"""Minutes are judgement without a source, meant to be edited by ``[measuring]`` in the engine file. What an instrument
leaves is the smallest division that ordinary workshop instruments have, which is common practice, no source."""
CLAY: Final = Tool(40.0, 0.25, "clay, or strips of solder, cut and measured where it is thinnest")
"""A clearance measured itself, in a trial assembly turned by hand: one cover on and off again, judgement, no source."""
