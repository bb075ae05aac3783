"""Per bore: true dead centres, stroke that results, deck and head clearance, piston speed and acceleration."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from geometry.assembly import Assembly
from geometry.checks.departures import cure_of
from geometry.checks.section import (
    LINKAGE_KEYS,
    Amount,
    Check,
    Column,
    Figure,
    Finding,
    Row,
    Section,
    asked,
    length,
)
from geometry.checks.volumes import volumes_of
from geometry.clearance.limits import Limit, limit_for
from geometry.kinematics.slider_crank import dead_centres
from geometry.kinematics.speeds import peak_acceleration, peak_speed
from geometry.stack import stack_of
from geometry.units import INCH_MM, System, show_fine

TO_HEAD = "to head"
TOO_LOOSE_SQUISH_MM = 0.060 * INCH_MM


def dome_height_mm(assembly: Assembly) -> float:
    """How far a dome stands above the flat of the crown, taken as a flat-topped boss of its own volume."""
    crown = assembly.spec.piston.crown
    if crown.shape != "dome" or crown.diameter_mm is None:
        return 0.0
    return float(crown.volume_cm3 * 1000.0 / (np.pi / 4 * crown.diameter_mm**2))


def run(assembly: Assembly, system: System) -> Section:
    """Rows per bore in the order of the builder's numbers."""
    spec, linkage = assembly.spec, assembly.linkage
    centres, fast, sharp = dead_centres(linkage), peak_speed(linkage), peak_acceleration(linkage)
    omega = spec.engine.speed_rpm * 2 * np.pi / 60
    limit = limit_for(spec, "piston_to_head")
    rows: list[Row] = []
    findings: list[Finding] = []
    for index, site in sorted(enumerate(assembly.layout.bores), key=lambda pair: pair[1].bore):
        stack = stack_of(spec, assembly.layout, site.bore, assembly.built)
        ratio = volumes_of(assembly, site.bore).ratio
        rows.append(
            {
                "bore": site.bore,
                "bank": site.bank,
                "thrust_side": site.thrust_words,
                "top_dead_centre_deg": Amount(float(centres.top_deg[index]), "angle", fine=True),
                "bottom_dead_centre_deg": Amount(float(centres.bottom_deg[index]), "angle", fine=True),
                "down_stroke_deg": Amount(float(centres.down_stroke_deg[index]), "angle", fine=True),
                "stroke_mm": length(float(centres.stroke_mm[index])),
                "deck_clearance_mm": length(stack.deck_mm),
                "piston_to_head_mm": length(stack.head_mm),
                "compression_ratio": None if ratio is None else round(ratio, 3),
                "peak_piston_speed_m_s": Amount(float(fast.speed_mm_per_rad[index]) * omega / 1000, "speed"),
                "peak_piston_speed_after_top_deg": Amount(float(fast.after_top_deg[index]), "angle"),
                "peak_piston_acceleration_m_s2": float(
                    round(abs(sharp.acceleration_mm_per_rad2[index]) * omega**2 / 1000, 1)
                ),
                "peak_piston_acceleration_after_top_deg": Amount(float(sharp.after_top_deg[index]), "angle"),
            }
        )
        findings += _head(assembly, site.bore, stack.head_mm, limit, system)
    columns: tuple[Column, ...] = (
        Column("bore", "bore"), Column("bank", "bank"), Column("thrust_side", "thrust side"),
        Column("top_dead_centre_deg", "true TDC"), Column("bottom_dead_centre_deg", "true BDC"),
        Column("stroke_mm", "stroke"), Column("deck_clearance_mm", "below deck"),
        Column("piston_to_head_mm", "crown to head"), Column("peak_piston_speed_m_s", "top piston speed"),
        Column("peak_piston_speed_after_top_deg", "reached after TDC"),
    )  # fmt: skip
    if spec.bore:  # all alike otherwise, and in the summary
        columns = (*columns[:-2], Column("compression_ratio", "compression"), *columns[-2:])
    notes = (
        "Dead centres are where throw and rod lie in one line; a pin offset moves them and lengthens the stroke.",
        f"Crown to head: deck clearance plus gasket, at least {show_fine(limit.least_mm, system)} "
        f"({limit.source}).",
        "Below deck: how far the crown stops short of it at top dead centre; negative stands out.",
    )
    return Section(
        "bores", "Bores", columns, tuple(rows), tuple(findings), notes, figures=figures(assembly, None)
    )


def figures(assembly: Assembly, only: Collection[int] | None) -> tuple[Figure, ...]:
    """Deck and distance to the head of each bore."""
    spec = assembly.spec
    limit = limit_for(spec, "piston_to_head")
    loose = TOO_LOOSE_SQUISH_MM if dome_height_mm(assembly) == 0.0 else None
    found = []
    for row, site in asked(assembly, only):
        stack = stack_of(spec, assembly.layout, site.bore, assembly.built)
        found += [
            Figure("deck", site.bore, stack.deck_mm, None, None, "length", row, "deck_clearance_mm"),
            Figure(
                TO_HEAD, site.bore, stack.head_mm, limit.least_mm, loose, "length", row, "piston_to_head_mm",
                limit.source, above="note",
            ),
        ]  # fmt: skip
    return tuple(found)


def _head(assembly: Assembly, bore: int, head_mm: float, limit: Limit, system: System) -> list[Finding]:
    """Too tight stops the job; too loose deserves a look."""
    least_mm, source, dome_mm = limit.least_mm, limit.source, dome_height_mm(assembly)
    measured, least = (show_fine(v, system) for v in (head_mm, least_mm))

    def within(right: Assembly) -> bool:
        there = stack_of(right.spec, right.layout, bore, right.built).head_mm
        return there >= least_mm if head_mm < least_mm else there <= TOO_LOOSE_SQUISH_MM

    cure = cure_of(assembly, [bore], within)
    if head_mm < least_mm:
        meets = "the piston meets the head" if head_mm <= 0 else "too close when parts stretch and warm up"
        return [
            Finding(
                "piston_to_head", "stop", bore,
                f"piston to head {measured}, at least {least} ({source}): {meets}",
                cure or "a thicker gasket, a lower compression height, or less off the deck", figure=TO_HEAD,
            )
        ]  # fmt: skip
    if head_mm > TOO_LOOSE_SQUISH_MM and dome_mm == 0.0:
        loose = show_fine(TOO_LOOSE_SQUISH_MM, system)
        return [
            Finding(
                "squish_loose", "note", bore,
                f"piston to head {measured}: wider than {loose}, the squish is idle (trade articles)",
                cure or "a thinner gasket if compression ratio and valves allow", figure=TO_HEAD,
            )
        ]  # fmt: skip
    return []


READS = (*LINKAGE_KEYS, "block.deck_height", "gasket.", "piston.compression_height", "piston.crown")
CHECK = Check("bores", 20, run, figures, reads=READS)
