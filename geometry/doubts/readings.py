"""What a build record proves about values in doubt: readings as sides of the box, and what they stand in for.

A reading holds for its own bore. It is known as closely as its instrument can tell apart, and it holds whatever the
values are that it is the sum of: a deck reading says where the crown stops, however long the rod is. A value of the
engine file that readings stand in for in every bore is assumed no longer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import isinf

from geometry.built import BoreAt, Built
from geometry.doubts.box import Coordinate, DoubtBox, box_of
from geometry.record.catalogue import lay_out
from geometry.record.entry import BoreReading, ClearanceReading, DepthReading, SizeReading
from geometry.record.kind import Bench, ReadingAt, ReadingKind
from geometry.record.model import Record
from geometry.record.overlay import overlay
from geometry.record.place import BenchPlace
from geometry.record.readings import Interval
from geometry.spec.described import Described, KnownValue
from geometry.spec.engine import Engine


@dataclass(frozen=True, eq=False)
class ReadBox:
    """The box of an engine and of a build record of it.

    Attributes
    ----------
    box : its values in doubt and its readings; ``box.described`` counts what was read as read
    replaced : the assumed values that readings stand in for, as they were
    """

    box: DoubtBox
    replaced: tuple[KnownValue, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Said(ReadingAt):
    """A reading that says something else than what was written."""

    said_value: float

    @property
    def known(self) -> Interval:
        return Interval(self.said_value, self.said_value)


def read_box(described: Described, record: Record) -> ReadBox:
    """Lay a build record over an engine whose values are in doubt.

    Where the file is in no doubt at all, readings count with their middle, and the box has no sides.

    Parameters
    ----------
    described : the engine file
    record : a record of this engine

    Raises
    ------
    GeometryError : the engine cannot be laid out
    """
    if not described.doubted:
        return ReadBox(DoubtBox(described, (), overlay(described.spec, record)), ())
    bench = lay_out(described.spec, record)
    readings = tuple(_readings(bench))
    gone = _stood_in_for(bench)
    replaced = tuple(value for value in described.assumed if value.key in gone)
    values = tuple(_as_read(value) if value.key in gone else value for value in described.values)
    known = replace(described, values=values)
    built = _laid_beside(bench)
    box = DoubtBox(known, (*box_of(known).coordinates, *readings), built)
    return ReadBox(box, replaced)


def _as_read(value: KnownValue) -> KnownValue:
    return replace(
        value, lowest=value.nominal, highest=value.nominal, origin="read",
        reason="readings of the record stand in for it in every bore",
    )  # fmt: skip


def _laid_beside(bench: Bench) -> Built:
    """What was found besides the readings that are sides of the box: which way round, what is missing, .."""
    built = Built()
    for kind in bench.kinds:
        for place in bench.places(kind.place):
            at = ReadingAt(kind, bench, place)
            if kind.lay is not None and at.entry is not None and not _proves(bench, kind, place):
                built = kind.lay(built, at)
    return built


def _readings(bench: Bench) -> Iterator[Coordinate]:
    """One side for each reading of a size, in the order in which they are laid over the engine."""
    benches = _Benches(bench)
    seen: set[BenchPlace] = set()
    for kind in bench.kinds:
        for place in bench.places(kind.place):
            if not _proves(bench, kind, place):
                continue
            if issubclass(kind.entry, BoreReading):
                if place not in seen:
                    seen.add(place)
                    yield _diameter(bench, place)
                continue
            known = ReadingAt(kind, bench, place).known
            key = f"{place.words} {kind.path}"
            yield Coordinate(key, known.middle, known.low, known.high, False, None, benches.lay(kind, place))


def _proves(bench: Bench, kind: ReadingKind, place: BenchPlace) -> bool:
    """Whether a size is recorded that is laid over the engine; a blade that goes proves no upper end.

    A rod bolt is tightened or loose: its readings are judged as a whole and are no side of the box.
    """
    entry = bench.entry(place, kind.path)
    if kind.lay is None or kind.step == "rod bolts":
        return False
    if isinstance(entry, BoreReading):
        return True
    sized = isinstance(entry, ClearanceReading | DepthReading | SizeReading)
    return sized and not isinf(ReadingAt(kind, bench, place).known.high)


def _diameter(bench: Bench, place: BenchPlace) -> Coordinate:
    """A measured bore as one side: what the gauge cannot tell apart moves all of its diameters together."""
    mean_mm = bench.bore_mm(place)
    half_mm = max(known.high - known.low for known in bench.diameters(place)) / 2
    read = tuple(BoreAt(e.depth_mm, e.along_mm, e.across_mm) for e in bench.heights(place))

    def lay(_: Engine, built: Built, value: float) -> Built:
        out = value - mean_mm
        moved = tuple(replace(at, along_mm=at.along_mm + out, across_mm=at.across_mm + out) for at in read)
        return built.with_bore(place.number or 0, bore_diameter_mm=value, bore_readings=moved)

    key = f"{place.words} diameter"
    return Coordinate(key, mean_mm, mean_mm - half_mm, mean_mm + half_mm, False, None, lay)


class _Benches:
    """The bench with other engines on it; that of the last one is kept, since all readings are laid over it in turn."""

    def __init__(self, bench: Bench) -> None:
        self._bench = bench

    def lay(self, kind: ReadingKind, place: BenchPlace) -> Callable[[Engine, Built, float], Built]:
        """How a reading of this kind is laid over an engine."""

        def lay(spec: Engine, built: Built, value: float) -> Built:
            assert kind.lay is not None
            return kind.lay(built, _Said(kind, self._of(spec), place, value))

        return lay

    def _of(self, spec: Engine) -> Bench:
        if self._bench.engine is not spec:
            self._bench = lay_out(spec, self._bench.record, self._bench.system)
        return self._bench


def _stood_in_for(bench: Bench) -> frozenset[str]:
    """Keys of values that nothing asks for any more: those of the whole engine, and those of one bore."""
    bores = bench.places("bore")
    rows: dict[str, dict[str | None, list[ReadingKind]]] = {}
    for kind in bench.kinds:
        if kind.replaces:
            # of one key, readings of several rings are all needed; others do one as well as the other
            rows.setdefault(kind.replaces, {}).setdefault(kind.ring, []).append(kind)
    found = set()
    for key, rings in rows.items():
        there = [
            place
            for place in bores
            if all(any(_proves(bench, kind, place) for kind in kinds) for kinds in rings.values())
        ]
        if len(there) == len(bores):
            found.add(key)
        found |= {f"bore.{place.number}.{key.removeprefix('block.bore.')}" for place in there}
    return frozenset(found)
