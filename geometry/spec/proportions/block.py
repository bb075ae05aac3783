"""The block: bores, crankcase, webs and caps, pan rail."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, radians, sin
from typing import Final

from geometry.spec.proportions.crank import DECK_MM, OWN, STROKE, pin_span_mm
from geometry.spec.proportions.row import Proportion, ValuesByKey
from geometry.spec.proportions.sweep import (
    BARREL_MM,
    CRANK_ROOM_MM,
    ROD_ROOM_MM,
    bore_bottom_mm,
    half_bank_deg,
    margin_mm,
    sweep,
)

WEB_ROOM_MM: Final = 1.5
"""Between a cheek and a main web or cap, along the crank."""
CASE: Final = 0.05
"""What the crankcase leaves beyond what must be, by the bore."""
CAP: Final = (2.2, 2.2)
FLAT_CAP: Final = (1.5, 1.6)
"""From the main journal to the bolts and from there to the edge of a main cap, both sides together, in bolts."""
HEAD_ACROSS: Final = 1.73
"""Head of a main cap bolt over its corners, in bolt diameters, as ``parts/main_cap.py`` draws it."""


def _bore(values: ValuesByKey) -> float:
    return values["block.bore.diameter"]


def _diameter(values: ValuesByKey) -> float:
    """From what is known: stroke or rod, else piston or deck."""
    if "crank.stroke" in values or "rod.length" in values:
        return values["crank.stroke"] / STROKE
    if "piston.compression_height" in values:
        return values["piston.compression_height"] / 0.4
    if "block.deck_height" in values:
        return (values["block.deck_height"] - DECK_MM) / (2.22 * STROKE + 0.4)
    return 90.0


def _deck_height(values: ValuesByKey) -> float:
    return values["crank.stroke"] / 2 + values["rod.length"] + values["piston.compression_height"] + DECK_MM


def _spacing(values: ValuesByKey) -> float:
    """Bores side by side, or what crankpins, cheeks and main journals need."""
    bore = _bore(values)
    journals = pin_span_mm(values) + values["crank.main.width"]
    if values["in line"] or values["rods to a throw"] == 2:
        share = 1.089 if values["in line"] else 1.178
        return max(share * bore, journals + 0.32 * bore)
    return max(1.356 * bore, 2 * (journals + 0.19 * bore))


def _wall(values: ValuesByKey) -> float:
    usual = 0.061 * _bore(values)
    if "block.bore.spacing" in values:
        return min(usual, 0.95 * (values["block.bore.spacing"] - _bore(values)))
    return usual


def _length(values: ValuesByKey) -> float:
    return values["block.deck_height"] - bore_bottom_mm(values)


def _inside(values: ValuesByKey) -> float:
    """Room for what turns: big ends with their bolts, cheeks, counterweights."""
    if "block.crankcase.section[1][1]" in values:
        return values["block.crankcase.section[1][1]"]
    bore, margin = _bore(values), margin_mm(values)
    turns = max(values["cheeks reach"], values["crank.counterweight.radius"]) + CRANK_ROOM_MM
    if values["flat"]:
        return max(turns + margin, values["bore bottom"] + 0.067 * bore)
    return max(turns, values["rods swing across"] + ROD_ROOM_MM) + margin + CASE * bore


def _case_up_mm(values: ValuesByKey) -> float:
    """Half the height of a flat engine's case: the rods swing up and down in it."""
    turns = max(values["cheeks reach"], values["crank.counterweight.radius"]) + CRANK_ROOM_MM
    return max(turns, values["rods swing across"] + ROD_ROOM_MM) + margin_mm(values) + CASE * _bore(values)


def _rail_height(values: ValuesByKey) -> float:
    if "block.crankcase.section[1][2]" in values:
        return values["block.crankcase.section[1][2]"]
    if values["flat"]:
        return -(sweep(values).up + ROD_ROOM_MM + margin_mm(values))
    return -(values["block.main_cap.height"] + 0.133 * _bore(values))


