"""The connecting rod with cap, bolts and shells."""

from __future__ import annotations

import math
from typing import Final

from geometry.bolting.thread import tensile_area_mm2
from geometry.bolting.torque import torque_nm
from geometry.spec.proportions.crank import DECK_MM, OWN, oil_mm, side_mm
from geometry.spec.proportions.row import Proportion, ValuesByKey


def _bore(values: ValuesByKey) -> float:
    return values["block.bore.diameter"]


def _length(values: ValuesByKey) -> float:
    """What deck and piston leave of the height, else by the stroke."""
    if "block.deck_height" not in values:
        return 1.72 * values["crank.stroke"]
    up = values["piston.compression_height"] + values["crank.stroke"] / 2 + DECK_MM
    return values["block.deck_height"] - up


def _housing(values: ValuesByKey) -> float:
    return values["crank.pin.diameter"] + 2 * values["rod.bearing.wall"] + oil_mm(values)


def _shell(values: ValuesByKey) -> float:
    if "rod.big_end.bore" in values:
        return (values["rod.big_end.bore"] - values["crank.pin.diameter"] - oil_mm(values)) / 2
    return 0.0284 * values["crank.pin.diameter"]


def _big_end_width(values: ValuesByKey) -> float:
    if "crank.pin.width" in values:
        return (values["crank.pin.width"] - side_mm(values)) / values["rods on a pin"]
    return 0.267 * _bore(values)


def _chamfer(values: ValuesByKey) -> float:
    return max(1.1 * values["crank.pin.fillet"], values["crank.pin.fillet"] + 0.2)


def _other_chamfer(values: ValuesByKey) -> float:
    """A lone rod has a cheek on each side; two on a pin have a broken edge towards each other."""
    return values["rod.chamfer.cheek"] if values["rods on a pin"] == 1 else 0.4


def _torque(values: ValuesByKey) -> float:
    """What leaves 0.65 of the proof load in a lubricated bolt."""
    diameter = values["rod.bolt.diameter"]
    area = tensile_area_mm2(diameter, values["rod.bolt.pitch"])
    return torque_nm(0.65 * values["rod.bolt.proof"] * area, diameter)


def _bolt_length(values: ValuesByKey) -> float:
    bolt, diameter = "rod.bolt.", values["rod.bolt.diameter"]
    if values["nut on the rod bolts"]:
        return (
            values[bolt + "shoulder"] + values[bolt + "seat"] + values[bolt + "nut_height"] + 0.2 * diameter
        )
    return values[bolt + "seat"] + 2.33 * diameter


