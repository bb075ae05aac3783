"""The piston with its pin, crown, skirt, pockets and grooves."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import cos, radians, sin, sqrt, tan
from typing import Final

from geometry.spec.proportions.crank import DECK_MM, OWN
from geometry.spec.proportions.row import Proportion, ValuesByKey
from geometry.spec.proportions.sweep import CRANK_ROOM_MM, margin_mm

BELT: Final = {0: (0.0667, 0.0), 1: (0.122, 1.0), 2: (0.172, 2.0)}
"""From the crown down to the grooves of top, second and oil ring, by the bore, and how many lands lie between."""
SIDE_MM: Final = (0.050, 0.080)
"""Side clearance of a ring: petrol engines, diesels; in the middle of what the ring check holds them to."""
BACK_MM: Final = 0.06
OIL_BACK_MM: Final = 0.12
"""Room behind a ring that is pushed in flush with its land: positive and small."""


def _bore(values: ValuesByKey) -> float:
    return values["block.bore.diameter"]


def _compression_height(values: ValuesByKey) -> float:
    if "block.deck_height" in values and "rod.length" in values:
        return values["block.deck_height"] - values["rod.length"] - values["crank.stroke"] / 2 - DECK_MM
    return (0.62 if values["diesel"] else 0.4) * _bore(values)


def _pin_diameter(values: ValuesByKey) -> float:
    share = 0.333 if values["diesel"] else 0.244
    return min(share * _bore(values), 0.611 * values["piston.compression_height"])


def _crown_thickness(values: ValuesByKey) -> float:
    """Thin enough to leave the small end room under it."""
    over = values["piston.compression_height"] - values["rod.small_end.outside"] / 2 - 1.0 - margin_mm(values)
    return max(min(0.078 * _bore(values), over), 0.035 * _bore(values))


def _skirt_bottom(values: ValuesByKey) -> float:
    """Shorter where cheeks, main caps of a flat engine, or the other bank of a vee come close."""
    bore, room = _bore(values), CRANK_ROOM_MM + margin_mm(values)
    throw, rod = values["crank.stroke"] / 2, values["rod.length"]
    turns = max(values["crank.cheek.main_radius"], throw + 0.1 * bore)
    if "crank.counterweight.radius" in values:
        turns = values["crank.counterweight.radius"]
    if values["flat"]:
        turns = max(turns, values["crank.main.diameter"] / 2 + 0.13 * bore)
    ends = [0.222 * bore, rod - throw - room - turns]
    if values["vee"]:
        lean = radians(values["engine.bank_angle"] / 2)
        # both pistons of a throw are equally low when the middle of their pins points straight down
        pin = radians(180.0 - values["engine.bank_angle"] / 2 - values.get("crank.split", 0.0) / 2)
        height = throw * cos(pin) + sqrt(max(rod**2 - (throw * sin(pin)) ** 2, 0.0))
        ends.append(height - bore / 2 / tan(lean) - room / 2 / sin(lean))
    return max(min(ends), 0.04 * bore)


def _skirt_clearance(values: ValuesByKey) -> float:
    if values["forged piston"]:
        return max(0.001 * _bore(values), 0.075)
    return max(0.00067 * _bore(values), 0.035)


def _ring(values: ValuesByKey, place: int) -> int:
    return int(values[f"ring of groove {place}"])


def _closer(values: ValuesByKey) -> float:
    """How much closer the grooves stand where the pin leaves them less height than the usual piston."""
    room = values["piston.compression_height"] - values["piston.pin.diameter"] / 2
    return min(1.0, room / (0.2 * _bore(values)))


def from_crown_mm(values: ValuesByKey, place: int) -> float:
    """Where a groove begins; further down where the one above it is written lower than usual."""
    usual = BELT[_ring(values, place)][0] * _bore(values) * _closer(values)
    if place == 1:
        return usual
    above = values[f"piston.grooves[{place - 1}].from_crown"] + values[f"piston.grooves[{place - 1}].height"]
    return max(usual, above + 0.014 * _bore(values))


def height_mm(values: ValuesByKey, place: int) -> float:
    """Ring and side clearance."""
    ring = ("top", "second", "oil")[_ring(values, place)]
    side = SIDE_MM[0] if ring == "oil" else SIDE_MM[int(values["diesel"])]
    return values[f"rings.{ring}.height"] + side


def root_mm(values: ValuesByKey, place: int) -> float:
    """Land less two ring walls and a little behind each."""
    ring = ("top", "second", "oil")[_ring(values, place)]
    deep = (
        values["rings.oil.rail_wall"] + OIL_BACK_MM
        if ring == "oil"
        else values[f"rings.{ring}.wall"] + BACK_MM
    )
    return _bore(values) - values["piston.land_clearance"] - 2 * deep


def _pocket(values: ValuesByKey, place: int, intake: float, exhaust: float) -> float:
    return _bore(values) * (intake if values[f"pocket {place} is intake"] else exhaust)


PLACED: Final[Mapping[str, Callable[[ValuesByKey, int], float]]] = {
    "piston.grooves[].from_crown": from_crown_mm,
    "piston.grooves[].height": height_mm,
    "piston.grooves[].root": root_mm,
    "piston.pockets[].forward": lambda v, k: _pocket(v, k, 0.228, -0.236),
    "piston.pockets[].inward": lambda v, k: 0.124 * _bore(v),
    "piston.pockets[].diameter": lambda v, k: _pocket(v, k, 0.496, 0.409),
    "piston.pockets[].depth": lambda v, k: _pocket(v, k, 0.025, 0.020),
}
"""Rules of what stands in an array: by place, counted from 1."""

ROWS: Final = (
    Proportion(
        "piston.compression_height", "machined", "height_gauge",
        "height gauge from the top of the pin to the crown, and half the pin, to 0.001 in (0.02 mm)",
        _compression_height,
        "deck height less rod, half the stroke and 0.4 mm, else 0.4 of the bore, in a diesel 0.62",
        leaves=0.02,
    ),
    Proportion(
        "piston.land_clearance", "depth", "micrometer",
        "bore less micrometer over the top land, to 0.001 in (0.02 mm)",
        lambda v: 0.0078 * _bore(v),
        f"0.0078 of the bore ({OWN})",
        leaves=0.02,
    ),
    Proportion(
        "piston.pin.diameter", "journal", "micrometer",
        "micrometer, to 0.0001 in (0.002 mm)",
        _pin_diameter,
        f"0.244 of the bore, in a diesel a third, at most 0.61 of the compression height ({OWN})",
        leaves=0.002,
    ),
    Proportion(
        "piston.pin.length", "machined", "caliper",
        "caliper from end to end, to 0.004 in (0.1 mm)",
        lambda v: 0.689 * _bore(v),
        f"0.689 of the bore ({OWN})",
        leaves=0.1,
    ),
    Proportion(
        "piston.pin.bore", "machined", "caliper",
        "caliper inside the pin, to 0.010 in (0.25 mm)",
        lambda v: 0.59 * v["piston.pin.diameter"],
        f"0.59 of the pin ({OWN})",
        leaves=0.25,
    ),
    Proportion(
        "piston.pin.offset", "depth", "caliper",
        "caliper from the pin to either side of the skirt; half the difference, to 0.004 in (0.1 mm)",
        leaves=0.1,
    ),
    Proportion(
        "piston.crown.volume", "volume", "burette",
        "burette through a plate over the piston at a known depth, to 0.2 cc",
        leaves=0.2,
    ),
    Proportion(
        "piston.crown.diameter", "cast", "caliper",
        "caliper across the dish or the foot of the dome, to 0.010 in (0.25 mm)",
        lambda v: 0.78 * _bore(v),
        "0.78 of the bore (demo engines)",
        leaves=0.25,
    ),
    Proportion(
        "piston.crown.thickness", "cast", "caliper",
        "thickness caliper over the crown at its thinnest, to 0.020 in (0.5 mm)",
        _crown_thickness,
        f"0.078 of the bore, less where the small end needs the room ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "piston.skirt.bottom", "cast", "caliper",
        "caliper from the pin to the end of the skirt, and half the pin, to 0.010 in (0.25 mm)",
        _skirt_bottom,
        f"0.222 of the bore, less where cheeks, caps or the other bank come close ({OWN})",
        leaves=0.25,
    ),
    Proportion(
        "piston.skirt.spread", "angle", "protractor",
        "chord of the panel by caliper, or protractor, to 3 degrees",
        lambda v: 84.0,
        f"84 degrees ({OWN})",
        leaves=3,
    ),
    Proportion(
        "piston.skirt.thickness", "cast", "caliper",
        "caliper over the edge of the skirt, to 0.010 in (0.25 mm)",
        lambda v: 0.0356 * _bore(v),
        f"0.0356 of the bore ({OWN})",
        leaves=0.25,
    ),
    Proportion(
        "piston.skirt.clearance", "depth", "bore_gauge",
        "bore gauge set by the piston's own micrometer reading, to 0.0002 in (0.005 mm)",
        _skirt_clearance,
        "0.00067 of the bore, forged 0.001: within the trade's figures for the metal",
        leaves=0.005,
    ),
    Proportion(
        "piston.skirt.ovality", "depth", "micrometer",
        "micrometer across the thrust faces less that along the pin, to 0.0005 in (0.01 mm)",
        lambda v: 0.0022 * _bore(v),
        f"0.0022 of the bore ({OWN})",
        leaves=0.01,
    ),
    Proportion(
        "piston.boss.outside", "cast", "caliper",
        "caliper over a pin boss, to 0.020 in (0.5 mm)",
        lambda v: v["piston.pin.diameter"] + 0.1 * _bore(v),
        f"pin and a tenth of the bore ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "piston.boss.gap", "machined", "caliper",
        "inside caliper between the bosses, to 0.010 in (0.25 mm)",
        lambda v: v["rod.small_end.width"] + max(0.022 * _bore(v), 2.0),
        f"the small end and 0.022 of the bore, at least 2 mm ({OWN})",
        leaves=0.25,
    ),
    Proportion(
        "piston.boss.bore", "journal", "bore_gauge",
        "small bore gauge set by the pin's micrometer reading, both bosses, to 0.0001 in (0.002 mm)",
        leaves=0.002,
    ),
    Proportion(
        "piston.clips.apart", "machined", "caliper",
        "inside caliper from outer wall to outer wall of the two clip grooves, to 0.002 in (0.05 mm)",
        leaves=0.05,
    ),
    Proportion(
        "piston.clips.thickness", "stock", "micrometer",
        "micrometer over the clip, to 0.0005 in (0.01 mm)",
        leaves=0.01,
    ),
    Proportion(
        "piston.clips.groove", "machined", "feeler",
        "feeler blades beside a clip in its groove, and the clip, to 0.001 in (0.02 mm)",
        lambda v: 1.1 * v["piston.clips.thickness"],
        "the clip and a tenth of it (from memory)",
        leaves=0.02,
    ),
    *(
        Proportion(f"piston.heat.{key}", "chosen", "sheet", f"how hot you take {words} to run")
        for key, words in (("skirt", "the skirt"), ("wall", "the wall beside it"))
    ),
    Proportion(
        "piston.heat.expansion", "material", "sheet",
        "the maker's figure for the piston's metal",
    ),
    Proportion(
        "piston.grooves[].from_crown", "machined", "depth_gauge",
        "caliper from the crown's edge to the top of the groove, to 0.002 in (0.05 mm)",
        told="0.067, 0.122 and 0.172 of the bore for top, second and oil ring, closer where the pin lies "
        f"high ({OWN})",
        leaves=0.05,
    ),
    Proportion(
        "piston.grooves[].height", "depth", "feeler",
        "the ring and the thickest blade that goes in beside it, to 0.0005 in (0.01 mm)",
        told="the ring and the middle of the trade's side clearance",
        leaves=0.01,
    ),
    Proportion(
        "piston.grooves[].root", "machined", "depth_gauge",
        "depth of the groove below the land on both sides, or blade micrometer, to 0.002 in (0.05 mm)",
        told="the land less two ring walls, and 0.06 mm behind each (no source gives a usual back clearance)",
        leaves=0.05,
    ),
    Proportion(
        "piston.pockets[].forward", "machined", "rule",
        "rule from the piston's middle to the middle of the pocket, to 0.020 in (0.5 mm)",
        told="0.228 of the bore, exhaust 0.236 to the rear (demo engines)",
        leaves=0.5,
    ),
    Proportion(
        "piston.pockets[].inward", "machined", "rule",
        "rule from the pin's line to the middle of the pocket, to 0.020 in (0.5 mm)",
        told="0.124 of the bore (demo engines)",
        leaves=0.5,
    ),
    Proportion(
        "piston.pockets[].diameter", "machined", "caliper",
        "caliper across the pocket, to 0.010 in (0.25 mm)",
        told="0.496 of the bore, exhaust 0.409 (demo engines)",
        leaves=0.25,
    ),
    Proportion(
        "piston.pockets[].depth", "depth", "depth_gauge",
        "depth gauge from the crown to the floor of the pocket, to 0.002 in (0.05 mm)",
        told="0.025 of the bore, exhaust 0.020 (demo engines)",
        leaves=0.05,
    ),
    Proportion(
        "piston.mass", "mass", "scales",
        "scales, piston without pin and rings, to 1 gram",
        leaves=0.001,
    ),
)  # fmt: skip
