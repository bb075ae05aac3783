"""The ring clock of every bore: where each gap stands, how far apart, over what, and how to better it."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.checks.section import Amount, Check, Column, Finding, Row, Section, worst_first
from geometry.rings.clocked import BoreClock, bore_clock
from geometry.rings.flow import land_way_mm
from geometry.rings.schemes import RINGS_TURN_NOTE, ROLE_WORDS, ROLES
from geometry.spec.engine import Engine
from geometry.units import System, show


def run(assembly: Assembly, system: System) -> Section:
    """One row per bore."""
    spec = assembly.spec
    sites = sorted(assembly.layout.bores, key=lambda site: site.bore)
    clocks = [bore_clock(spec, site, assembly.built.bore(site.bore)) for site in sites]
    findings = [
        Finding(
            f"clock_{found.rule}",
            found.severity,
            clock.bore,
            f"{found.text.rstrip('.')} ({found.source})",
            found.remedy,
            group=found.group,
        )
        for clock in clocks
        for found in clock.verdict.findings
    ]
    columns = (
        Column("bore", "bore"), Column("thrust_side", "thrust side"), Column("thrust_ring_deg", "thrust at"),
        *(Column(f"{role}_deg", ROLE_WORDS[role]) for role in ROLES),
        Column("smallest_separation_deg", "closest gaps"), Column("smallest_pair", "which two"),
        Column("rules_kept", "rules of the clock"), Column("turn_deg", "turn all by"),
    )  # fmt: skip
    rows = tuple(_row(spec, clock) for clock in clocks)
    return Section("clocks", "Ring clock", columns, rows, worst_first(findings), _notes(clocks[0], system))


def _row(spec: Engine, clock: BoreClock) -> Row:
    verdict, best = clock.verdict, clock.best
    spec = spec.of_bore(clock.bore)
    land_mm = spec.block.bore.diameter_mm - spec.piston.land_clearance_mm
    angles = clock.angles_deg
    way = None
    if "top" in angles and "second" in angles:
        way = Amount(land_way_mm(angles["top"], angles["second"], land_mm), "length")
    row: dict[str, Amount | str | int | float | None] = {
        "bore": clock.bore,
        "scheme": clock.scheme.key,
        "thrust_side": clock.thrust_words,
        "thrust_ring_deg": Amount(clock.thrust_deg, "angle", digits=0),
    }
    row |= {f"{role}_deg": _angle(angles.get(role)) for role in ROLES}
    return row | {
        "smallest_separation_deg": _angle(verdict.smallest_deg),
        "smallest_pair": " - ".join(ROLE_WORDS[role] for role in verdict.smallest_pair or ()),
        "rules_kept": "kept" if not verdict.findings else "broken",
        "turn_deg": _angle(clock.mending_turn_deg),
        "best_turn_deg": _angle(best.turn_deg),
        "best_margin_deg": _angle(best.margin_deg),
        "best_keeps_all": "yes" if best.keeps_all else "no",
        "way_top_to_second_mm": way,
    }


def _angle(value_deg: float | None) -> Amount | None:
    return None if value_deg is None else Amount(value_deg, "angle", digits=1)


def _notes(clock: BoreClock, system: System) -> tuple[str, ...]:
    limit = show(clock.rules.near.deg, "angle", system, 0)
    return (
        f"Scheme: {clock.scheme.words} Source: {clock.scheme.source}.",
        "Angles run clockwise seen from above the crown, 0 at the front of the engine.",
        f"Gaps at least {limit} apart: {clock.rules.near.source}.",
        "Turn all by: the least turn of all gaps together, as they stand, that keeps every rule on this piston; no "
        "figure when no turn does.",
        RINGS_TURN_NOTE,
    )


CHECK = Check("clocks", 55, run)
