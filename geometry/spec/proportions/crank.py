"""The crankshaft."""

from __future__ import annotations

from typing import Final

from geometry.spec.proportions.row import Proportion, ValuesByKey
from geometry.spec.proportions.sweep import CRANK_ROOM_MM, margin_mm

SIDE_MM: Final = {1: 0.22, 2: 0.30}
"""Side clearance of one rod, and of two together, on a pin: amid what ``geometry/trade.py`` asks."""
DECK_MM: Final = 0.4
"""How far the crown stays below the deck."""
STROKE: Final = 14 / 15
"""Stroke by bore."""
OWN: Final = "proportion of this project's starters, no source"


def oil_mm(values: ValuesByKey) -> float:
    """Oil clearance of the big end on the diameter: the middle of 0.00075 to 0.0010 in per inch of journal."""
    return 0.000875 * values["crank.pin.diameter"]


def side_mm(values: ValuesByKey) -> float:
    """Side clearance on one pin."""
    return SIDE_MM[int(values["rods on a pin"])]


def pin_span_mm(values: ValuesByKey) -> float:
    """Between the two cheeks of a throw."""
    width = values["crank.pin.width"]
    return 2 * width + values["crank.split_web"] if values["split pins"] else width


def _stroke(values: ValuesByKey) -> float:
    if "block.bore.diameter" not in values and "rod.length" in values:
        return values["rod.length"] / 1.72
    return STROKE * values["block.bore.diameter"]


def _pin_diameter(values: ValuesByKey) -> float:
    if "rod.big_end.bore" in values:
        walls = (
            2 * values["rod.bearing.wall"]
            if "rod.bearing.wall" in values
            else 0.0537 * values["rod.big_end.bore"]
        )
        return (values["rod.big_end.bore"] - walls) / 1.000875
    return 0.578 * values["block.bore.diameter"]


def _pin_width(values: ValuesByKey) -> float:
    return values["rods on a pin"] * values["rod.big_end.width"] + side_mm(values)


def _main_width(values: ValuesByKey) -> float:
    if "block.web" in values:
        return values["block.web"] + 3.0
    share = 0.211 if values["flat"] else 0.244 if values["split pins"] else 0.267
    return share * values["block.bore.diameter"]


def _cheek_thickness(values: ValuesByKey) -> float:
    if "block.bore.spacing" in values:
        share = 2.0 if values["flat"] or (values["vee"] and values["rods to a throw"] == 1) else 1.0
        return (values["block.bore.spacing"] / share - pin_span_mm(values) - values["crank.main.width"]) / 2
    return 0.178 * values["block.bore.diameter"]


def _counterweight_radius(values: ValuesByKey) -> float:
    """What swings past the bottom of the bores, and past skirt and pin bosses at bottom dead centre."""
    throw, margin = values["crank.stroke"] / 2, margin_mm(values)
    hangs = max(values["piston.skirt.bottom"], values["piston.boss.outside"] / 2)
    return min(
        throw + 0.311 * values["block.bore.diameter"],
        values["bore bottom"] - CRANK_ROOM_MM - margin,
        values["rod.length"] - throw - hangs - CRANK_ROOM_MM - margin,
    )


ROWS: Final = (
    Proportion(
        "crank.stroke", "machined", "height_gauge",
        "the piston's way from top to bottom dead centre by height gauge or dial indicator, to 0.002 in "
        "(0.05 mm)",
        _stroke,
        f"0.933 of the bore ({OWN})",
        leaves=0.05,
    ),
    Proportion(
        "crank.throws", "angle", "protractor",
        "timing disc on the nose, each pin in turn at the same height, to half a degree",
        leaves=0.5,
    ),
    Proportion(
        "crank.split", "angle", "protractor",
        "timing disc on the nose, both halves of a pin in turn at the same height, to half a degree",
        leaves=0.5,
    ),
    Proportion(
        "crank.split_web", "forged", "caliper",
        "caliper across the thin web between the two half pins, to 0.004 in (0.1 mm)",
        lambda v: 0.067 * v["block.bore.diameter"],
        f"0.067 of the bore ({OWN})",
        leaves=0.1,
    ),
    Proportion(
        "crank.pin.diameter", "journal", "micrometer",
        "micrometer, two directions at each end of the pin, to 0.0001 in (0.002 mm)",
        _pin_diameter,
        f"housing bore less two shells and the oil clearance, else 0.578 of the bore ({OWN})",
        leaves=0.002,
    ),
    Proportion(
        "crank.pin.width", "machined", "caliper",
        "inside caliper or gauge blocks between the cheeks, to 0.002 in (0.05 mm)",
        _pin_width,
        "the big ends on the pin and the side clearance that the trade gives them",
        leaves=0.05,
    ),
    Proportion(
        "crank.pin.fillet", "depth", "radius_gauge",
        "radius gauge laid into the corner of pin and cheek, to 0.010 in (0.25 mm)",
        lambda v: 0.0385 * v["crank.pin.diameter"],
        f"0.0385 of the pin's diameter ({OWN})",
        leaves=0.25,
    ),
    Proportion(
        "crank.main.diameter", "journal", "micrometer",
        "micrometer, two directions at each end of the journal, to 0.0001 in (0.002 mm)",
        lambda v: 1.154 * v["crank.pin.diameter"],
        f"1.154 times the crankpin ({OWN})",
        leaves=0.002,
    ),
    Proportion(
        "crank.main.width", "machined", "caliper",
        "inside caliper between the cheeks of a main journal, to 0.002 in (0.05 mm)",
        _main_width,
        f"the main web and 1.5 mm at each end, else 0.21 to 0.27 of the bore by layout ({OWN})",
        leaves=0.05,
    ),
    Proportion(
        "crank.main.fillet", "depth", "radius_gauge",
        "radius gauge laid into the corner of journal and cheek, to 0.010 in (0.25 mm)",
        lambda v: 0.0333 * v["crank.main.diameter"],
        f"a thirtieth of the main journal ({OWN})",
        leaves=0.25,
    ),
    Proportion(
        "crank.cheek.main_radius", "forged", "caliper",
        "caliper from the main journal out to the rim of the cheek, and half the journal, to 0.020 in "
        "(0.5 mm)",
        lambda v: v["crank.main.diameter"] / 2 + 0.078 * v["block.bore.diameter"],
        f"half the main journal and 0.078 of the bore ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "crank.cheek.pin_radius", "forged", "caliper",
        "caliper from the crankpin out to the rim of the cheek, and half the pin, to 0.020 in (0.5 mm)",
        lambda v: v["crank.pin.diameter"] / 2 + 0.078 * v["block.bore.diameter"],
        f"half the crankpin and 0.078 of the bore ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "crank.cheek.thickness", "machined", "caliper",
        "caliper across the cheek beside the pin, to 0.004 in (0.1 mm)",
        _cheek_thickness,
        f"what pin and main journal leave of the bore spacing; with a single throw 0.178 of the bore ({OWN})",
        leaves=0.1,
    ),
    Proportion(
        "crank.counterweight.radius", "forged", "height_gauge",
        "crank on vee blocks, height gauge over the rim of the counterweight, to 0.010 in (0.25 mm)",
        _counterweight_radius,
        "half the stroke and 0.311 of the bore, or less: what passes skirt, pin bosses and bore bottom "
        f"({OWN})",
        leaves=0.25,
    ),
    Proportion(
        "crank.counterweight.spread", "angle", "protractor",
        "protractor on the end face, from edge to edge of the sector, to 2 degrees",
        lambda v: 120.0,
        f"120 degrees ({OWN})",
        leaves=2,
    ),
)  # fmt: skip
