"""Gasket, head, cam, pan, limits, and what kind of engine it is."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Final

from geometry.spec.proportions.crank import OWN
from geometry.spec.proportions.row import Proportion, ValuesByKey
from geometry.spec.proportions.sweep import ROD_ROOM_MM, margin_mm
from geometry.spec.top import Limits


def _bore(values: ValuesByKey) -> float:
    return values["block.bore.diameter"]


def _speed(values: ValuesByKey) -> float:
    return values["piston speed m/s"] * 30_000.0 / values["crank.stroke"]


def _chamber(values: ValuesByKey) -> float:
    """What the compression ratio leaves after gasket, deck and crown."""
    swept = math.pi / 4 * _bore(values) ** 2 * values["crank.stroke"] / 1000.0
    deck = (
        values["block.deck_height"]
        - values["crank.stroke"] / 2
        - values["rod.length"]
        - values["piston.compression_height"]
    )
    gasket = math.pi / 4 * values["gasket.bore"] ** 2 * values["gasket.thickness"] / 1000.0
    crown = values.get("piston.crown.volume", 0.0) * (-1.0 if values["domed crown"] else 1.0)
    over = swept / (values["compression ratio"] - 1.0)
    return max(over - gasket - math.pi / 4 * _bore(values) ** 2 * deck / 1000.0 - crown, 0.1 * over)


def _cam_up(values: ValuesByKey) -> float:
    """Over all that the big ends reach, or over them to the side where the cam stands beside the crank."""
    lobe = max(values["cam.base"] / 2 + values["cam.lift"], values["cam.journal"] / 2)
    return values["rods swing round"] + lobe + ROD_ROOM_MM + margin_mm(values)


def _floor(values: ValuesByKey) -> float:
    return -(values["rods swing round"] + 0.78 * _bore(values))


def _valve(values: ValuesByKey, place: int, intake: float, exhaust: float) -> float:
    return _bore(values) * (intake if values[f"valve {place} is intake"] else exhaust)


PLACED: Final[Mapping[str, Callable[[ValuesByKey, int], float]]] = {
    "head.valves[].forward": lambda v, k: _valve(v, k, 0.228, -0.236),
    "head.valves[].inward": lambda v, k: 0.124 * _bore(v),
    "head.valves[].diameter": lambda v, k: _valve(v, k, 0.44, 0.37),
    "head.valves[].below_deck": lambda v, k: -0.005 * _bore(v),
}

ROWS: Final = (
    Proportion(
        "engine.bank_angle", "angle", "protractor",
        "protractor on both decks, to half a degree",
        leaves=0.5,
    ),
    Proportion(
        "engine.speed", "chosen", "sheet",
        "the speed that you mean to run at",
        _speed,
        "a mean piston speed of 15 m/s, more or less by duty (from memory)",
    ),
    Proportion(
        "gasket.thickness", "stock", "micrometer",
        "micrometer over an old one between the rings of its openings, or the maker's sheet, to 0.002 in "
        "(0.05 mm)",
        lambda v: 1.0,
        "1.0 mm (starters)",
        leaves=0.05,
    ),
    Proportion(
        "gasket.bore", "stock", "caliper",
        "caliper across the opening, to 0.010 in (0.25 mm)",
        lambda v: 1.0167 * _bore(v),
        f"1.0167 times the bore ({OWN})",
        leaves=0.25,
    ),
    Proportion(
        "head.chamber", "volume", "burette",
        "burette through a plate with a hole, valves and plug in, to 0.2 cc",
        _chamber,
        "what a compression of 9.5 leaves after gasket, deck and crown; other duties have their own "
        "(from memory)",
        leaves=0.2,
    ),
    Proportion(
        "head.valves[].forward", "machined", "rule",
        "rule from the bore's middle to the middle of the valve, to 0.020 in (0.5 mm)",
        told="0.228 of the bore, exhaust 0.236 to the rear (demo engines)",
        leaves=0.5,
    ),
    Proportion(
        "head.valves[].inward", "machined", "rule",
        "rule from the bores' middle line to the middle of the valve, to 0.020 in (0.5 mm)",
        told="0.124 of the bore (demo engines)",
        leaves=0.5,
    ),
    Proportion(
        "head.valves[].diameter", "machined", "caliper",
        "caliper across the valve's head, to 0.004 in (0.1 mm)",
        told="0.44 of the bore, exhaust 0.37 (demo engines)",
        leaves=0.1,
    ),
    Proportion(
        "head.valves[].below_deck", "depth", "depth_gauge",
        "depth gauge from the head's face to the valve at overlap, to 0.005 in (0.1 mm)",
        told="0.005 of the bore above the face (demo engines)",
        leaves=0.1,
    ),
    Proportion(
        "head.valves[].lift", "depth", "height_gauge",
        "dial indicator on the retainer through a full turn, to 0.002 in (0.05 mm)",
        leaves=0.05,
    ),
    Proportion(
        "head.valves[].duration", "angle", "protractor",
        "cam card, or timing disc and dial indicator, to 1 degree",
        leaves=1,
    ),
    Proportion(
        "head.valves[].duration_at", "chosen", "sheet",
        "the lift at which the cam card counts",
    ),
    Proportion(
        "head.valves[].centre", "angle", "protractor",
        "cam card, or timing disc and dial indicator, to 1 degree",
        leaves=1,
    ),
    Proportion(
        "cam.across", "machined", "caliper",
        "from the middle plane of the crank to the cam's, caliper at the front face, to 0.010 in (0.25 mm)",
        leaves=0.25,
    ),
    Proportion(
        "cam.up", "machined", "caliper",
        "caliper from main bore to cam bore at the front face, and half of both, to 0.004 in (0.1 mm)",
        _cam_up,
        "what the big ends reach, a lobe, and the room that the trade asks for",
        leaves=0.1,
    ),
    Proportion(
        "cam.base", "machined", "micrometer",
        "micrometer over the lobe across its heel, to 0.002 in (0.05 mm)",
        lambda v: 0.322 * _bore(v),
        f"0.322 of the bore ({OWN})",
        leaves=0.05,
    ),
    Proportion(
        "cam.lift", "depth", "micrometer",
        "micrometer over nose and heel less the base circle, to 0.001 in (0.02 mm)",
        lambda v: 0.078 * _bore(v),
        f"0.078 of the bore ({OWN})",
        leaves=0.02,
    ),
    Proportion(
        "cam.nose", "machined", "radius_gauge",
        "radius gauge on the nose of the lobe, to 0.020 in (0.5 mm)",
        lambda v: 0.24 * v["cam.base"],
        f"0.24 of the base circle ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "cam.lobe_width", "machined", "caliper",
        "caliper across the lobe, to 0.010 in (0.25 mm)",
        lambda v: 0.1 * _bore(v),
        f"a tenth of the bore ({OWN})",
        leaves=0.25,
    ),
    Proportion(
        "cam.lobe_gap", "machined", "caliper",
        "caliper from edge to like edge of the two lobes of a bore, to 0.010 in (0.25 mm)",
        lambda v: 0.4 * _bore(v),
        f"0.4 of the bore ({OWN})",
        leaves=0.25,
    ),
    Proportion(
        "cam.core", "cast", "caliper",
        "caliper over the shaft between lobes, to 0.020 in (0.5 mm)",
        lambda v: 0.828 * v["cam.base"],
        f"0.828 of the base circle ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "cam.journal", "journal", "micrometer",
        "micrometer, to 0.0005 in (0.01 mm)",
        lambda v: 0.5 * _bore(v),
        f"half the bore ({OWN})",
        leaves=0.01,
    ),
    Proportion(
        "cam.tunnel_wall", "cast", "caliper",
        "caliper over the wall round a cam bearing, to 0.020 in (0.5 mm)",
        leaves=0.5,
    ),
    Proportion(
        "cam.intake_centre", "angle", "protractor",
        "cam card, or timing disc and dial indicator, to 1 degree",
        leaves=1,
    ),
    Proportion(
        "cam.exhaust_centre", "angle", "protractor",
        "cam card, or timing disc and dial indicator, to 1 degree",
        leaves=1,
    ),
    Proportion(
        "pan.floor", "sheet", "rule",
        "rule and straight edge from the pan's flange down to its floor, to 0.1 in (2 mm)",
        _floor,
        f"what the big ends reach and 0.78 of the bore ({OWN})",
        leaves=2,
    ),
    Proportion(
        "pan.tray", "sheet", "rule",
        "rule and straight edge from the flange down to the tray, to 0.04 in (1 mm)",
        leaves=1,
    ),
    Proportion(
        "pan.wall", "sheet", "caliper",
        "caliper over the sheet, to 0.010 in (0.25 mm)",
        leaves=0.25,
    ),
    *(
        Proportion(f"limits.{field.alias or name}", "chosen", "sheet", "what you hold the engine to")
        for name, field in Limits.model_fields.items()
    ),
)  # fmt: skip
