"""What a builder can change so that two places part: keys of the engine file, and which way each has to go.

Nothing here says that a change helps. Each is tried on the engine before it is named (``remedies``).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import IntEnum
from typing import Final, TypeAlias

from geometry.feature import Group
from geometry.spec.engine import Engine


class Effort(IntEnum):
    """How much a change asks of the builder; the least is tried and named first."""

    METAL_OFF = 1
    OTHER_PART = 2
    OTHER_CRANK = 3


Share: TypeAlias = tuple[str, float]
"""Key as in the engine file, and by how many mm it grows (negative: shrinks) to move a surface by 1 mm."""


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that can be changed.

    Attributes
    ----------
    words : what is done, as an order
    shares : the key that is told and kept to the shop's steps, then those that must go with it; what the engine file
        leaves out stays out
    most : how far a surface may be moved by it, as a share of the bore: beyond that it is another engine
    """

    words: str
    shares: tuple[Share, ...]
    effort: Effort = Effort.METAL_OFF
    most: float = 0.06


_LONGER_ROD: Final = Change(
    "longer rods, the pins as much higher in the pistons",
    (("rod.length", 1.0), ("piston.compression_height", -1.0)),
    Effort.OTHER_PART,
)
_THICKER_GASKET: Final = Change(
    "a thicker head gasket", (("gasket.thickness", 1.0),), Effort.OTHER_PART, 0.02
)
_SHORTER_STROKE: Final = Change(
    "a crank of shorter stroke, rods longer by half the difference",
    (("crank.stroke", -2.0), ("rod.length", 1.0)),
    Effort.OTHER_CRANK,
)

CHANGES: Final[dict[Group, tuple[Change, ...]]] = {
    Group.ROD: (
        Change("bolts with smaller heads", (("rod.bolt.head_diameter", -2.0),), Effort.OTHER_PART),
        Change("bolts with lower heads", (("rod.bolt.head_height", -1.0),), Effort.OTHER_PART),
        Change("smaller nuts", (("rod.bolt.nut_diameter", -2.0),), Effort.OTHER_PART),
        Change("shorter bolts", (("rod.bolt.length", -1.0),), Effort.OTHER_PART),
        Change("take metal off the bottoms of the rod caps", (("rod.cap.height", -1.0),)),
        Change("take metal off the sides of the rod caps' ribs", (("rod.cap.rib_width", -2.0),)),
        Change("take metal off around the big ends", (("rod.big_end.outside", -2.0),)),
        Change("take metal off around the small ends", (("rod.small_end.outside", -2.0),)),
        Change("face the small ends", (("rod.small_end.width", -2.0),)),
        Change("rods with narrower blades at the big end", (("rod.beam.width_big", -2.0),), Effort.OTHER_PART),
        Change("rods with narrower blades at the small end", (("rod.beam.width_small", -2.0),), Effort.OTHER_PART),
        Change("rods with thinner blades", (("rod.beam.thickness", -2.0),), Effort.OTHER_PART),
        Change("rods with the bolts closer together", (("rod.bolt.spacing", -2.0),), Effort.OTHER_PART),
        _LONGER_ROD,
        _SHORTER_STROKE,
    ),
    Group.PISTON: (
        Change("shorten the skirts", (("piston.skirt.bottom", -1.0),)),
        Change("take metal off around the pin bosses", (("piston.boss.outside", -2.0),)),
        Change("take metal off between the pin bosses", (("piston.boss.gap", 2.0),)),
        Change("shorter piston pins", (("piston.pin.length", -2.0),), Effort.OTHER_PART),
        Change("pistons of lower compression height", (("piston.compression_height", -1.0),), Effort.OTHER_PART),
        _LONGER_ROD,
    ),
    Group.CRANK: (
        Change("turn the cheeks down around the crankpins", (("crank.cheek.pin_radius", -1.0),)),
        Change("turn the cheeks down around the main journals", (("crank.cheek.main_radius", -1.0),)),
        Change("turn the counterweights down", (("crank.counterweight.radius", -1.0),)),
        Change(
            "face the cheeks beside the main journals",
            (("crank.main.width", 2.0), ("crank.cheek.thickness", -1.0)),
            most=0.02,
        ),
        _SHORTER_STROKE,
    ),
    Group.CAM: (
        Change("a camshaft ground on a smaller base circle", (("cam.base", -2.0),), Effort.OTHER_PART),
        Change("a camshaft of less lift", (("cam.lift", -1.0),), Effort.OTHER_PART),
        Change("turn the camshaft down between its lobes", (("cam.core", -2.0),)),
    ),
    Group.HEAD: (_THICKER_GASKET,),
    Group.VALVE: (_THICKER_GASKET,),
    Group.PAN: (
        Change("a deeper pan", (("pan.floor", -1.0),), Effort.OTHER_PART, 0.3),
        Change("a lower windage tray", (("pan.tray", -1.0),), Effort.OTHER_PART, 0.3),
    ),
    Group.BLOCK: (
        Change("cut a larger chamfer at the bottom of the bores", (("block.bore.chamfer", 1.0),)),
        Change("shorten the bores at the bottom", (("block.bore.length", -1.0),)),
        Change("face the main webs", (("block.web", -2.0),)),
        Change("face the main caps", (("block.main_cap.thickness", -2.0),)),
        Change("take metal off the sides of the main caps", (("block.main_cap.width", -2.0),)),
        Change("take metal off the bottoms of the main caps", (("block.main_cap.height", -1.0),)),
        Change("grind the pan rail back", (("block.pan_rail.inside", 1.0),)),
    ),
}  # fmt: skip
"""By the group of the place whose shape or path it alters."""


def changes_for(spec: Engine, groups: set[Group]) -> list[Change]:
    """What can be tried where places of these groups meet, the least effort first."""
    found = [change for group in Group if group in groups for change in CHANGES.get(group, ())]
    if Group.PISTON in groups:
        found += _pockets(spec)
    if Group.VALVE in groups:
        found += _valves(spec)
    return sorted(dict.fromkeys(found), key=lambda change: change.effort)


def _pockets(spec: Engine) -> Iterator[Change]:
    for number, pocket in enumerate(spec.piston.pockets, 1):
        key = f"piston.pockets[{number}]"
        yield Change(f"cut the {pocket.valve} valve's pockets deeper", ((f"{key}.depth", 1.0),))
        yield Change(f"cut the {pocket.valve} valve's pockets wider", ((f"{key}.diameter", 2.0),))


def _valves(spec: Engine) -> Iterator[Change]:
    for number, valve in enumerate(spec.head.valves, 1):
        key = f"head.valves[{number}]"
        yield Change(f"sink the {valve.valve} valves into the head", ((f"{key}.below_deck", -1.0),))
        words = f"smaller {valve.valve} valves"
        yield Change(words, ((f"{key}.diameter", -2.0),), Effort.OTHER_PART)
