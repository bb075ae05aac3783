"""Notches at the bottom of the bores: how much of the wall they leave."""

from __future__ import annotations

from collections.abc import Collection

from geometry.assembly import Assembly
from geometry.checks.section import Check, Column, Figure, Finding, Row, Section, length
from geometry.clearance.limits import Limit, limit_for
from geometry.spec.engine import Engine
from geometry.units import System, show, show_fine

WALL_LEFT = "wall left"


def wall_mm(spec: Engine) -> float:
    """Wall of the bores where they stand in the crankcase: as written, or all that neighbours leave one another."""
    bore = spec.block.bore
    return bore.wall_mm if bore.spacing_mm is None else min(bore.wall_mm, bore.spacing_mm - bore.diameter_mm)


def wall_left_mm(spec: Engine) -> float:
    """What a notch leaves of that wall, at the bore where that is least; all of it without one."""
    notch = spec.block.bore.notch
    thinnest = min(wall_mm(one) for one in (spec, *(spec.of_bore(int(number)) for number in spec.bore)))
    return max(thinnest - (0.0 if notch is None else notch.depth_mm), 0.0)


def wall_finding(left_mm: float, whole_mm: float, limit: Limit, system: System) -> Finding | None:
    """What to say of a notch that leaves so much of the wall, or None when it leaves enough."""
    if left_mm >= limit.least_mm - 1e-9:
        return None
    whole, least = (show(v, "length", system) for v in (whole_mm, limit.least_mm))
    left = show(left_mm, "length", system)
    said = f"leaves {left} of the {whole} wall" if left_mm > 0 else f"goes right through the {whole} wall"
    return Finding(
        "notch_wall",
        "look",
        None,
        f"the notch at the bottom of the bores {said}; at least {least} ({limit.source})",
        "smaller bolt heads or rods need less of it; have the wall sounded before it is ground",
        figure=WALL_LEFT,
    )


def run(assembly: Assembly, system: System) -> Section:
    """One row where the engine file has a notch."""
    spec, notch = assembly.spec, assembly.spec.block.bore.notch
    columns = (
        Column("sides", "side"), Column("depth_mm", "depth"), Column("wall_mm", "bore wall"),
        Column("wall_left_mm", "wall left"), Column("limit_mm", "at least"), Column("verdict", "verdict"),
    )  # fmt: skip
    if notch is None:
        return Section("notch", "Notch at the bottom of the bores", columns, ())
    limit, whole, left = limit_for(spec, "notch_wall"), wall_mm(spec), wall_left_mm(spec)
    finding = wall_finding(left, whole, limit, system)
    row: Row = {
        "sides": notch.sides,
        "depth_mm": length(notch.depth_mm),
        "wall_mm": length(whole),
        "wall_left_mm": length(left),
        "limit_mm": length(limit.least_mm),
        "limit_source": limit.source,
        "verdict": "clear" if finding is None else "thin",
        "severity": "" if finding is None else finding.severity,
    }
    notes = (f"Wall left: at least {show_fine(limit.least_mm, system)} ({limit.source}).",)
    findings = () if finding is None else (finding,)
    return Section(
        "notch", "Notch at the bottom of the bores", columns, (row,), findings, notes,
        figures=figures(assembly, None),
    )  # fmt: skip


def figures(assembly: Assembly, only: Collection[int] | None) -> tuple[Figure, ...]:
    """The wall that a notch leaves; it is the whole engine's, whichever bores are asked for."""
    if assembly.spec.block.bore.notch is None:
        return ()
    limit, left = limit_for(assembly.spec, "notch_wall"), wall_left_mm(assembly.spec)
    return (
        Figure(
            WALL_LEFT, None, left, limit.least_mm, None, "length", 0, "wall_left_mm", limit.source, "look"
        ),
    )


READS = ("block.bore.",)
CHECK = Check("notch", 35, run, figures, reads=READS)
