"""What the entries say: within, outside, or cannot tell; each with its limit and where that comes from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import isinf
from typing import Any, Final

from geometry.record.bench import Bench, lay_out
from geometry.record.catalogue import ReadingKind, items_at, words_of
from geometry.record.clocking import clocking
from geometry.record.cures import CURES
from geometry.record.entry import AngleReading, BoreReading, Entry, SizeReading
from geometry.record.limits import GAP_LIMITS, ReadingLimit, gap_goal, limit_of
from geometry.record.model import Record
from geometry.record.place import BenchPlace
from geometry.record.readings import (
    Interval,
    State,
    around,
    interval_of,
    interval_text,
    length_text,
    reading_text,
)
from geometry.record.verdict import Verdict
from geometry.record.wording import expected, meaning
from geometry.record.worn import at_tightest, at_widest, gap_over_travel
from geometry.rings.bore import GapAlongBore
from geometry.rings.feeler import GapInterval, blades_settle, judge_gap
from geometry.rings.gap import GapTarget, filing
from geometry.rings.source import Source
from geometry.spec.engine import Engine
from geometry.units import System

_NO_LIMIT: Final = Source("no source gives a limit; write one under [limits] in the record", "practice")


def verdicts(
    engine: Engine, record: Record, *, bore: int | None = None, system: System | None = None
) -> tuple[Verdict, ...]:
    """Judge every entry of a record, in the order of the job.

    Parameters
    ----------
    engine, record : the engine file and its build record
    bore : only this bore, by the builder's number
    system : units of the words; default as the engine file asks for

    Raises
    ------
    GeometryError : the engine cannot be laid out
    """
    bench = lay_out(engine, record, system)
    found: list[Verdict] = []
    clocked: set[int] = set()
    for item, place in items_at(bench):
        if bore is not None and (place.kind != "bore" or place.number != bore):
            continue
        if item.path.endswith(".angle") and place.number is not None:
            if place.number not in clocked:
                clocked.add(place.number)
                found += clocking(bench, place)
            continue
        entry = bench.entry(place, item.path)
        if entry is not None:
            found.append(_judged(item, bench, place, entry))
    return tuple(found)


def _judged(item: ReadingKind, bench: Bench, place: BenchPlace, entry: Entry) -> Verdict:
    if not item.limit:
        return _looked_at(item, bench, place, entry)
    if isinstance(entry, BoreReading):
        return _bore_size(item, bench, place, entry)
    if item.path == "piston.skirt" and isinstance(entry, SizeReading):
        return _piston_to_wall(item, bench, place, entry)
    reading: Any = entry
    instrument = item.instrument
    known = interval_of(reading, bench.record.instruments, instrument)
    text = reading_text(reading, bench.system)
    if item.limit in GAP_LIMITS.values():
        return _ring_gap(item, bench, place, known, text)
    return _measured(item, bench, place, known, text)


def _looked_at(item: ReadingKind, bench: Bench, place: BenchPlace, entry: Entry) -> Verdict:
    """Judge something that was looked at rather than measured."""
    value = getattr(entry, "value", None)
    wanted = expected(item, bench, place)
    right, limit, source = (
        wanted if wanted else (value, "either way", Source("both sides are alike", "derived"))
    )
    verdict = Verdict(
        place=place.words, bore=_bore_of(place), step=item.step, path=item.path, what=words_of(item, bench, place),
        reading=str(value).replace("_", " "), limit=limit, source=source, verdict="within",
    )  # fmt: skip
    if value == right:
        return verdict
    wrong = meaning(item, bench, place, value)
    return replace(verdict, verdict="outside", severity="stop", text=wrong.text, remedy=wrong.remedy)


def _bore_of(place: BenchPlace) -> int | None:
    return place.number if place.kind == "bore" else None


def _bore_size(item: ReadingKind, bench: Bench, place: BenchPlace, entry: BoreReading) -> Verdict:
    """Both diameters at one height, the smaller and the larger, must lie within."""
    step = entry.resolution_mm or bench.record.instruments.bore_gauge_mm
    ends = [around(size, step) for size in (entry.along_mm, entry.across_mm)]
    text = " x ".join(
        length_text(size, bench.system, small=False) for size in (entry.along_mm, entry.across_mm)
    )
    each = [_measured(item, bench, place, known, text) for known in ends]
    return max(each, key=lambda one: ("within", "cannot tell", "outside").index(one.verdict))


def _piston_to_wall(item: ReadingKind, bench: Bench, place: BenchPlace, entry: SizeReading) -> Verdict:
    skirt = interval_of(entry, bench.record.instruments, item.instrument)
    size = f"skirt {length_text(entry.value_mm, bench.system, small=False)}"
    bores = bench.diameters(place)
    if not bores:
        verdict = _measured(item, bench, place, Interval(0.0, float("inf")), size)
        return replace(
            verdict, verdict="cannot tell", severity="note", text="the bore is not measured yet",
            remedy="measure the bore at the top, in the middle and at the bottom",
        )  # fmt: skip
    tightest = min(bores, key=lambda known: known.middle).minus(skirt)
    return _measured(
        item, bench, place, tightest, f"{size}, {length_text(tightest.middle, bench.system)} to the wall"
    )


def _measured(item: ReadingKind, bench: Bench, place: BenchPlace, known: Interval, reading: str) -> Verdict:
    """Judge a reading against its limit."""
    verdict, limit = _unjudged(item, bench, place, known, reading)
    if limit is None:
        return replace(
            verdict, verdict="cannot tell", severity="note", text="no limit is known",
            remedy="compare with the other bores, or write your own limit under [limits] in the record",
        )  # fmt: skip
    state = known.judged(limit.least, limit.most)
    if state == "within":
        return verdict
    if state == "cannot tell":
        text, remedy = _undecided(known, limit, bench)
        return replace(verdict, verdict=state, severity="look", text=text, remedy=remedy)
    return _outside(item, verdict, state)


def _unjudged(
    item: ReadingKind, bench: Bench, place: BenchPlace, known: Interval, reading: str
) -> tuple[Verdict, ReadingLimit | None]:
    """Put a reading beside its limit."""
    limit = limit_of(item.limit, bench, place)
    what = words_of(item, bench, place)
    verdict = Verdict(
        place=place.words, bore=_bore_of(place), step=item.step, path=item.path, what=what, reading=reading,
        limit=limit.text(bench) if limit else "", source=limit.source if limit else _NO_LIMIT, verdict="within",
        dimension=limit.dimension if limit else item.dimension,
        low=known.low, high=None if isinf(known.high) else known.high,
        least=limit.least if limit else None, most=limit.most if limit else None,
    )  # fmt: skip
    return verdict, limit


def _ring_gap(item: ReadingKind, bench: Bench, place: BenchPlace, known: Interval, reading: str) -> Verdict:
    """Judge a ring's gap where its bore is tightest and where it is widest on the ring's way."""
    ring = item.ring or ""
    along = gap_over_travel(bench, place, ring, known)
    plain = _measured(item, bench, place, known, reading)
    tight, wide = (
        Interval(gap.lower_mm, gap.upper_mm, known.below_high) for gap in (along.tightest, along.widest)
    )
    low = tight.judged(plain.least, None)
    if tight == wide == known:
        remedy = _filing(bench, place, ring, along) if low == "below" else plain.remedy
        return replace(plain, along=along, remedy=remedy)
    verdict, limit = _unjudged(item, bench, place, known, reading)
    assert limit is not None, "every ring gap has a limit"
    verdict, high = replace(verdict, along=along), wide.judged(None, plain.most)
    for state, gap, where in ((low, tight, at_tightest(bench, along)), (high, wide, at_widest(bench, along))):
        if state in ("below", "above"):
            found = _outside(item, verdict, state)
            remedy = _filing(bench, place, ring, along) if state == "below" else found.remedy
            text = f"{interval_text(gap, 'length', bench.system)}{where}, {found.text}"
            return replace(found, text=text, remedy=remedy)
    if low == high == "within":
        return verdict
    gap, where, side = (
        (tight, at_tightest(bench, along), replace(limit, most=None))
        if low == "cannot tell"
        else (wide, at_widest(bench, along), replace(limit, least=None))
    )
    text, remedy = _undecided(gap, side, bench, where)
    if along.worn and not along.placed:
        remedy = f"say at what depth it was measured (depth=), or measure it{where}"
    return replace(verdict, verdict="cannot tell", severity="look", text=text, remedy=remedy)


def _filing(bench: Bench, place: BenchPlace, ring: str, along: GapAlongBore) -> str:
    """How much to file off a ring that is too tight, and whether that leaves it too wide where the bore is widest."""
    goal, tight = gap_goal(bench, place, ring), along.tightest
    allowance = filing(tight.lower_mm, tight.upper_mm, goal)
    at_once, needed = (length_text(v, bench.system) for v in (allowance.at_once_mm, allowance.needed_mm))
    text = f"file {at_once} off, both ends together, and measure again{at_tightest(bench, along)}; "
    text += f"{needed} at most reaches the least gap"
    after = along.widest.lower_mm + allowance.at_once_mm
    if along.worn and goal.max_mm is not None and after > goal.max_mm:
        text += f"; it is at least {length_text(after, bench.system)} then{at_widest(bench, along)}: the bore is worn "
        text += "too far for one gap"
    return text


def _undecided(known: Interval, limit: ReadingLimit, bench: Bench, where: str = "") -> tuple[str, str]:
    """Name the limit that lies inside what is known, and the measurement that would settle it."""
    inside = [
        (word, bound)
        for word, bound in (("least", limit.least), ("most", limit.most))
        if bound is not None and known.low <= bound <= known.high
    ]
    span = interval_text(known, limit.dimension, bench.system)
    named = " and ".join(f"the {word} allowed, {_one(bound, limit, bench)}" for word, bound in inside)
    text = f"known only to be {span}{where}; {named or 'the limit'}, lies in between"
    return text, _settled(known, limit, bench) + where


def _settled(known: Interval, limit: ReadingLimit, bench: Bench) -> str:
    """Name the blade that settles it, or the way that is left where the set has none in between."""
    if not known.below_high:
        return "measure it more closely"
    least = limit.least if limit.least is not None else 0.0
    verdict = judge_gap(GapInterval(known.low, known.high), GapTarget(least, limit.most, limit.source))
    blades = " and one of ".join(_one(blade, limit, bench) for blade in verdict.settle_mm)
    step = bench.record.instruments.feeler_mm
    if step and not blades_settle(verdict, step):
        return f"no blade of this set lies in between: two blades together of {blades}, or a finer instrument"
    return f"a feeler blade of {blades} settles it: it goes, or it is tight"


def _one(value: float, limit: ReadingLimit, bench: Bench) -> str:
    return interval_text(Interval(value, value), limit.dimension, bench.system)


def _outside(item: ReadingKind, verdict: Verdict, state: State) -> Verdict:
    cure = CURES[item.limit][state]
    return replace(verdict, verdict="outside", severity=cure.severity, text=cure.text, remedy=cure.remedy)


def entries_shown(
    engine: Engine, record: Record, *, bore: int | None = None, system: System | None = None
) -> Iterator[dict[str, str | int | None]]:
    """Rows of everything that is recorded, in the order of the job.

    Yields
    ------
    ``place``, ``bore``, ``entry``, ``what``, ``reading``, ``by``, ``on``, ``note``.
    """
    bench = lay_out(engine, record, system)
    for item, place in items_at(bench):
        entry = bench.entry(place, item.path)
        if entry is None or (bore is not None and _bore_of(place) != bore):
            continue
        yield {
            "place": place.words,
            "bore": _bore_of(place),
            "entry": item.path,
            "what": words_of(item, bench, place),
            "reading": _spoken(entry, bench),
            "by": entry.by,
            "on": entry.on.isoformat() if entry.on else None,
            "note": entry.note,
        }


def _spoken(entry: Any, bench: Bench) -> str:
    if isinstance(entry, BoreReading):
        sizes = (length_text(v, bench.system, small=False) for v in (entry.along_mm, entry.across_mm))
        return f"{' x '.join(sizes)} at {length_text(entry.depth_mm, bench.system, small=False)}"
    if isinstance(entry, SizeReading) or hasattr(entry, "resolution_mm"):
        return reading_text(entry, bench.system)
    if isinstance(entry, AngleReading) or hasattr(entry, "resolution_nm"):
        return reading_text(entry, bench.system)
    return str(entry.value).replace("_", " ")
