"""What is wrong at a place, for who has never built an engine: by kind, group and how near it is, never by words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from geometry.checks.trouble_spot import TroubleSpot

NEARNESS: Final = {
    "overlaps": "two parts run into each other as the engine turns.",
    "touches": "two parts touch as the engine turns.",
    "close": "two parts come nearer to each other than is wanted.",
    "clear": "two parts keep their distance.",
}
GROUPS: Final = {
    "rod.way": "the connecting rod is in the wrong way round.",
    "rod.number": "the connecting rod belongs to another cylinder.",
    "rod.fillet": "the edge of the connecting rod rides on the rounded corner of the crankshaft, where it breaks "
    "most easily.",
    "rod.side": "the connecting rod has too little or too much room sideways.",
    "rod.passage": "the lower end of the connecting rod does not go through the cylinder with the room that is wanted.",
    "shell.fillet": "the edge of a bearing shell rides on the rounded corner of the crankshaft.",
    "shell.seat": "the two halves of a bearing are in each other's place, so that the oil may not reach it.",
    "shell.tang": "a bearing shell does not sit in its place.",
    "cap.way": "the cap that closes the connecting rod is on back to front.",
    "cap.number": "the cap that closes the connecting rod belongs to another one.",
    "bearing.clearance": "the gap for the oil between connecting rod and crankshaft is not as it should be.",
    "piston.way": "the piston is in back to front.",
    "piston.number": "the piston belongs to another cylinder.",
    "piston.head": "the piston comes too near to the head at its highest point.",
    "piston.skirt": "the piston has too little or too much play in its cylinder.",
    "piston.pin": "the pin on which the piston swings may touch the cylinder.",
    "bore.notch": "too little metal is left where the cylinder was cut away to make room.",
    "bolt.torque": "the bolts that hold the connecting rod together are not tightened as they should be.",
    "bolt.opens": "at speed the bolts may not hold the connecting rod closed.",
    "bolt.major.stand": "a bolt of the connecting rod does not sit down on its seat, so it does not hold.",
    "bolt.minor.stand": "a bolt of the connecting rod does not sit down on its seat, so it does not hold.",
    "ring.groove": "two piston rings are in each other's place.",
    "ring.near": "the openings of two piston rings stand nearly over each other, so that gas can slip through.",
    "ring.thrust_line": "the opening of a piston ring stands where the piston presses on the cylinder.",
    "main.way": "a main cap, which holds the crankshaft, is on back to front.",
    "main.number": "a main cap, which holds the crankshaft, belongs to another place.",
}
RINGS: Final = {
    "gap": "the opening of a piston ring is not as wide as it should be.",
    "hot": "the ends of a piston ring meet when it is hot; then it jams and breaks.",
    "side": "a piston ring has too little or too much room in its groove.",
    "back": "a piston ring has too little room behind it.",
    "fitted": "a part of a piston ring is missing.",
    "way": "a piston ring is on upside down.",
    "ends": "the ends of a spring in the oil ring lie over each other.",
    "top": "a piston ring comes too near to the upper end of its cylinder.",
    "bottom": "a piston ring comes too near to the lower end of its cylinder.",
    "notch": "a piston ring comes too near to where the cylinder was cut away.",
}
KINDS: Final = {
    "ring": "something is not as it should be with a piston ring.",
    "rod": "something is not as it should be with the connecting rod.",
    "bolt": "something is not as it should be with a bolt.",
    "bearing": "something is not as it should be with a bearing.",
    "piston": "something is not as it should be with the piston.",
    "crank": "something is not as it should be with the crankshaft.",
    "reading": "something was measured that is not as it should be.",
}


def plain_words(spot: TroubleSpot) -> str:
    """One plain sentence, without its number."""
    if spot.kind == "clearance":
        return NEARNESS[spot.nearby]
    return plain_group(spot.group) or KINDS[spot.kind]


def plain_group(group: str) -> str:
    """One plain sentence for what is wrong with which part, as ``TroubleSpot.group``; empty where there is none."""
    names = group.split(".")
    for count in range(len(names), 0, -1):
        if ".".join(names[:count]) in GROUPS:
            return GROUPS[".".join(names[:count])]
    return RINGS.get(group.rpartition(".")[2], "") if group.startswith("ring.") else ""
