"""Rules of the piston and its valve pockets."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from geometry.spec.base import Rule
from geometry.spec.clashes.rule import MOST_CLEARANCE, away_mm

if TYPE_CHECKING:
    from geometry.spec.engine import Engine

MOST_LAND_CLEARANCE: Final = 0.1
"""Clearance of the lands as a share of the bore."""


def rules(spec: Engine) -> Iterator[Rule]:
    """Piston without its rings and grooves."""
    yield from _pin_rules(spec)
    yield from _body_rules(spec)
    yield from _pocket_rules(spec)


def _pin_rules(spec: Engine) -> Iterator[Rule]:
    pin, boss, bore = spec.piston.pin, spec.piston.boss, spec.block.bore.diameter_mm
    yield ("piston.pin.bore", pin.bore_mm >= pin.diameter_mm,
           "the pin is hollow right through its wall", "an inside diameter below piston.pin.diameter")  # fmt: skip
    yield ("piston.pin.offset", pin.offset_mm > pin.diameter_mm / 4,
           "the pin stands too far from the middle of the piston",
           'a small offset, such as "0.040 in" or "1 mm"')  # fmt: skip
    yield ("piston.pin.length", pin.length_mm >= bore,
           "the pin is longer than the bore is wide", "a pin shorter than the bore")  # fmt: skip
    yield ("piston.boss.outside", boss.outside_mm <= pin.diameter_mm,
           "the pin bosses are no larger than the pin", "an outside diameter above piston.pin.diameter")  # fmt: skip
    yield ("piston.boss.outside", boss.outside_mm >= bore,
           "the pin bosses are as wide as the bore", "an outside diameter well below block.bore.diameter")  # fmt: skip
    yield ("piston.boss.gap", boss.gap_mm <= spec.rod.small_end.width_mm,
           "the rod's small end does not fit between the pin bosses",
           "a gap greater than rod.small_end.width")  # fmt: skip
    yield ("piston.boss.gap", boss.gap_mm >= pin.length_mm,
           "the pin does not reach from boss to boss", "a gap smaller than piston.pin.length")  # fmt: skip


def _body_rules(spec: Engine) -> Iterator[Rule]:
    piston, skirt, bore = spec.piston, spec.piston.skirt, spec.block.bore.diameter_mm
    yield ("piston.crown.thickness",
           piston.crown.thickness_mm >= piston.compression_height_mm - piston.pin.diameter_mm / 2,
           "the crown reaches down to the pin", "a thickness well below piston.compression_height")  # fmt: skip
    yield ("piston.skirt.thickness", skirt.thickness_mm > bore / 6,
           "the skirt is thicker than any piston's", "the thickness of its wall")  # fmt: skip
    yield ("piston.skirt.bottom", skirt.bottom_mm > 2 * bore,
           "the skirt reaches far further down than any piston's",
           "from the pin's centre to the skirt's end")  # fmt: skip
    yield ("piston.skirt.clearance", skirt.clearance_mm > MOST_CLEARANCE * bore,
           "the piston would rattle: more than a fiftieth of the bore",
           'the clearance on the diameter, such as "0.0030 in" or "0.05 mm"')  # fmt: skip
    yield ("piston.skirt.ovality", skirt.ovality_mm > MOST_CLEARANCE * bore,
           "the skirt is more out of round than a fiftieth of the bore",
           'the difference of both diameters, such as "0.008 in" or "0.2 mm"')  # fmt: skip
    yield ("piston.land_clearance", piston.land_clearance_mm > MOST_LAND_CLEARANCE * bore,
           "the lands are smaller than the bore by more than a tenth of it",
           'the difference of the diameters, such as "0.030 in" or "0.7 mm"')  # fmt: skip


def _pocket_rules(spec: Engine) -> Iterator[Rule]:
    piston = spec.piston
    land = spec.block.bore.diameter_mm - piston.land_clearance_mm
    room = piston.compression_height_mm - piston.pin.diameter_mm / 2 - piston.crown.thickness_mm
    first = min(piston.grooves, key=lambda groove: groove.from_crown_mm)
    for index, pocket in enumerate(piston.pockets):
        key, out = f"piston.pockets[{index}]", away_mm(pocket.forward_mm, pocket.inward_mm)
        yield (f"{key}.forward", out >= land / 2,
               "the middle of the pocket lies outside the crown",
               "forward and inward counted from the bore's axis")  # fmt: skip
        yield (f"{key}.diameter", pocket.diameter_mm >= land,
               "the pocket is as wide as the piston", "a diameter below the piston's")  # fmt: skip
        yield (f"{key}.depth", 0.0 < room <= pocket.depth_mm,
               "pocket and crown.thickness together reach down to the pin",
               "a depth that leaves the crown's thickness above the pin")  # fmt: skip
        yield (f"{key}.depth",
               pocket.depth_mm >= first.from_crown_mm and out + pocket.diameter_mm / 2 > first.root_mm / 2,
               f"the pocket breaks into the {first.ring} groove",
               "a depth less than the land above the groove")  # fmt: skip
