"""How far the rods swing and where that leaves the bottom of the bores: the shape of the engine from its motion.

Lengths along the crank are left out: a rod is its outline seen from the front. It is sampled at every few degrees,
and what is built round it has a margin that covers what lies between.
"""

from __future__ import annotations

from functools import lru_cache
from math import cos, hypot, pi, radians, sin, sqrt, tan
from typing import Final, NamedTuple, TypeAlias

from geometry.spec.proportions.given import DERIVED

Values: TypeAlias = "dict[str, float]"
XY: TypeAlias = tuple[float, float]

ROD_ROOM_MM: Final = 1.27
CRANK_ROOM_MM: Final = 1.27
"""The room that the trade asks for round rod and crank; ``geometry/clearance/limits.py`` has the limits."""
MARGIN_MM: Final = 1.0
MARGIN: Final = 0.012
"""What is left beyond the room: so much, and so much of the bore."""
STEP_DEG: Final = 3


class RodSwing(NamedTuple):
    """What the rods of one throw need, mm.

    Attributes
    ----------
    across, up : the farthest that a big end comes to one side of the engine and, in the middle, up from the crank axis
    round : radius of the circle about the crank axis round all of a big end
    floor : lowest height for the bottom of a bore, along its axis, at which no rod meets it
    points : every outline point of the big ends in the engine's frame, right half (across, up)
    blades : the same of the blades of the right bank, as far as they lie below the bores
    """

    across: float
    up: float
    round: float
    floor: float
    points: tuple[XY, ...]
    blades: tuple[XY, ...]


def margin_mm(values: Values) -> float:
    """What a clearance should have over its limit."""
    return MARGIN_MM + MARGIN * values["block.bore.diameter"]


def half_bank_deg(values: Values) -> float:
    """How far the right bank leans to the right."""
    if values["in line"]:
        return 0.0
    return 90.0 if values["flat"] else values["engine.bank_angle"] / 2


def sweep(values: Values) -> RodSwing:
    """What the rods need."""
    bolt, big = "rod.bolt.", values["rod.big_end.outside"] / 2
    half_spacing = values[bolt + "spacing"] / 2
    head = values[bolt + "head_diameter"] / 2
    if values["nut on the rod bolts"]:
        seat = max(head, values[bolt + "nut_diameter"] / 2)
        down = max(
            values[bolt + "seat"] + values[bolt + "nut_height"],
            values[bolt + "length"] - values[bolt + "shoulder"],
        )
        up = values[bolt + "shoulder"] + values[bolt + "head_height"]
    else:
        seat, up = head, max(values[bolt + "shoulder"], values[bolt + "length"] - values[bolt + "seat"])
        down = values[bolt + "seat"] + values[bolt + "head_height"]
    size = (
        values["crank.stroke"] / 2, values["rod.length"], big, half_spacing + seat, up, down,
        values["rod.cap.rib_width"] / 2, values["rod.cap.height"],
        values["rod.beam.width_big"] / 2, values["rod.beam.width_small"] / 2,
    )  # fmt: skip
    bore, width = values["block.bore.diameter"] / 2, values["rod.big_end.width"]
    own = sqrt(bore**2 - min(0.5 * width, 0.8 * bore) ** 2)
    beside = sqrt(bore**2 - min(1.5 * width, 0.95 * bore) ** 2) if values["rods to a throw"] == 2 else 0.0
    wall = (own, beside, bore + values["block.bore.wall"])
    return _sweep(size, half_bank_deg(values), wall, ROD_ROOM_MM + margin_mm(values))


@lru_cache(maxsize=64)
def _sweep(size: tuple[float, ...], half_bank: float, wall: tuple[float, ...], room: float) -> RodSwing:
    """``wall``: half chord of a bore where its own rod passes, where the other bank's does, and its outside."""
    throw, rod, *outline = size
    own, other, outside = wall
    big_end, blade = _outline(rod, *outline)
    banks = {half_bank, -half_bank}
    frames = [(own, 0.0), *((other, 2 * bank) for bank in banks if bank)]
    floor, seen, blades = 0.0, [], []
    for degrees in range(0, 360, STEP_DEG):
        placed = [_placed(corner, throw, rod, radians(degrees)) for corner in big_end + blade]
        seen += [_turned(point, bank) for bank in banks for point in placed[: len(big_end)]]
        blades += [(*_turned(point, half_bank), point[1]) for point in placed[len(big_end) :]]
        for chord, lean in frames:
            turned = (_turned(point, lean) for point in placed)
            floor = max([floor, *(z for y, z in turned if chord - room < abs(y) < outside + room)])
    right = tuple((abs(y), z) for y, z in seen)
    up = max((z for y, z in right if y < own), default=0.0)
    below = tuple((y, z) for y, z, along in blades if along < floor + room)
    return RodSwing(
        max(y for y, _ in right), up, max(hypot(*point) for point in right), floor + room, right, below
    )


