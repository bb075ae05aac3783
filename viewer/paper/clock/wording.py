"""What is said about a clocking, in words for the wall."""

from __future__ import annotations

from geometry.rings.clocked import BoreClock
from geometry.rings.schemes import ROLE_WORDS
from viewer.paper.clock.face import degrees_text

SEVERITY = {"stop": "STOP", "look": "LOOK", "note": "NOTE"}


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
