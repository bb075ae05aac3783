"""Where to look: each look with what it takes, so that the cheapest one that tells most can be named."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Look:
    """One thing to look at or to measure.

    Attributes
    ----------
    words : what to do; ``{n}`` stands for the bore or the main bearing
    minutes : what it costs on an engine stand, pan off, heads off; estimates, no source
    """

    words: str
    minutes: float


LOOKS: Final[dict[str, Look]] = {
    "bolt_heads": Look("try a feeler blade under both bolt heads of bore {n}", 2.0),
    "wrench": Look("put the torque wrench on both nuts or bolts of rod {n}", 2.0),
    "crown": Look("look at the crown of bore {n}: front mark, pockets against the valves", 2.0),
    "side_play": Look(
        "try the side clearance of the rods on the crankpin of bore {n} with a feeler blade", 3.0
    ),
    "below": Look("look at rod {n} from below: numbers, chamfer, both tangs on one side", 4.0),
    "deck": Look("measure crown to deck in bore {n} at its top dead centre", 6.0),
    "main_marks": Look("look at main cap {n}: its number and its arrow", 2.0),
    "rod_cap_off": Look(
        "take cap {n} off and look at both shells: tangs in their notches, holes, bright spots", 12.0
    ),
    "pin_scratch": Look("take cap {n} off and draw a fingernail over the crankpin", 12.0),
    "rings": Look("draw piston {n} and look at its rings: marks up, order, gaps, expander, rails", 40.0),
    "ring_gap": Look("draw piston {n} and measure the ring gaps in the bore", 50.0),
}
"""Every look, by key. All ring mistakes of one bore are seen in one look once the piston is out."""
