"""Least clearances, the trade's or the builder's own, each with where it comes from."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.spec.engine import Engine
from geometry.trade import ROD_SIDE_SINGLE_MM, rod_side
from geometry.units import INCH_MM


@dataclass(frozen=True, slots=True)
class Limit:
    """A least clearance and its source."""

    name: str
    least_mm: float
    source: str


_PRACTICE = "common practice, no source"
_ARTICLES = "trade articles on piston to valve clearance"
# Names are the keys of [limits] in the engine file. Values are defaults of the trade; part makers' figures win.
DEFAULTS: dict[str, Limit] = {
    limit.name: limit
    for limit in (
        Limit("rod_to_block", 0.050 * INCH_MM, f"0.050 in, {_PRACTICE}"),
        Limit("rod_to_cam", 0.050 * INCH_MM, f"0.050 in, {_PRACTICE}"),
        Limit("rod_to_piston", 0.040 * INCH_MM, f"0.040 in, {_PRACTICE}"),
        Limit("rod_to_counterweight", 0.040 * INCH_MM, f"0.040 in, {_PRACTICE}"),
        Limit("rod_to_rod", 0.040 * INCH_MM, f"0.040 in, {_PRACTICE}"),
        Limit("piston_to_block", 0.040 * INCH_MM, f"0.040 in, {_PRACTICE}"),
        Limit("rod_side", ROD_SIDE_SINGLE_MM[0], "one rod on a pin"),
        Limit("counterweight_to_piston", 0.050 * INCH_MM, f"0.050 in, {_PRACTICE}"),
        Limit("counterweight_to_block", 0.040 * INCH_MM, f"0.040 in, {_PRACTICE}"),
        Limit("crank_to_cam", 0.050 * INCH_MM, f"0.050 in, {_PRACTICE}"),
        Limit("crank_to_pan", 0.060 * INCH_MM, f"0.060 in, {_PRACTICE}"),
        Limit("piston_to_head", 0.035 * INCH_MM, "0.035 in with steel rods, trade articles on squish"),
        Limit("piston_to_intake_valve", 0.080 * INCH_MM, f"0.080 in along the bore, {_ARTICLES}"),
        Limit("piston_to_exhaust_valve", 0.100 * INCH_MM, f"0.100 in along the bore, {_ARTICLES}"),
        Limit("valve_to_pocket", 0.050 * INCH_MM, f"0.050 in, {_ARTICLES}"),
        Limit("valve_to_bore", 0.020 * INCH_MM, f"0.020 in, {_PRACTICE}"),
        Limit("valve_to_valve", 0.040 * INCH_MM, f"0.040 in, {_PRACTICE}"),
        Limit("piston_to_piston", 0.050 * INCH_MM, f"0.050 in, {_PRACTICE}"),
        Limit("notch_wall", 0.080 * INCH_MM, f"0.080 in, {_PRACTICE}"),
    )
}
PISTON_TO_VALVE = ("piston_to_intake_valve", "piston_to_exhaust_valve")
"""Limits that the file's ``piston_to_valve`` stands in for where it does not give them one by one."""
ALUMINIUM_ROD_TO_HEAD = Limit(
    "piston_to_head", 0.050 * INCH_MM, "0.050 in with aluminium rods, trade article"
)


def limit_for(spec: Engine, name: str) -> Limit:
    """The least clearance of this name for this engine: the file's own, else the trade's."""
    own = getattr(spec.limits, f"{name}_mm")
    if own is None and name in PISTON_TO_VALVE:
        own = spec.limits.piston_to_valve_mm
    if own is not None:
        return Limit(name, own, "your engine file")
    if name == "rod_side":
        fit = rod_side(spec)
        return Limit(name, fit.least_mm or 0.0, fit.source.text)
    if name == "piston_to_head" and spec.rod.material == "aluminium":
        return ALUMINIUM_ROD_TO_HEAD
    return DEFAULTS[name]
