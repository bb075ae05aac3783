"""A ring's gap, judged where its bore is tightest and where it is widest on the ring's way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from geometry.record.judging import beside_limit, measured, not_within, spoken
from geometry.record.kind import ReadingAt
from geometry.record.limits import ReadingLimit
from geometry.record.readings import Interval, interval_text, length_text
from geometry.record.verdict import Verdict
from geometry.record.worn import at_tightest, at_widest, gap_over_travel, tightest_bore
from geometry.rings.bore import GapAlongBore
from geometry.rings.feeler import blade_mm, blade_text
from geometry.rings.fitted import gap_target_of
from geometry.rings.gap import GapTarget, filing


def gap_limit(at: ReadingAt) -> ReadingLimit:
    """The gap that the trade gives the ring of this kind of reading in this bore, mm."""
    ring = at.kind.ring or ""
    goal = gap_target_of(at.bench.engine, ring, tightest_bore(at.bench, at.place, ring)[1])
    return ReadingLimit(goal.min_mm, goal.max_mm, goal.source)


def ring_gap(at: ReadingAt) -> Iterator[Verdict]:
    """Judge a ring's gap where its bore is tightest and where it is widest on the ring's way."""
    if at.entry is not None:
        yield _judged(at, at.known, spoken(at))


def _judged(at: ReadingAt, known: Interval, reading: str) -> Verdict:
    along = gap_over_travel(at.bench, at.place, at.kind.ring or "", known)
    plain, limit = measured(at, known, reading), at.limit
    assert limit is not None, "every ring gap has a limit"
    tight, wide = (
        Interval(gap.lower_mm, gap.upper_mm, known.below_high) for gap in (along.tightest, along.widest)
    )
    low = tight.judged(plain.least, None)
    if tight == wide == known:
        remedy = _filing(at, along, limit) if low == "below" else plain.remedy
        return replace(plain, along=along, remedy=remedy)
    verdict, high = (
        replace(beside_limit(at, known, reading, limit), along=along),
        wide.judged(None, plain.most),
    )
    for state, gap, place in ((low, tight, at_tightest), (high, wide, at_widest)):
        if state in ("below", "above"):
            found = not_within(at, verdict, state, gap, limit)
            remedy = _filing(at, along, limit) if state == "below" else found.remedy
            text = f"{interval_text(gap, 'length', at.bench.system)}{place(at.bench, along)}, {found.text}"
            return replace(found, text=text, remedy=remedy)
    if low == high == "within":
        return verdict
    gap, where, side = (
        (tight, at_tightest(at.bench, along), replace(limit, most=None))
        if low == "cannot tell"
        else (wide, at_widest(at.bench, along), replace(limit, least=None))
    )
    verdict = not_within(at, verdict, "cannot tell", gap, side, where)
    if along.worn and not along.placed:
        return replace(verdict, remedy=f"say at what depth it was measured (depth=), or measure it{where}")
    return verdict


def _filing(at: ReadingAt, along: GapAlongBore, limit: ReadingLimit) -> str:
    """How much to file off a ring that is too tight, and whether that leaves it too wide where the bore is widest."""
    bench, tight = at.bench, along.tightest
    goal = GapTarget(limit.least or 0.0, limit.most, limit.source)
    allowance = filing(tight.lower_mm, tight.upper_mm, goal)
    first = blade_mm(allowance.at_once_mm, bench.system, up=False)
    at_once = blade_text(first, bench.system) if first > 0.0 else "a little"
    needed = blade_text(blade_mm(allowance.needed_mm, bench.system, up=True), bench.system)
    text = f"file {at_once} off, both ends together, and measure again{at_tightest(bench, along)}; "
    text += f"{needed} at most reaches the least gap"
    after = along.widest.lower_mm + allowance.at_once_mm
    if along.worn and goal.max_mm is not None and after > goal.max_mm:
        text += f"; it is at least {length_text(after, bench.system)} then{at_widest(bench, along)}: the bore is worn "
        text += "too far for one gap"
    return text