ROWS: Final = (
    Proportion(
        "rod.length", "machined", "caliper",
        "caliper from edge to edge of both bores, and half of both diameters, to 0.002 in (0.05 mm)",
        _length,
        "deck height less compression height, half the stroke and 0.4 mm, else 1.72 times the stroke "
        "(starters)",
        leaves=0.05,
    ),
    Proportion(
        "rod.big_end.bore", "journal", "bore_gauge",
        "bore gauge in the housing, cap torqued, no shells, to 0.0001 in (0.002 mm)",
        _housing,
        "crankpin, two shells and an oil clearance of 0.000875 of the pin (a bearing maker's note)",
        leaves=0.002,
    ),
    Proportion(
        "rod.big_end.outside", "forged", "caliper",
        "caliper over the ring round the bore, beside the bolts, to 0.010 in (0.25 mm)",
        lambda v: v["rod.big_end.bore"] + 0.133 * _bore(v),
        f"housing bore and 0.133 of the bore ({OWN})",
        leaves=0.25,
    ),
    Proportion(
        "rod.big_end.width", "machined", "micrometer",
        "micrometer across the faces of the big end, to 0.001 in (0.02 mm)",
        _big_end_width,
        f"the crankpin's width less the side clearance, else 0.267 of the bore ({OWN})",
        leaves=0.02,
    ),
    Proportion(
        "rod.small_end.outside", "forged", "caliper",
        "caliper over the small end, across the rod, to 0.010 in (0.25 mm)",
        lambda v: v["piston.pin.diameter"] + 0.111 * _bore(v),
        f"piston pin and 0.111 of the bore ({OWN})",
        leaves=0.25,
    ),
    Proportion(
        "rod.small_end.width", "machined", "caliper",
        "caliper across the faces of the small end, to 0.004 in (0.1 mm)",
        lambda v: min(0.25 * _bore(v), v["piston.boss.gap"] - 0.022 * _bore(v) if "piston.boss.gap" in v else math.inf),
        f"a quarter of the bore ({OWN})",
        leaves=0.1,
    ),
    Proportion(
        "rod.small_end.bore", "journal", "bore_gauge",
        "small bore gauge set by the pin's micrometer reading, two directions, to 0.0001 in (0.002 mm)",
        leaves=0.002,
    ),
    Proportion(
        "rod.beam.width_big", "forged", "caliper",
        "caliper across the blade where it meets the big end, to 0.020 in (0.5 mm)",
        lambda v: 0.448 * v["rod.big_end.outside"],
        f"0.448 of the big end's outside ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "rod.beam.width_small", "forged", "caliper",
        "caliper across the blade where it meets the small end, to 0.020 in (0.5 mm)",
        lambda v: 0.75 * v["rod.small_end.outside"],
        f"three quarters of the small end's outside ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "rod.beam.thickness", "forged", "caliper",
        "caliper over the blade along the crank, to 0.020 in (0.5 mm)",
        lambda v: 0.8 * min(v["rod.small_end.width"], v["rod.big_end.width"]),
        f"0.8 of the small end's width ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "rod.beam.web", "forged", "caliper",
        "caliper with long jaws over the web of the blade, to 0.020 in (0.5 mm)",
        lambda v: 0.25 * v["rod.beam.thickness"],
        f"a quarter of the blade's thickness ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "rod.beam.flange", "forged", "caliper",
        "caliper over one flange of the blade, to 0.020 in (0.5 mm)",
        lambda v: min(0.167 * v["rod.beam.width_small"], 0.222 * v["rod.beam.thickness"]),
        f"a sixth of the blade's width at the small end ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "rod.chamfer.cheek", "depth", "caliper",
        "caliper or loupe on the leg of the large chamfer, to 0.010 in (0.25 mm)",
        _chamfer,
        "the fillet of the crankpin and a tenth, at least 0.2 mm more (starters)",
        leaves=0.25,
    ),
    Proportion(
        "rod.chamfer.other", "depth", "caliper",
        "caliper or loupe on the leg of the small chamfer, to 0.010 in (0.25 mm)",
        _other_chamfer,
        "as the other side where a rod has a cheek on each; 0.4 mm towards a neighbour rod (starters)",
        leaves=0.25,
    ),
    Proportion(
        "rod.cap.height", "forged", "caliper",
        "caliper from the joint face to the bottom of the cap, to 0.010 in (0.25 mm)",
        lambda v: v["rod.big_end.bore"] / 2 + 0.083 * _bore(v),
        f"half the housing bore and 0.083 of the bore ({OWN})",
        leaves=0.25,
    ),
    Proportion(
        "rod.cap.rib_width", "forged", "caliper",
        "caliper across the rib at the bottom of the cap, to 0.020 in (0.5 mm)",
        lambda v: 0.311 * _bore(v),
        f"0.311 of the bore ({OWN})",
        leaves=0.5,
    ),
    Proportion(
        "rod.bolt.diameter", "stock", "caliper",
        "caliper over the shank; bolts come in standard sizes, to 0.002 in (0.05 mm)",
        lambda v: 0.1 * _bore(v),
        f"a tenth of the bore ({OWN})",
        leaves=0.05,
    ),
    Proportion(
        "rod.bolt.pitch", "stock", "thread_gauge",
        "thread gauge; the leaf that fits without light",
        lambda v: 0.111 * v["rod.bolt.diameter"],
        "a ninth of the bolt, a fine thread (starters)",
    ),
    Proportion(
        "rod.bolt.spacing", "machined", "caliper",
        "caliper over both bolts, less one diameter, to 0.004 in (0.1 mm)",
        lambda v: v["rod.big_end.bore"] + v["rod.bolt.diameter"] + 0.022 * _bore(v),
        f"housing bore, one bolt and 0.022 of the bore for the walls ({OWN})",
        leaves=0.1,
    ),
    Proportion(
        "rod.bolt.length", "stock", "caliper",
        "caliper from under the head to the end of the thread, to 0.010 in (0.25 mm)",
        _bolt_length,
        "the seat and 2.33 diameters of thread; with a nut shoulder, seat and nut and a little (starters)",
        leaves=0.25,
    ),
    Proportion(
        "rod.bolt.seat", "machined", "depth_gauge",
        "depth gauge or caliper from the joint face to the seat on the cap, to 0.004 in (0.1 mm)",
        lambda v: v["rod.cap.height"] - 0.178 * _bore(v),
        f"the cap's height less 0.178 of the bore ({OWN})",
        leaves=0.1,
    ),
    Proportion(
        "rod.bolt.shoulder", "machined", "caliper",
        "caliper from the joint face up to the shoulder of the rod, to 0.010 in (0.25 mm)",
        lambda v: 0.206 * _bore(v),
        f"0.206 of the bore ({OWN})",
        leaves=0.25,
    ),
    Proportion(
        "rod.bolt.head_diameter", "stock", "caliper",
        "caliper over the corners of the head, to 0.004 in (0.1 mm)",
        lambda v: 1.5 * v["rod.bolt.diameter"],
        "one and a half bolt diameters (starters)",
        leaves=0.1,
    ),
    Proportion(
        "rod.bolt.head_height", "stock", "caliper",
        "caliper from the seat to the top of the head, to 0.004 in (0.1 mm)",
        lambda v: 0.944 * v["rod.bolt.diameter"],
        "0.944 of the bolt (starters)",
        leaves=0.1,
    ),
    Proportion(
        "rod.bolt.nut_diameter", "stock", "caliper",
        "caliper over the corners of the nut, to 0.004 in (0.1 mm)",
        lambda v: 1.75 * v["rod.bolt.diameter"],
        "1.75 bolt diameters (demo engines)",
        leaves=0.1,
    ),
    Proportion(
        "rod.bolt.nut_height", "stock", "caliper",
        "caliper over the height of the nut, to 0.004 in (0.1 mm)",
        lambda v: v["rod.bolt.diameter"],
        "as high as the bolt is thick (demo engines)",
        leaves=0.1,
    ),
    Proportion(
        "rod.bolt.torque", "torque", "sheet",
        "the sheet in the box of bolts; never guessed",
        _torque,
        "65 percent of the proof load by 0.18 times diameter (Shigley, chapter 8)",
    ),
    Proportion(
        "rod.bolt.proof", "material", "sheet",
        "the sheet in the box of bolts, or the grade stamped on the head",
        lambda v: 900.0,
        "900 MPa (starters)",
    ),
    Proportion(
        "rod.bearing.wall", "stock", "micrometer",
        "ball micrometer at the crown of the shell, to 0.0001 in (0.002 mm)",
        _shell,
        "half of what crankpin and oil clearance leave of the housing, else 0.0284 of the pin (starters)",
        leaves=0.002,
    ),
    Proportion(
        "rod.bearing.width", "stock", "caliper",
        "caliper across the shell, to 0.004 in (0.1 mm)",
        lambda v: v["rod.big_end.width"] - 2 * _chamfer(v),
        "the big end less the pin's fillet, and a tenth of it, at each side",
        leaves=0.1,
    ),
    Proportion(
        "rod.bearing.crush", "depth", "depth_gauge",
        "dial indicator from the joint to the end of the shell, the other end held flush, to 0.0004 in (0.01 mm)",
        leaves=0.01,
    ),
    Proportion(
        "rod.bearing.grades[].wall", "stock", "micrometer",
        "ball micrometer at the crown of the shell, or the mark on its back, to 0.0001 in (0.002 mm)",
        lambda v: v["rod.bearing.wall"],
        "as thick as the shells that are in",
        leaves=0.002,
    ),
    Proportion(
        "rod.bearing.tang", "stock", "caliper",
        "caliper across the tang of the shell, to 0.010 in (0.25 mm)",
        leaves=0.25,
    ),
    Proportion(
        "rod.mass_big", "mass", "scales",
        "scales under the big end, the small end hung level, to 1 gram",
        leaves=0.001,
    ),
    Proportion(
        "rod.mass_small", "mass", "scales",
        "scales under the small end, the big end hung level, to 1 gram",
        leaves=0.001,
    ),
    Proportion(
        "rod.mesh_at", "machined", "caliper",
        "where the scan's own zero lies in the rod, to 0.002 in (0.05 mm)",
        leaves=0.05,
    ),
)  # fmt: skip
