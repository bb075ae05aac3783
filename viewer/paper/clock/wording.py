"""What is said about a clocking, in words for the wall."""

from __future__ import annotations

from geometry.rings.clocked import BoreClock
from geometry.rings.fitted import RingFit
from geometry.rings.schemes import ROLE_WORDS
from geometry.units import System, show
from viewer.cautions import AS_ASSUMED
from viewer.paper.clock.plans import ClockPlan

SEVERITY = {"stop": "STOP", "look": "LOOK", "note": "NOTE"}
STATES = {"below": "TOO SMALL", "above": "TOO WIDE", "cannot_tell": "open", "within": "within"}
RAIL_UP = "Either way up unless marked."
BUTTED = "Ends butt, both of them in sight."


def degrees_text(angle_deg: float) -> str:
    """An angle as a builder writes it: whole degrees where it is whole."""
    return f"{angle_deg:.1f}".removesuffix(".0") + "°"


def range_text(fit: RingFit, system: System) -> str:
    """The limits of a gap, one unit behind them."""
    target = fit.verdict.target
    least, unit = show(target.min_mm, "length", system, fine=True).rsplit(" ", 1)
    if target.max_mm is None:
        return f"at least {least} {unit}"
    return f"{least} to {show(target.max_mm, 'length', system, fine=True)}"


def state_text(fit: RingFit, assumed: str) -> str:
    """The verdict on a gap."""
    return STATES[fit.verdict.state] + (AS_ASSUMED if assumed else "")


def gap_text(plan: ClockPlan, role: str, system: System, assumed: str) -> str:
    """Gap, limits and verdict of one ring; what stands at the expander's joint."""
    if role == "expander":
        return "ends OVERLAPPED" if plan.overlapped else "ends butt"
    fit = plan.shared(role)
    if fit is None:
        return "gap by bore, see below"
    gap = show(fit.gap_mm, "length", system, fine=True)
    return f"gap {gap} ({range_text(fit, system)}: {state_text(fit, assumed)})"


def way_up_text(plan: ClockPlan, role: str) -> str:
    """Which side of a ring is up."""
    if role == "expander":
        return BUTTED
    way = plan.fits_of(role)[0].way
    said = RAIL_UP if way is None else way.how
    return f"FOUND UPSIDE DOWN. {said}" if role in plan.over else said


def verdict_words(clock: BoreClock, everything: bool) -> list[tuple[str, bool]]:
    """Paragraphs, each with whether it is printed bold: the verdict first, then the closest gaps, then the cure.

    Parameters
    ----------
    everything : all findings, else the worst one and how many more there are
    """
    findings = clock.verdict.findings
    if not findings:
        return [("Every rule of this clocking is kept.", True), *_closest(clock)]
    shown = findings if everything else findings[:1]
    said = [(f"{SEVERITY[finding.severity]}: {finding.text} {finding.remedy}", True) for finding in shown]
    more = len(findings) - len(shown)
    if more:
        said[0] = (f"{said[0][0]} ({more} more: print this bore alone.)", True)
    return [*said, *_closest(clock), *_cure(clock)]


def _closest(clock: BoreClock) -> list[tuple[str, bool]]:
    pair, apart = clock.verdict.smallest_pair, clock.verdict.smallest_deg
    if pair is None or apart is None:
        return []
    ruled = any(m.rule == "near" and set(m.roles) == set(pair) for m in clock.verdict.margins)
    wanted = (
        f"at least {degrees_text(clock.rules.near.deg)} wanted" if ruled else "not neighbours: no rule here"
    )
    names = " and ".join(ROLE_WORDS[role] for role in pair)
    return [(f"Closest: {names}, {degrees_text(apart)} apart ({wanted}).", False)]


def _cure(clock: BoreClock) -> list[tuple[str, bool]]:
    """How far to turn the scheme as planned, where that helps."""
    turn = clock.best.least_turn_deg
    if turn is None or abs(turn) < 0.05 or not clock.best.keeps_all:
        return []
    way = "clockwise" if turn > 0 else "anticlockwise"
    text = f"The scheme turned as a whole by {degrees_text(abs(turn))} {way} keeps every rule on this piston."
    return [(text, False)]