def section_mm(values: ValuesByKey) -> list[list[float]]:
    """Inside of the crankcase, the right half: [across, up] from the pan rail up to the bores."""
    inside, rail, bore = values["block.pan_rail.inside"], values["block.pan_rail.height"], _bore(values)
    if values["flat"]:
        up = (
            max(sweep(values).up + ROD_ROOM_MM, values["cheeks reach"] + CRANK_ROOM_MM)
            + margin_mm(values)
            + CASE * bore
        )
        beside = 0.6 * bore
        return [
            [inside, rail], [inside, -beside], [inside, beside],
            [0.98 * inside, max(0.86 * up, beside)], [0.5 * inside, up], [0.0, up],
        ]  # fmt: skip
    edge, roof = bore / 2 + 0.9 * values["block.bore.wall"], values["bore bottom"] + BARREL_MM
    lean = radians(half_bank_deg(values))
    corner = (edge * cos(lean) + roof * sin(lean), roof * cos(lean) - edge * sin(lean))
    return [[inside, rail], [inside, max(_turns_in_mm(values, inside, corner), rail + 0.1 * bore)]]


def _turns_in_mm(values: ValuesByKey, inside: float, corner: tuple[float, float]) -> float:
    """Height at which the wall turns towards the bottom of the bores: at 45 degrees, flatter where the rods need it."""
    over = inside - corner[0]
    drop, room = over, ROD_ROOM_MM + margin_mm(values)
    if over <= 0.0:
        return min([corner[1] + over, *_under_blades(values, inside, corner, room)])
    for across, up in sweep(values).points:
        if across > corner[0]:
            drop = min(drop, (corner[1] - up - 1.5 * room) * over / (across - corner[0]))
    return corner[1] - max(drop, 0.0)


def _under_blades(
    values: ValuesByKey, inside: float, corner: tuple[float, float], room: float
) -> Iterator[float]:
    """Where a wall that leans out to its bank may begin at most, for each place of a blade over it."""
    for across, up in sweep(values).blades:
        share = max(across + room - inside, 0.0) / max(corner[0] - inside, room)
        if across > inside - room and share < 0.9:
            yield (up - 1.5 * room - corner[1] * share) / (1.0 - share)


def _main_shell(values: ValuesByKey) -> float:
    journal = values["crank.main.diameter"]
    if "block.main_bearing.bore" in values:
        return (values["block.main_bearing.bore"] - 1.000875 * journal) / 2
    return 0.036 * journal


def _cap_bolt(values: ValuesByKey) -> float:
    """Its head no wider than the cap; in a flat engine the cap stays out of the way of the pistons."""
    bore = _bore(values)
    bolt = min(0.122 * bore, (values["crank.main.width"] - 2 * WEB_ROOM_MM) / HEAD_ACROSS)
    if not values["flat"]:
        return bolt
    hangs = max(values["piston.skirt.bottom"], values["piston.boss.outside"] / 2)
    low = values["rod.length"] - values["crank.stroke"] / 2 - hangs - CRANK_ROOM_MM - margin_mm(values)
    return max(min(0.1 * bore, bolt, (2 * low - values["crank.main.diameter"]) / sum(FLAT_CAP)), 0.05 * bore)


def _cap(values: ValuesByKey, place: int) -> float:
    """Beyond the main journal, and beyond the bolts: so much of the width of a main cap."""
    return (FLAT_CAP if values["flat"] else CAP)[place] * values["block.main_cap.bolt_diameter"]


