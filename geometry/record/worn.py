"""Bores as measured on the bench: how far each ring goes down them, and its gap where they are tightest and widest."""

from __future__ import annotations

from functools import lru_cache

from geometry.built import AS_DESIGNED
from geometry.errors import GeometryError
from geometry.record.entry import GapReading
from geometry.record.kind import Bench, laid_over
from geometry.record.place import BenchPlace
from geometry.record.readings import Interval
from geometry.rings.bore import BoreSurvey, GapAlongBore, gap_along_bore
from geometry.rings.feeler import GapInterval
from geometry.rings.fitted import ring_travels
from geometry.rings.travel import RingTravel
from geometry.spec.odd import bore_mm
from geometry.units import show


def survey_of(bench: Bench, place: BenchPlace) -> BoreSurvey:
    """The bore as measured, with what the gauge can tell apart; as designed where nobody measured it."""
    found = bench.heights(place)
    if not found:
        design_mm = bore_mm(bench.engine, place.number or 0)
        return BoreSurvey((0.0,), (design_mm,), (design_mm,))
    usual = bench.record.instruments.bore_gauge_mm
    depths, along, across = zip(*((at.depth_mm, at.along_mm, at.across_mm) for at in found), strict=True)
    return BoreSurvey(depths, along, across, max(at.resolution_mm or usual for at in found))


@lru_cache(maxsize=64)
def travels_of(bench: Bench, place: BenchPlace) -> dict[str, RingTravel]:
    """How far each ring goes up and down its bore, as the record has it put together."""
    number = place.number or 0
    try:
        return ring_travels(bench.engine, bench.layout, laid_over(bench, [place]))[number]
    except GeometryError:  # a rod or crown that cannot be: its own verdict says so
        return ring_travels(bench.engine, bench.layout, AS_DESIGNED)[number]


def tightest_bore(bench: Bench, place: BenchPlace, ring: str) -> tuple[float, float]:
    """Depth below the deck and diameter where a bore is tightest on a ring's way, mm; as designed if not measured."""
    travel = travels_of(bench, place)[ring]
    return survey_of(bench, place).smallest(travel.top_depth_mm, travel.bottom_depth_mm)


def gap_over_travel(bench: Bench, place: BenchPlace, ring: str, known: Interval) -> GapAlongBore:
    """Carry a gap as measured to where its bore is tightest and widest on the ring's way.

    Parameters
    ----------
    bench, place : the engine and the bore
    ring : one of ``geometry.rings.fitted.GAPPED_RINGS``
    known : what the reading proves, mm
    """
    reading, travel = bench.entry(place, f"ring.{ring}.gap"), travels_of(bench, place)[ring]
    checked_mm = reading.depth_mm if isinstance(reading, GapReading) else None
    gap, top_mm = GapInterval(known.low, known.high), travel.top_depth_mm
    return gap_along_bore(survey_of(bench, place), gap, checked_mm, top_mm, travel.bottom_depth_mm)


def at_tightest(bench: Bench, along: GapAlongBore) -> str:
    """Where a worn bore is tightest, in words; nothing to say of a straight one."""
    return _where(bench, along, along.tightest_depth_mm, "tightest")


def at_widest(bench: Bench, along: GapAlongBore) -> str:
    """Where a worn bore is widest on the ring's way; as ``at_tightest``."""
    return _where(bench, along, along.widest_depth_mm, "widest")


def where_to_measure(bench: Bench, place: BenchPlace, ring: str) -> str:
    """Where in a worn bore a ring's gap is measured and filed for; nothing to say of a straight one."""
    return at_tightest(bench, gap_over_travel(bench, place, ring, Interval(0.0, 0.0)))


def _where(bench: Bench, along: GapAlongBore, depth_mm: float, word: str) -> str:
    if not along.worn:
        return ""
    return f" at {show(depth_mm, 'length', bench.system)} below the deck, where the bore is {word}"
