"""The ring clock of every bore, written for the page: the same facts and words as on paper (``viewer/paper/clock``)."""

from __future__ import annotations

from typing import Final

from geometry.assembly import Assembly
from geometry.checks.section import Severity, gravest
from geometry.rings.angles import Arc, hour_text, separation_deg, signed_deg
from geometry.rings.schemes import ROLE_WORDS
from geometry.units import System, show_fine
from viewer.page.shape import ArcData, ClockData, ClosestGapsData, RingMarkData
from viewer.paper.clock.plans import ClockPlan, plans_of
from viewer.paper.clock.wording import (
    BUTTED,
    RAIL_UP,
    degrees_text,
    range_text,
    state_text,
    verdict_words,
)

STATE_SEVERITY: Final[dict[str, Severity]] = {
    "below": "stop", "above": "look", "cannot_tell": "look", "within": "note",
}  # fmt: skip
"""As the check of the rings takes a gap that is too small, too wide, open, or within."""
_MOVED_DEG: Final = 0.5


def clocks_of(assembly: Assembly, system: System, assumed: str) -> list[ClockData]:
    """One clock for all bores that are alike in all that it says.

    Parameters
    ----------
    assumed : what verdicts rest on, empty where nothing is assumed
    """
    found: list[ClockData] = []
    for bore in sorted(site.bore for site in assembly.layout.bores):
        clock = _one(plans_of(assembly, bore)[0], bore, system, assumed)
        same = next((one for one in found if {**one, "bores": []} == {**clock, "bores": []}), None)
        if same is None:
            found.append(clock)
        else:
            same["bores"].append(bore)
    return found


def _one(plan: ClockPlan, bore: int, system: System, assumed: str) -> ClockData:
    clock = plan.clock
    findings = [finding.severity for finding in clock.verdict.findings]
    return {
        "bores": [bore],
        "thrust_deg": round(clock.thrust_deg, 6),
        "thrust_words": clock.thrust_words,
        "turned": plan.turned,
        "bosses": [_arc(arc) for arc in clock.places.bosses],
        "pockets": [_arc(arc) for arc in clock.places.pockets],
        "closest": _closest(plan),
        "severity": gravest(findings),
        "said": [text for text, _ in verdict_words(clock, everything=True)],
        "rings": [_ring(plan, bore, role, system, assumed) for role in clock.angles_deg],
        "scheme": f"{clock.scheme.words} Source: {clock.scheme.source}.",
    }


def _ring(plan: ClockPlan, bore: int, role: str, system: System, assumed: str) -> RingMarkData:
    """One gap; what stands at the expander's joint."""
    angle, planned = plan.clock.angles_deg[role], plan.planned_deg.get(role)
    moved = planned is not None and separation_deg(angle, planned) > _MOVED_DEG
    fit = plan.fits[bore].get(role)
    mark: RingMarkData = {
        "ring": role,
        "words": ROLE_WORDS[role],
        "clock_deg": round(angle, 6),
        "degrees": degrees_text(angle),
        "hour": hour_text(angle),
        "planned_deg": round(planned, 6) if moved and planned is not None else None,
        "gap": "",
        "limit": "",
        "source": "",
        "verdict": "",
        "severity": "note",
        "way_up": BUTTED,
    }
    if fit is not None:
        mark["gap"] = show_fine(fit.gap_mm, system)
        mark["limit"] = range_text(fit, system)
        mark["source"] = str(fit.verdict.target.source)
        mark["verdict"] = state_text(fit, assumed)
        mark["severity"] = STATE_SEVERITY[fit.verdict.state]
        said = RAIL_UP if fit.way is None else fit.way.how
        mark["way_up"] = f"FOUND UPSIDE DOWN. {said}" if role in plan.over else said
    elif role == "expander":
        mark["verdict"] = "ends OVERLAPPED" if plan.overlapped else "ends butt"
        mark["severity"] = "stop" if plan.overlapped else "note"
    if role in plan.over:
        mark["severity"] = "stop"
    return mark


def _closest(plan: ClockPlan) -> ClosestGapsData | None:
    """The smallest distance between two ring gaps, as a dimension in the middle of the crown."""
    pair, apart = plan.clock.verdict.smallest_pair, plan.clock.verdict.smallest_deg
    if pair is None or apart is None:
        return None
    first, second = (plan.clock.angles_deg[role] for role in pair)
    return {
        "first_deg": round(first, 6),
        "sweep_deg": round(signed_deg(second - first), 6),
        "words": degrees_text(apart),
    }


def _arc(arc: Arc) -> ArcData:
    return {"words": arc.label, "centre_deg": round(arc.centre_deg, 6), "half_deg": round(arc.half_deg, 6)}
