"""What it means to be outside a limit, and what to do, by limit and side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from geometry.checks.section import Severity


@dataclass(frozen=True, slots=True)
class Cure:
    """How bad it is, what it does, and what to do."""

    severity: Severity
    text: str
    remedy: str


_GAP: Final = {
    "below": Cure(
        "stop", "too tight: the ends meet when the ring is hot and it seizes to the bore", "file the ends"
    ),
    "above": Cure("look", "too wide: gas and oil pass", "a new ring, or one made to be filed to fit"),
}
_OIL: Final = {
    "below": Cure("stop", "too tight: no room for the oil film, the bearing grips when hot",
                  "undersize check of journal and housing, dirt behind a shell, or shells of the next thinner size"),
    "above": Cure("look", "too loose: oil pressure falls and the bearing knocks",
                  "shells of the next thicker size, or grind the crank and fit undersize shells"),
}  # fmt: skip

CURES: Final[dict[str, dict[str, Cure]]] = {
    "bore_size": {
        "below": Cure("look", "smaller than designed", "measure again at the same height; hone if it is so"),
        "above": Cure("look", "larger than designed: worn, or bored for another piston",
                      "measure piston to wall; bore to the next oversize where it is too much"),
    },
    "piston_to_wall": {
        "below": Cure("stop", "too tight: the piston seizes when hot", "hone the bore to the piston maker's clearance"),
        "above": Cure("look", "too loose: the piston slaps and rocks the rings", "a larger piston"),
    },
    "top_gap": _GAP,
    "second_gap": _GAP,
    "rail_gap": _GAP,
    "ring_side": {
        "below": Cure("stop", "too tight: the ring cannot follow the wall and sticks",
                      "look for a burr or carbon in the groove; else a ring of the right height"),
        "above": Cure("look", "too loose: the ring flutters and pumps oil", "a new piston, or a spacer above the ring"),
    },
    "bearing": _OIL,
    "main_bearing": _OIL,
    "end_play": {
        "below": Cure("stop", "too tight: the thrust faces run dry", "look for dirt or a thrust bearing out of line"),
        "above": Cure("look", "too loose: rods and clutch are moved about", "new thrust bearing"),
    },
    "rod_side": {
        "below": Cure("stop", "no side play: the rods rub on cheek and neighbour",
                      "first see whether a rod is turned round and rides on the fillet; then measure rod and pin"),
        "above": Cure("look", "too much: oil is thrown on the walls", "measure rod and pin width"),
    },
    "deck": {
        "below": Cure("stop", "too high: the piston comes too close to the head when hot and fast",
                      "measure compression height and rod length; else a thicker gasket"),
        "above": Cure("look", "too low: less compression, and the squish is idle",
                      "measure compression height and rod length before the block is decked"),
    },
    "piston_height": {
        "below": Cure("stop", "a piston of another compression height: it stops short of the deck", "the right piston"),
        "above": Cure("stop", "a piston of another compression height: it comes too near the head", "the right piston"),
    },
    "rod_length": {
        "below": Cure("stop", "a rod of another length, or bent: the piston stops short of the deck", "the right rod"),
        "above": Cure("stop", "a rod of another length: the piston comes too near the head", "the right rod"),
    },
    "bolt_stretch": {
        "below": Cure("stop", "not stretched enough: the joint opens at speed", "tighten to the maker's stretch"),
        "above": Cure("stop", "stretched too far: the bolt has yielded", "a new bolt"),
    },
    "bolt_stand": {
        "above": Cure("stop", "not seated: it stands out and may strike the block, and the joint is not clamped",
                      "take it out, look for dirt, a burr or a thread that bottoms, and tighten again"),
    },
    "shell_proud": {
        "above": Cure("stop", "the shell stands out at the joint: its tang is not home, or dirt lies behind it",
                      "take the cap off and look at tang, notch and back of the shell"),
    },
    "bolt_torque": {
        "below": Cure("stop", "not tight: the joint opens at speed", "tighten to the bolt maker's figure"),
        "above": Cure("stop", "too tight: the bolt may have yielded", "a new bolt, tightened to its maker's figure"),
    },
    "main_bolt_torque": {
        "below": Cure("stop", "not tight: the cap moves", "tighten to the maker's figure"),
        "above": Cure("stop", "too tight: the bolt may have yielded", "a new bolt, tightened to its maker's figure"),
    },
    "turning": {
        "below": Cure("note", "turns more easily than expected", "nothing, if nothing is missing"),
        "above": Cure("stop", "turns hard", "take out the last thing fitted and look which way round it went in"),
    },
}  # fmt: skip