ROWS: Final = (
    Proportion(
        "block.deck_height", "machined", "height_gauge",
        "height gauge from main bore to deck at both ends, and half the main bore, to 0.002 in (0.05 mm)",
        _deck_height,
        "half the stroke, rod, compression height and 0.4 mm (starters)",
        leaves=0.05,
    ),
    Proportion(
        "block.bore.diameter", "journal", "bore_gauge",
        "bore gauge, two directions at top, middle and bottom, to 0.0005 in (0.01 mm)",
        _diameter,
        f"the stroke by 0.933 ({OWN})",
        leaves=0.01,
    ),
    Proportion(
        "block.bore.spacing", "machined", "caliper",
        "caliper from edge to like edge of two bores on the deck, to 0.004 in (0.1 mm)",
        _spacing,
        f"1.09 bores in line, 1.18 in a vee, 1.36 flat, or what the journals need ({OWN})",
        leaves=0.1,
    ),
    Proportion(
        "block.bore.stagger", "machined", "caliper",
        "from the front face to the first bore of each bank; the difference, to 0.010 in (0.25 mm)",
        leaves=0.25,
    ),
    Proportion(
        "block.bore.length", "cast", "depth_gauge",
        "depth gauge or rule from the deck to the bottom of the bore, to 0.020 in (0.5 mm)",
        _length,
        "down to where the skirt ends at bottom dead centre, less where big ends and cheeks need it",
        leaves=0.5,
    ),
    Proportion(
        "block.bore.wall", "cast", "caliper",
        "caliper at the bottom of a bore, or by ultrasound, to 0.020 in (0.5 mm)",
        _wall,
        f"0.061 of the bore, never more than stands between two bores ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "block.bore.chamfer", "depth", "caliper",
        "caliper or loupe on the leg of the chamfer at the bottom, to 0.010 in (0.25 mm)",
        leaves=0.25,
    ),
    Proportion(
        "block.bore.notch.width", "cast", "caliper",
        "caliper across the notch along the crank, to 0.020 in (0.5 mm)",
        lambda v: 1.3 * v["rod.big_end.width"],
        "1.3 times the big end (demo engines)",
        leaves=0.5,
    ),
    Proportion(
        "block.bore.notch.height", "cast", "depth_gauge",
        "depth gauge from the bottom of the bore up to the notch's end, to 0.020 in (0.5 mm)",
        lambda v: 0.08 * _bore(v),
        "0.08 of the bore (demo engines)",
        leaves=0.5,
    ),
    Proportion(
        "block.bore.notch.depth", "cast", "depth_gauge",
        "depth gauge from the bore into the notch, to 0.010 in (0.25 mm)",
        lambda v: min(0.04 * _bore(v), 0.5 * v["block.bore.wall"]),
        "0.04 of the bore, at most half the wall (demo engines)",
        leaves=0.25,
    ),
    Proportion(
        "block.bore.notch.offset", "cast", "caliper",
        "caliper from the edge of the notch to that of the bore, to 0.020 in (0.5 mm)",
        leaves=0.5,
    ),
    Proportion(
        "block.crankcase.section[][]", "cast", "rule",
        "rule and square from the main bore out and from the pan rail up, to 0.04 in (1 mm)",
        told="what big ends, bolts, cheeks and counterweights need, the trade's room and a twentieth of "
        "the bore",
        leaves=1,
    ),
    Proportion(
        "block.crankcase.section_left[][]", "cast", "rule",
        "rule and square from the main bore out and from the pan rail up, to 0.04 in (1 mm)",
        leaves=1,
    ),
    Proportion(
        "block.crankcase.bays[][]", "cast", "rule",
        "rule and square from the main bore out and from the pan rail up, to 0.04 in (1 mm)",
        leaves=1,
    ),
    Proportion(
        "block.crankcase.wall", "cast", "caliper",
        "thickness caliper at the pan rail or a core hole, to 0.020 in (0.5 mm)",
        lambda v: 0.061 * _bore(v),
        f"0.061 of the bore ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "block.pan_rail.height", "machined", "height_gauge",
        "straight edge over the rails, depth to the main bore, and half of it, to 0.010 in (0.25 mm)",
        _rail_height,
        f"below the main caps by 0.133 of the bore; in a flat engine below all that swings ({OWN})",
        leaves=0.25,
    ),
    Proportion(
        "block.pan_rail.inside", "cast", "caliper",
        "caliper from rail to rail, halved, to 0.020 in (0.5 mm)",
        _inside,
        "what big ends, bolts, cheeks and counterweights need, the trade's room and a twentieth of the "
        f"bore ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "block.pan_rail.width", "cast", "caliper",
        "caliper across the flange, to 0.020 in (0.5 mm)",
        lambda v: 0.2 * _bore(v),
        f"a fifth of the bore ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "block.pan_rail.thickness", "cast", "caliper",
        "caliper over the flange, to 0.020 in (0.5 mm)",
        lambda v: 0.111 * _bore(v),
        f"a ninth of the bore ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "block.web", "machined", "caliper",
        "caliper over the main web at its bearing, to 0.004 in (0.1 mm)",
        lambda v: v["crank.main.width"] - 2 * WEB_ROOM_MM,
        "the main journal less 1.5 mm at each end (starters)",
        leaves=0.1,
    ),
    Proportion(
        "block.web_bottom", "machined", "depth_gauge",
        "depth gauge from the pan rail to the joint of a main cap, to 0.010 in (0.25 mm)",
        leaves=0.25,
    ),
    Proportion(
        "block.main_cap.width", "machined", "caliper",
        "caliper across the cap, to 0.004 in (0.1 mm)",
        lambda v: v["block.main_cap.bolt_spacing"] + _cap(v, 1),
        "bolt spacing and 2.2 bolts, 1.6 in a flat engine (starters)",
        leaves=0.1,
    ),
    Proportion(
        "block.main_cap.height", "cast", "caliper",
        "caliper from the joint to the bottom of the cap, to 0.020 in (0.5 mm)",
        lambda v: v["crank.main.diameter"] / 2 + 0.222 * _bore(v),
        f"half the main journal and 0.222 of the bore ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "block.main_cap.thickness", "machined", "caliper",
        "caliper over the cap along the crank, to 0.004 in (0.1 mm)",
        lambda v: min(v["block.web"], v["crank.main.width"] - 2 * WEB_ROOM_MM),
        "as thick as the main web (starters)",
        leaves=0.1,
    ),
    Proportion(
        "block.main_cap.bolt_spacing", "machined", "caliper",
        "caliper over both bolts, less one, to 0.010 in (0.25 mm)",
        lambda v: v["crank.main.diameter"] + _cap(v, 0),
        "main journal and 2.2 bolts, 1.5 in a flat engine (starters)",
        leaves=0.25,
    ),
    Proportion(
        "block.main_cap.bolt_diameter", "stock", "caliper",
        "caliper over the thread; bolts come in standard sizes, to 0.004 in (0.1 mm)",
        _cap_bolt,
        f"0.122 of the bore, a tenth in a flat engine, its head no wider than the cap ({OWN})",
        leaves=0.1,
    ),
    Proportion(
        "block.main_bearing.bore", "journal", "bore_gauge",
        "bore gauge in the main housing, cap torqued, no shells, to 0.0001 in (0.002 mm)",
        lambda v: v["crank.main.diameter"] + 2 * v["block.main_bearing.wall"] + 0.000875 * v["crank.main.diameter"],
        "main journal, two shells and an oil clearance of 0.000875 of the journal (a bearing maker's note)",
        leaves=0.002,
    ),
    Proportion(
        "block.main_bearing.wall", "stock", "micrometer",
        "ball micrometer at the crown of the shell, to 0.0001 in (0.002 mm)",
        _main_shell,
        f"half of what journal and oil clearance leave of the housing, else 0.036 of the journal ({OWN})",
        leaves=0.002,
    ),
    Proportion(
        "block.main_bearing.width", "stock", "caliper",
        "caliper across the shell, to 0.004 in (0.1 mm)",
        lambda v: v["crank.main.width"] - 2.2 * v["crank.main.fillet"],
        "the journal less its fillet, and a tenth of it, at each side",
        leaves=0.1,
    ),
    Proportion(
        "block.main_bearing.crush", "depth", "depth_gauge",
        "dial indicator from the joint to the end of the shell, the other end held flush, to 0.0004 in (0.01 mm)",
        leaves=0.01,
    ),
    Proportion(
        "block.main_bearing.grades[].wall", "stock", "micrometer",
        "ball micrometer at the crown of the shell, or the mark on its back, to 0.0001 in (0.002 mm)",
        lambda v: v["block.main_bearing.wall"],
        "as thick as the shells that are in",
        leaves=0.002,
    ),
    Proportion(
        "block.thrust_bearing.faces", "machined", "micrometer",
        "inside micrometer between the crank's thrust faces, to 0.0005 in (0.01 mm)",
        leaves=0.01,
    ),
    Proportion(
        "block.thrust_bearing.width", "stock", "micrometer",
        "micrometer over both flanges, washers held on, to 0.0005 in (0.01 mm)",
        lambda v: v["block.thrust_bearing.faces"] - 0.15,
        "the crank's faces less the middle of published end plays",
        leaves=0.01,
    ),
    Proportion(
        "block.end_wall", "cast", "caliper",
        "from the end face to the first main web, to 0.04 in (1 mm)",
        leaves=1,
    ),
    Proportion(
        "block.slant", "angle", "protractor",
        "protractor on the deck, the mounts level, to half a degree",
        leaves=0.5,
    ),
    Proportion(
        "block.mesh_at", "machined", "caliper",
        "where the scan's own zero lies in the engine, to 0.002 in (0.05 mm)",
        leaves=0.05,
    ),
)  # fmt: skip
