"""Where the ring gaps of each piston were set, judged with what an eye can tell apart."""

from __future__ import annotations

from typing import Final

from geometry.errors import GeometryError
from geometry.record.entry import AngleReading, ClearanceReading
from geometry.record.kind import Bench
from geometry.record.place import BenchPlace
from geometry.record.readings import Interval, interval_of, interval_text
from geometry.record.verdict import Verdict, Word
from geometry.rings import clocked
from geometry.rings.angles import gap_deg, wrapped_deg
from geometry.rings.clock import ClockFinding, ClockMargin, ClockRules, PistonPlaces, judge, rule_group
from geometry.rings.schemes import ROLE_WORDS, Scheme, resolve

_STEP: Final = "ring clocking"
_RULE_WORDS: Final = {
    "near": "ring gaps apart", "expander_near_rail": "expander joint from rail gap",
    "thrust_line": "gap from the thrust line",
}  # fmt: skip


def scheme_of(bench: Bench) -> Scheme | None:
    """Find the clocking that the engine file asks for; None when it names one that does not exist."""
    try:
        return clocked.scheme_of(bench.engine)
    except GeometryError:
        return None


def planned_deg(bench: Bench, place: BenchPlace) -> dict[str, float]:
    """Ring angle at which the scheme puts each gap of a bore, clockwise from the front."""
    scheme = scheme_of(bench)
    if scheme is None:
        return {}
    return resolve(scheme, bench.site(place).thrust_ring_deg, clocked.rings_of(bench.engine))


def installed_deg(bench: Bench, place: BenchPlace) -> dict[str, Interval]:
    """Ring angle of each gap as recorded, clockwise from the front, with what is uncertain about it."""
    found = {}
    for ring in clocked.rings_of(bench.engine):
        reading = bench.entry(place, f"ring.{ring}.angle")
        if isinstance(reading, AngleReading):
            known = interval_of(reading, bench.record.instruments, "angle_deg")
            from_front = bench.site(place).thrust_ring_deg if reading.datum == "thrust" else 0.0
            middle, half = wrapped_deg(known.middle + from_front), (known.high - known.low) / 2
            found[ring] = Interval(middle - half, middle + half)
    return found


def _rules(bench: Bench) -> ClockRules:
    scheme = scheme_of(bench)
    return (
        clocked.rules_of(bench.engine, scheme) if scheme else ClockRules(near=clocked.near_of(bench.engine))
    )


def clocking(bench: Bench, place: BenchPlace) -> tuple[Verdict, ...]:
    """Judge the gaps of one bore.

    Returns
    -------
    One verdict for each rule that is broken or cannot be told; a single ``within`` when every rule is surely kept;
    nothing with fewer than two angles recorded.
    """
    angles = installed_deg(bench, place)
    if len(angles) < 2:
        return ()
    places = PistonPlaces(bench.site(place).thrust_ring_deg, gap_deg=_gap_widths(bench, place))
    verdict = judge({ring: known.middle for ring, known in angles.items()}, _rules(bench), places)
    findings = {finding.margin: finding for finding in verdict.findings if finding.margin is not None}
    margins = [margin for margin in verdict.margins if margin.rule in _RULE_WORDS]
    judged = [_verdict(bench, place, margin, angles, findings.get(margin)) for margin in margins]
    wrong = tuple(one for one in judged if one.verdict != "within")
    closest = min(judged, key=lambda one: (one.low or 0.0) - (one.least or 0.0), default=None)
    return wrong or ((closest,) if closest is not None else ())


def _gap_widths(bench: Bench, place: BenchPlace) -> dict[str, float]:
    """How many degrees each gap takes up on the wall, where it was measured."""
    widths = {}
    for ring in clocked.rings_of(bench.engine):
        reading = bench.entry(place, f"ring.{ring}.gap")
        if isinstance(reading, ClearanceReading):
            gap = interval_of(reading, bench.record.instruments, "depth_gauge_mm").middle
            widths[ring] = gap_deg(gap, bench.bore_mm(place))
    return widths


def _verdict(
    bench: Bench,
    place: BenchPlace,
    margin: ClockMargin,
    angles: dict[str, Interval],
    finding: ClockFinding | None,
) -> Verdict:
    """One rule, with the angles known only as well as they could be judged."""
    slack = sum((angles[ring].high - angles[ring].low) / 2 for ring in margin.roles)
    known = Interval(max(0.0, margin.value_deg - slack), min(180.0, margin.value_deg + slack))
    state = known.judged(margin.limit_deg, None)
    word: Word = "outside" if state == "below" else "cannot tell" if state == "cannot tell" else "within"
    names = " and ".join(ROLE_WORDS[ring] for ring in margin.roles)
    severity = finding.severity if finding and word == "outside" else "look" if word != "within" else None
    text, remedy = (finding.text, finding.remedy) if finding else ("", "")
    if word == "cannot tell":
        text = f"{names}: {interval_text(known, 'angle', bench.system)}, as nearly as the angles were judged"
        remedy = "measure the angles more closely, or turn one of the rings away"
    return Verdict(
        place=place.words, bore=place.number, step=_STEP, path=f"ring.{margin.roles[0]}.angle",
        what=f"{_RULE_WORDS[margin.rule]}: {names}", reading=interval_text(known, "angle", bench.system),
        limit=f"at least {margin.limit_deg:.0f}°", source=margin.source, verdict=word, severity=severity,
        text=text, remedy=remedy, dimension="angle", low=known.low, high=known.high, least=margin.limit_deg,
        group=rule_group(margin.rule, margin.roles),
    )  # fmt: skip
