"""What the entries say: within, outside, or cannot tell; each with its limit and where that comes from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import isinf
from typing import Any, Final

from geometry.record.bench import Bench, lay_out
from geometry.record.catalogue import Item, items_at, words_of
from geometry.record.clocking import clocking
from geometry.record.cures import CURES
from geometry.record.entry import AngleReading, BoreReading, Entry, SizeReading
from geometry.record.limits import Limit, gap_goal, limit_of
from geometry.record.model import Record
from geometry.record.place import Place
from geometry.record.readings import (
    Interval,
    State,
    around,
    interval_of,
    interval_text,
    length_text,
    reading_text,
)
from geometry.record.verdict import Verdict, Word
from geometry.record.wording import expected, meaning
from geometry.rings.feeler import GapInterval, blades_settle, judge_gap
from geometry.rings.gap import GapTarget, filing
from geometry.rings.source import Source
from geometry.spec.engine import Engine
from geometry.units import System

_NO_LIMIT: Final = Source("no source gives a limit; write one under [limits] in the record", "practice")
_GAP_RINGS: Final = {"top_gap": "top", "second_gap": "second", "rail_gap": "upper_rail"}


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


def _judged(item: Item, bench: Bench, place: Place, entry: Entry) -> Verdict:
    if not item.limit:
        return _looked_at(item, bench, place, entry)
    if isinstance(entry, BoreReading):
        return _bore_size(item, bench, place, entry)
    if item.path == "piston.skirt" and isinstance(entry, SizeReading):
        return _piston_to_wall(item, bench, place, entry)
    reading: Any = entry
    instrument = item.instrument
    known = interval_of(reading, bench.record.instruments, instrument)
    return _measured(item, bench, place, known, reading_text(reading, bench.system))


def _looked_at(item: Item, bench: Bench, place: Place, entry: Entry) -> Verdict:
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


def _bore_of(place: Place) -> int | None:
    return place.number if place.kind == "bore" else None


def _bore_size(item: Item, bench: Bench, place: Place, entry: BoreReading) -> Verdict:
    """Both diameters at one height, the smaller and the larger, must lie within."""
    step = entry.resolution_mm or bench.record.instruments.bore_gauge_mm
    ends = [around(size, step) for size in (entry.along_mm, entry.across_mm)]
    text = " x ".join(
        length_text(size, bench.system, small=False) for size in (entry.along_mm, entry.across_mm)
    )
    each = [_measured(item, bench, place, known, text) for known in ends]
    return max(each, key=lambda one: ("within", "cannot tell", "outside").index(one.verdict))


def _piston_to_wall(item: Item, bench: Bench, place: Place, entry: SizeReading) -> Verdict:
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


def _measured(item: Item, bench: Bench, place: Place, known: Interval, reading: str) -> Verdict:
    """Judge a reading against its limit."""
    limit = limit_of(item.limit, bench, place)
    what = words_of(item, bench, place).replace(", torque or stretch", ", torque")
    verdict = Verdict(
        place=place.words, bore=_bore_of(place), step=item.step, path=item.path, what=what, reading=reading,
        limit=limit.text(bench) if limit else "", source=limit.source if limit else _NO_LIMIT, verdict="within",
        dimension=limit.dimension if limit else "torque" if "torque" in what else "length",
        low=known.low, high=None if isinf(known.high) else known.high,
        least=limit.least if limit else None, most=limit.most if limit else None,
    )  # fmt: skip
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
    return _outside(item, bench, place, verdict, state, known)


def _undecided(known: Interval, limit: Limit, bench: Bench) -> tuple[str, str]:
    """Name the limit that lies inside what is known, and the measurement that would settle it."""
    inside = [
        (word, bound)
        for word, bound in (("least", limit.least), ("most", limit.most))
        if bound is not None and known.low <= bound <= known.high
    ]
    span = interval_text(known, limit.dimension, bench.system)
    named = " and ".join(f"the {word} allowed, {_one(bound, limit, bench)}" for word, bound in inside)
    return f"known only to be {span}; {named or 'the limit'}, lies in between", _settled(known, limit, bench)


def _settled(known: Interval, limit: Limit, bench: Bench) -> str:
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


def _one(value: float, limit: Limit, bench: Bench) -> str:
    return interval_text(Interval(value, value), limit.dimension, bench.system)


def _outside(
    item: Item, bench: Bench, place: Place, verdict: Verdict, state: State, known: Interval
) -> Verdict:
    cure = CURES[item.limit][state]
    remedy = cure.remedy
    ring = _GAP_RINGS.get(item.limit)
    if ring and state == "below":
        allowance = filing(known.low, known.high, gap_goal(bench, place, ring))
        at_once, needed = (length_text(v, bench.system) for v in (allowance.at_once_mm, allowance.needed_mm))
        remedy = f"file {at_once} off, both ends together, and measure again; {needed} at most reaches the least gap"
    word: Word = "outside"
    return replace(verdict, verdict=word, severity=cure.severity, text=cure.text, remedy=remedy)


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
            "what": words_of(item, bench, place).replace(", torque or stretch", ", torque"),
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