def _outline(
    rod: float,
    big: float,
    out: float,
    up: float,
    down: float,
    rib: float,
    cap: float,
    lower: float,
    upper: float,
) -> tuple[list[XY], list[XY]]:
    """Points round big end and blade of a rod seen from the front, its big end at the origin, its small end above."""
    right: list[XY] = [(big * sin(k * pi / 8), big * cos(k * pi / 8)) for k in range(9)]
    right += [(out, z) for z in (up, up / 2, 0.0, -down / 2, -down)]
    right += [(rib, -cap), (0.7 * big, 0.85 * big), (lower + 0.12 * big, 1.25 * big)]
    blade = [(lower + (upper - lower) * k / 16, rod * k / 16) for k in range(5, 17)]
    return right + [(-y, z) for y, z in right], blade + [(-y, z) for y, z in blade]


def _placed(corner: XY, throw: float, rod: float, angle: float) -> XY:
    """A point of a rod in its bore's frame, the crank at an angle from top dead centre."""
    lean = throw * sin(angle) / rod
    upright = sqrt(1.0 - min(lean**2, 0.99))
    y, z = corner
    return throw * sin(angle) + y * upright - z * lean, throw * cos(angle) + y * lean + z * upright


def _turned(point: XY, degrees: float) -> XY:
    """A point of a bank's frame in the engine, the bank leaning to the right by so much."""
    c, s = cos(radians(degrees)), sin(radians(degrees))
    return point[0] * c + point[1] * s, point[1] * c - point[0] * s


def bore_bottom_mm(values: Values) -> float:
    """Height of the bottom of the bores above the crank axis.

    Where the skirt ends at bottom dead centre, or higher where big ends, cheeks and the other bank need it, and never
    so high that the oil ring comes out.
    """
    bore = values["block.bore.diameter"]
    throw, margin = values["crank.stroke"] / 2, margin_mm(values)
    pin_low = values["rod.length"] - throw
    reach = values["cheeks reach"]
    if "crank.counterweight.radius" in values:
        reach = max(reach, values["crank.counterweight.radius"])
    needs = [pin_low - values["piston.skirt.bottom"], reach + CRANK_ROOM_MM + margin, sweep(values).floor]
    lean = radians(half_bank_deg(values))
    if values["vee"]:
        half = bore / 2 + values["block.bore.wall"]
        needs.append(half / tan(lean))
        needs.append((sweep(values).up + ROD_ROOM_MM + margin - half * sin(lean)) / cos(lean) - BARREL_MM)
    rings_end = pin_low + values["piston.compression_height"] - values["rings reach down"]
    most = rings_end - values.get("block.bore.chamfer", 0.0) - MARGIN_MM
    return min(max(needs), most)


BARREL_MM: Final = 6.0
"""How far the barrels stand out of the crankcase roof: as ``parts/shapes/block_section.py`` draws them."""


def _rings_reach_down(values: Values) -> float:
    """From the crown down to the end of the lowest groove."""
    place = 1
    while f"ring of groove {place + 1}" in values:
        place += 1
    return values[f"piston.grooves[{place}].from_crown"] + values[f"piston.grooves[{place}].height"]


DERIVED.update(
    {
        "rods swing across": lambda v: sweep(v).across,
        "rods swing round": lambda v: sweep(v).round,
        "cheeks reach": lambda v: v["crank.stroke"] / 2 + v["crank.cheek.pin_radius"],
        "bore bottom": lambda v: (
            v["block.deck_height"] - v["block.bore.length"] if "block.bore.length" in v else bore_bottom_mm(v)
        ),
        "rings reach down": _rings_reach_down,
    }
)
