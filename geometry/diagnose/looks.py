"""Where to look: each look with what it takes, so that the cheapest one that tells most can be named."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Look:
    """One thing to look at or to measure.

    Attributes
    ----------
    what : what to do, in short; ``{n}`` stands for the bore or the main bearing
    minutes : what it costs on an engine stand, pan off, heads off; estimates, no source
    at : what to look at
    """

    what: str
    minutes: float
    at: str = ""

    def short(self, number: int) -> str:
        """What to do at one place."""
        return self.what.format(n=number)

    def words(self, number: int) -> str:
        """What to do at one place, and what to look at there, as a builder reads it."""
        text = f"{self.short(number)}: {self.at}" if self.at else self.short(number)
        return text[0].upper() + text[1:]


LOOKS: Final[dict[str, Look]] = {
    "bolt_heads": Look("try a feeler blade under both bolt heads of bore {n}", 2.0),
    "wrench": Look("put the torque wrench on both nuts or bolts of rod {n}", 2.0),
    "crown": Look("look at the crown of bore {n}", 2.0, "front mark, pockets against the valves"),
    "side_play": Look(
        "try the side clearance of the rods on the crankpin of bore {n} with a feeler blade", 3.0
    ),
    "below": Look("look at rod {n} from below", 4.0, "numbers, chamfer, both tangs on one side"),
    "deck": Look("measure crown to deck in bore {n} at its top dead centre", 6.0),
    "main_marks": Look("look at main cap {n}", 2.0, "its number and its arrow"),
    "rod_cap_off": Look(
        "take cap {n} off and look at both shells", 12.0, "tangs in their notches, holes, bright spots"
    ),
    "pin_scratch": Look("take cap {n} off and draw a fingernail over the crankpin", 12.0),
    "rings": Look("draw piston {n} and look at its rings", 40.0, "marks up, order, gaps, expander, rails"),
    "ring_gap": Look("draw piston {n} and measure the ring gaps in the bore", 50.0),
}
"""Every look, by key. All ring mistakes of one bore are seen in one look once the piston is out."""
