"""Bores as measured on the bench: how far each ring goes down them, and its gap where they are tightest and widest."""

from __future__ import annotations

from types import MappingProxyType

from geometry.built import AS_DESIGNED, BoreAt, BoreBuild, Built
from geometry.errors import GeometryError
from geometry.record.bench import Bench
from geometry.record.entry import BoreReading, ClearanceReading, DepthReading, GapReading, SizeReading
from geometry.record.place import BenchPlace
from geometry.record.readings import Interval, interval_of
from geometry.rings.bore import BoreSurvey, GapAlongBore, gap_along_bore
from geometry.rings.feeler import GapInterval
from geometry.rings.fitted import ring_travels
from geometry.rings.travel import RingTravel
from geometry.stack import stack_of
from geometry.units import show

HEIGHTS = ("top", "middle", "bottom")


def readings_of(bench: Bench, place: BenchPlace) -> tuple[BoreAt, ...]:
    """The bore height by height, the deck first; empty where it was not measured."""
    entries = (bench.entry(place, f"diameter.{height}") for height in HEIGHTS)
    return tuple(BoreAt(e.depth_mm, e.along_mm, e.across_mm) for e in entries if isinstance(e, BoreReading))


def survey_of(bench: Bench, place: BenchPlace) -> BoreSurvey:
    """The bore as measured, with what the gauge can tell apart; as designed where nobody measured it."""
    found = readings_of(bench, place)
    if not found:
        design_mm = bench.engine.block.bore.diameter_mm
        return BoreSurvey((0.0,), (design_mm,), (design_mm,))
    usual = bench.record.instruments.bore_gauge_mm
    entries = (bench.entry(place, f"diameter.{height}") for height in HEIGHTS)
    step = max(e.resolution_mm or usual for e in entries if isinstance(e, BoreReading))
    depths, along, across = zip(*((at.depth_mm, at.along_mm, at.across_mm) for at in found), strict=True)
    return BoreSurvey(depths, along, across, step)


def moving_parts(bench: Bench, place: BenchPlace) -> BoreBuild:
    """What the record says about a bore that decides how far its rings go down it."""
    rod_change, crown_change = _heights(bench, place)
    return BoreBuild(
        piston_turned=value_of(bench, place, "piston.way") == "turned",
        rings_exchanged=value_of(bench, place, "ring.top.groove") == "second"
        or value_of(bench, place, "ring.second.groove") == "top",
        rod_length_change_mm=rod_change,
        compression_height_change_mm=crown_change,
    )


def travel_of(bench: Bench, place: BenchPlace, ring: str) -> RingTravel:
    """How far a ring goes up and down its bore, as the record has it put together."""
    number = place.number or 0
    built = Built(MappingProxyType({number: moving_parts(bench, place)}))
    try:
        return ring_travels(bench.engine, bench.layout, built)[number][ring]
    except GeometryError:  # a rod or crown that cannot be: its own verdict says so
        return ring_travels(bench.engine, bench.layout, AS_DESIGNED)[number][ring]


def tightest_bore(bench: Bench, place: BenchPlace, ring: str) -> tuple[float, float]:
    """Depth below the deck and diameter where a bore is tightest on a ring's way, mm; as designed if not measured."""
    travel = travel_of(bench, place, ring)
    return survey_of(bench, place).smallest(travel.top_depth_mm, travel.bottom_depth_mm)


def gap_over_travel(bench: Bench, place: BenchPlace, ring: str, known: Interval) -> GapAlongBore:
    """Carry a gap as measured to where its bore is tightest and widest on the ring's way.

    Parameters
    ----------
    bench, place : the engine and the bore
    ring : one of ``geometry.rings.fitted.GAPPED_RINGS``
    known : what the reading proves, mm
    """
    reading, travel = bench.entry(place, f"ring.{ring}.gap"), travel_of(bench, place, ring)
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


def value_of(bench: Bench, place: BenchPlace, path: str) -> str | int | None:
    """What was seen at a place; None where nothing is recorded."""
    return getattr(bench.entry(place, path), "value", None)


def middle_of(bench: Bench, place: BenchPlace, path: str, instrument: str) -> float | None:
    """The best single figure of a reading, mm; None where nothing is recorded."""
    reading = bench.entry(place, path)
    if not isinstance(reading, ClearanceReading | DepthReading | SizeReading):
        return None
    return interval_of(reading, bench.record.instruments, instrument).middle


def _heights(bench: Bench, place: BenchPlace) -> tuple[float, float]:
    """Changes of rod length and compression height that the readings amount to.

    A deck reading decides over a compression height, since it holds everything between crank and crown.
    """
    spec = bench.engine
    rod = middle_of(bench, place, "rod.length", "micrometer_mm")
    rod_change = rod - spec.rod.length_mm if rod is not None else 0.0
    crown = middle_of(bench, place, "piston.height", "micrometer_mm")
    crown_change = crown - spec.piston.compression_height_mm if crown is not None else 0.0
    deck = middle_of(bench, place, "deck", "depth_gauge_mm")
    if deck is not None:
        crown_change = stack_of(spec, bench.layout, place.number or 0).deck_mm - rod_change - deck
    return rod_change, crown_change
