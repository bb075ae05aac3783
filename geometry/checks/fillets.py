"""Rods beside their crank cheeks: side clearance on the pin, and every edge against the fillet."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import partial

from geometry.assembly import Assembly
from geometry.checks.departures import cure_of
from geometry.checks.section import Amount, Check, Column, Figure, Finding, Row, Section, asked, length
from geometry.clearance.limits import Limit, limit_for
from geometry.fillet import EdgeFit, chamfer_needed_mm, edge_fit, side_gap_needed_mm
from geometry.kinematics.layout import BoreSite
from geometry.spec.engine import Engine
from geometry.units import System, show_fine

SIDE, ROD_EDGE, SHELL_EDGE = "side clearance", "rod edge to fillet", "shell edge to fillet"
RIDES = "by definition: below zero the edge rides on the fillet"


@dataclass(frozen=True, slots=True)
class SideFit:
    """One rod on its pin.

    Attributes
    ----------
    total_mm : pin width less the rods on it: the whole side clearance
    chamfer_mm : the chamfer that faces the cheek as put together
    needed_mm : the chamfer that the fillet asks for when the rod stands against the cheek
    rod : the rod's edge against the fillet when the rod is pushed against the cheek
    shell : the bearing shell's edge against the fillet, likewise
    lost_mm : side clearance that this rod's own edges cannot use for the fillets
    left_mm : side clearance that remains on the pin when no edge of any rod on it may ride on a fillet; below
        zero it is bound
    """

    total_mm: float
    chamfer_mm: float
    needed_mm: float
    rod: EdgeFit
    shell: EdgeFit
    lost_mm: float
    left_mm: float

    @property
    def neighbour_takes(self) -> bool:
        """Whether all that is lost on this pin is lost by the other rod on it."""
        return self.lost_mm <= 0.0 and self.left_mm < self.total_mm - 1e-9


def total_side_clearance_mm(assembly: Assembly, site: BoreSite) -> float:
    """Width of the crankpin less the rods on it (split pins: of the rod's own half)."""
    spec = assembly.spec
    return spec.crank.pin.width_mm - len(rods_on_pin(assembly, site)) * spec.rod.big_end.width_mm


def rods_on_pin(assembly: Assembly, site: BoreSite) -> tuple[BoreSite, ...]:
    """The rods that share a journal, from the front: one, or two on a common pin."""
    if site.partner is None or assembly.spec.crank.split_deg:
        return (site,)
    return tuple(sorted((site, assembly.layout.site(site.partner)), key=lambda s: s.x_mm))


def cheek_chamfers(assembly: Assembly, site: BoreSite) -> tuple[float, ...]:
    """Legs of the chamfers that face a cheek, as put together: two where a single rod has a cheek each side."""
    chamfer = assembly.spec.rod.chamfer
    build = assembly.built.bore(site.bore)
    turned = build.rod_turned or build.cap_turned  # either half brings its small chamfer to the cheek
    if cheek_on_both_sides(assembly.spec, site):
        return (chamfer.cheek_mm, chamfer.other_mm)
    return (chamfer.other_mm if turned else chamfer.cheek_mm,)


def cheek_on_both_sides(spec: Engine, site: BoreSite) -> bool:
    """Whether both chamfers of a rod meet a fillet: alone on its throw, or beside the web of a split pin."""
    return site.cheek_side == "both" or bool(spec.crank.split_deg)


def turning_tells(spec: Engine, site: BoreSite) -> bool:
    """Whether a rod turned round meets other fillets than before."""
    return not cheek_on_both_sides(spec, site) and spec.rod.chamfer.cheek_mm != spec.rod.chamfer.other_mm


def side_fit(assembly: Assembly, site: BoreSite) -> SideFit:
    """How one rod stands between its cheek and its neighbour; the tighter side where it has two cheeks."""
    spec = assembly.spec
    fillet = spec.crank.pin.fillet_mm
    rod_gap, shell_gap, inset = _gaps_mm(assembly, site)
    chamfers = cheek_chamfers(assembly, site)
    rod = min((edge_fit(fillet, 0.0, rod_gap, leg) for leg in chamfers), key=lambda fit: fit.clearance_mm)
    total = total_side_clearance_mm(assembly, site)
    return SideFit(
        total,
        min(chamfers),
        chamfer_needed_mm(fillet, 0.0, rod_gap),
        rod,
        edge_fit(fillet, inset, shell_gap, 0.0),
        lost_mm(assembly, site),
        total - sum(lost_mm(assembly, one) for one in rods_on_pin(assembly, site)),
    )


def lost_mm(assembly: Assembly, site: BoreSite) -> float:
    """How far one rod must stay off its cheeks, all told, so that neither its edge nor its shell's rides."""
    fillet = assembly.spec.crank.pin.fillet_mm
    rod_gap, shell_gap, inset = _gaps_mm(assembly, site)
    shell = max(side_gap_needed_mm(fillet, shell_gap, 0.0) - inset, 0.0)
    legs = cheek_chamfers(assembly, site)
    return sum(max(side_gap_needed_mm(fillet, rod_gap, leg), shell) for leg in legs)


def _gaps_mm(assembly: Assembly, site: BoreSite) -> tuple[float, float, float]:
    """Radial gap of the rod's and of the shell's bore to the crankpin, and how far the shell stands back."""
    rod, journal = assembly.design(site.bore).rod, assembly.spec.crank.pin.diameter_mm / 2
    rod_gap = rod.big_end.bore_mm / 2 - journal
    return rod_gap, rod_gap - rod.bearing.wall_mm, (rod.big_end.width_mm - rod.bearing.width_mm) / 2


def run(assembly: Assembly, system: System) -> Section:
    """One row per bore."""
    limit = limit_for(assembly.spec, "rod_side")
    rows: list[Row] = []
    findings: list[Finding] = []
    for site in sorted(assembly.layout.bores, key=lambda s: s.bore):
        fit = side_fit(assembly, site)
        words, severity = _verdict(fit, limit.least_mm)
        rows.append(
            {
                "bore": site.bore,
                "shares_pin_with": site.partner,
                "side_clearance_mm": length(fit.total_mm),
                "side_clearance_left_mm": length(fit.left_mm),
                "limit_mm": length(limit.least_mm),
                "limit_source": limit.source,
                "chamfer_to_cheek_mm": length(fit.chamfer_mm),
                "chamfer_needed_mm": length(fit.needed_mm),
                "fillet_mm": length(assembly.spec.crank.pin.fillet_mm),
                "rod_edge_to_fillet_mm": Amount(fit.rod.clearance_mm, "length", fine=True),
                "shell_edge_to_fillet_mm": Amount(fit.shell.clearance_mm, "length", fine=True),
                "verdict": words,
                "severity": severity,
            }
        )
        if severity and not fit.neighbour_takes:  # told at the bore of the rod that rides
            findings.append(_finding(assembly, site, fit, limit, system))
    columns = (
        Column("bore", "bore"), Column("shares_pin_with", "pin shared with"),
        Column("side_clearance_mm", "side clearance"), Column("side_clearance_left_mm", "side clearance left"),
        Column("limit_mm", "at least"), Column("chamfer_to_cheek_mm", "chamfer at cheek"),
        Column("chamfer_needed_mm", "chamfer needed"), Column("fillet_mm", "pin's fillet"),
        Column("shell_edge_to_fillet_mm", "shell edge to fillet"), Column("verdict", "verdict"),
    )  # fmt: skip
    notes = (
        "Edges are taken with the rod pushed against its cheek; below zero the edge rides on the fillet.",
        f"Side clearance: total on one pin, at least {show_fine(limit.least_mm, system)} ({limit.source}).",
        "The large chamfer faces the cheek (trade article on fillet ride; service manuals).",
    )
    return Section(
        "sides", "Rods on their pins", columns, tuple(rows), tuple(findings), notes,
        figures=figures(assembly, None),
    )  # fmt: skip


def figures(assembly: Assembly, only: Collection[int] | None) -> tuple[Figure, ...]:
    """Side clearance that the fillets leave, and both edges against the fillet, of each rod."""
    limit = limit_for(assembly.spec, "rod_side")
    found = []
    for row, site in asked(assembly, only):
        fit = side_fit(assembly, site)
        held = (
            (SIDE, fit.left_mm, limit.least_mm, "side_clearance_left_mm", limit.source),
            (ROD_EDGE, fit.rod.clearance_mm, 0.0, "rod_edge_to_fillet_mm", RIDES),
            (SHELL_EDGE, fit.shell.clearance_mm, 0.0, "shell_edge_to_fillet_mm", RIDES),
        )
        found += [
            Figure(name, site.bore, value, least, None, "length", row, column, source)
            for name, value, least, column, source in held
        ]
    return tuple(found)


def _verdict(fit: SideFit, least_mm: float) -> tuple[str, str]:
    if fit.left_mm <= 0:
        return "bound", "stop"
    if min(fit.rod.clearance_mm, fit.shell.clearance_mm) < -1e-9:
        return "rides on the fillet", "stop"
    return ("clear", "") if fit.left_mm >= least_mm else ("tight", "stop")


def _finding(assembly: Assembly, site: BoreSite, fit: SideFit, limit: Limit, system: System) -> Finding:
    text, least_mm, source = partial(show_fine, system=system), limit.least_mm, limit.source
    bores = [site.bore, *([] if site.partner is None else [site.partner])]
    cure = cure_of(assembly, bores, lambda right: not _verdict(side_fit(right, site), least_mm)[1])
    worst = min(fit.rod.clearance_mm, fit.shell.clearance_mm)
    left = f"{text(fit.left_mm)} of {text(fit.total_mm)} side clearance is left on this pin"
    if fit.left_mm <= 0:
        left = (
            f"none of the {text(fit.total_mm)} side clearance on this pin is left, it is {text(-fit.left_mm)} "
            "past bound"
        )
    if worst < -1e-9:
        edge = "rod's edge" if fit.rod.clearance_mm <= fit.shell.clearance_mm else "bearing shell's edge"
        return Finding(
            "fillet_ride", "stop", site.bore,
            f"the {edge} digs {text(-worst)} into the crankpin's fillet when the rod stands against the cheek; {left}",
            cure or "a larger chamfer on rod and cap; narrower or chamfered shells for this fillet",
            figure=ROD_EDGE if fit.rod.clearance_mm <= fit.shell.clearance_mm else SHELL_EDGE,
        )  # fmt: skip
    return Finding(
        "rod_side", "stop", site.bore,
        f"{left}, at least {text(least_mm)} ({source})",
        cure or "narrower rods or a wider crankpin", figure=SIDE,
    )  # fmt: skip


READS = ("crank.pin.", "crank.split", "rod.bearing", "rod.big_end", "rod.chamfer")
CHECK = Check("sides", 40, run, figures, reads=READS)
