"""What can be ground off where rods strike block or camshaft, as rows and findings: computed only when asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from geometry.assembly import Assembly
from geometry.checks.notch import wall_finding, wall_mm
from geometry.checks.section import Column, Finding, Row, Section, length
from geometry.clearance.full_turn import full_turn
from geometry.clearance.least import SHOP_STEP_MM
from geometry.clearance.limits import limit_for
from geometry.clearance.relief import (
    OIL_RING_SPARE_MM,
    FlatRelief,
    NotchRelief,
    Short,
    flat_relief,
    notch_relief,
    notch_room_mm,
    short_of,
)
from geometry.units import System, show

CAUTION: Final = (
    "Check water jacket thickness before grinding a block; ask the bolts' maker before touching a bolt."
)


@dataclass(frozen=True, slots=True, eq=False)
class Reliefs:
    """What can be ground off.

    Attributes
    ----------
    limit_mm : least distance of rods to block and camshaft
    missed : whether any rod, cap or bolt is short of it
    walls : the pairs that are short of it at the wall of a bore
    notch, flats : what restores it; None and none where nothing does
    """

    limit_mm: float
    missed: bool
    walls: tuple[Short, ...] = ()
    notch: NotchRelief | None = None
    flats: tuple[FlatRelief, ...] = ()


def reliefs_of(assembly: Assembly, system: System) -> Reliefs:
    """The smallest notch and bolt-head flats that restore the limits, in steps of what a shop can hold."""
    turn = full_turn(assembly)
    limit = limit_for(assembly.spec, "rod_to_block").least_mm
    short = [
        n for n in turn.near if n.pair.limit in ("rod_to_block", "rod_to_cam") and n.approach.floor_mm < limit
    ]
    if not short:
        return Reliefs(limit, missed=False)
    walls = short_of(assembly, short, lambda pair: limit_for(assembly.spec, pair.limit).least_mm)
    notch = notch_relief(assembly, walls, system, notch_room_mm(assembly))
    flats = [flat_relief(assembly, turn, limit, system, place) for place in ("head", "nut")]
    return Reliefs(limit, True, tuple(walls), notch, tuple(flat for flat in flats if flat is not None))


def relief_section(assembly: Assembly, system: System, reliefs: Reliefs | None = None) -> Section:
    """The smallest notch and bolt-head flat that restore the limits, as rows and findings."""
    found = reliefs_of(assembly, system) if reliefs is None else reliefs
    title, rows = "Relief", []
    columns = (
        Column("what", "take off"),
        Column("size", "size"),
        Column("restores_mm", "least distance then"),
    )
    if not found.missed:
        return Section("relief", title, columns, (), (), ("No rod, cap or bolt is short of its limit.",))
    findings: list[Finding] = []
    if found.notch is not None:
        rows.append(_notch_row(found.notch, system))
        thin = wall_finding(
            found.notch.wall_mm, wall_mm(assembly.spec), limit_for(assembly.spec, "notch_wall"), system
        )
        findings += [thin] if thin is not None else []
    for flat in found.flats:
        off, left = (show(v, "length", system) for v in (flat.depth_mm, flat.left_mm))
        size = f"{off} off the outer side, {left} left from the axis"
        rows.append({"what": f"flat on each bolt {flat.place}", "size": size, "restores_mm": length(flat.floor_mm),
                     "depth_mm": length(flat.depth_mm)})  # fmt: skip
    if not rows:
        findings.append(
            Finding("relief", "look", None, "no notch within the bore wall and no flat on the bolts restores the limit",
                    "a shorter stroke, smaller rods or bolts, or another block")
        )  # fmt: skip
    notes = (
        "Smallest sizes found by certifying the changed solid, in steps of "
        f"{show(SHOP_STEP_MM[system], 'length', system)}, rounded to the safe side; a notch keeps "
        f"{show(OIL_RING_SPARE_MM, 'length', system)} of wall under the oil ring at bottom dead centre.",
        CAUTION,
    )
    table: tuple[Row, ...] = tuple(rows)
    return Section("relief", title, columns, table, tuple(findings), notes)


def _notch_row(notch: NotchRelief, system: System) -> Row:
    """The notch in words, as the engine file would hold it, and as numbers."""
    w, h, d = (show(v, "length", system) for v in (notch.width_mm, notch.height_mm, notch.depth_mm))
    sides = {"both": "both sides", "major": "major thrust side", "minor": "minor thrust side"}
    off = show(abs(notch.offset_mm), "length", system)
    towards = "towards" if notch.offset_mm > 0 else "away from"
    where = f", its middle {off} {towards} the bore on the same throw" if notch.offset_mm else ""
    left = show(notch.wall_mm, "length", system)
    wall = f"{left} of wall left" if notch.wall_mm > 0 else "right through the wall"
    return {
        "what": "notch at the bottom of every bore",
        "size": f"{w} wide along the crank, {h} high, {d} deep, {sides.get(notch.sides, notch.sides)}{where}; {wall}",
        "restores_mm": length(notch.floor_mm),
        "width_mm": length(notch.width_mm),
        "height_mm": length(notch.height_mm),
        "depth_mm": length(notch.depth_mm),
        "offset_mm": length(notch.offset_mm),
        "sides": notch.sides,
        "wall_left_mm": length(notch.wall_mm),
        "set": f"block.bore.notch={notch.written(system)}",
    }
