"""A kind of reading: one row holds all that the program knows of it; and the bench on which it is asked of an engine.

The rows are in ``geometry/record/kinds``. The record's format, the list of what is still to do, the verdicts, what is
shown and the engine as it was put together all follow from them.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import KW_ONLY, dataclass
from typing import Final, Literal, TypeAlias

from geometry.built import Built
from geometry.errors import PartError
from geometry.kinematics.layout import BoreSite, Layout
from geometry.record.entry import BoreReading, Entry
from geometry.record.instruments import Instruments
from geometry.record.limits import Cure, LengthLimit, MassLimit, ReadingLimit, TorqueLimit
from geometry.record.model import Record
from geometry.record.place import KINDS, BenchPlace
from geometry.record.readings import Interval, Reading, around, interval_of
from geometry.record.verdict import Verdict
from geometry.rings.source import Source
from geometry.spec.base import SpecModel
from geometry.spec.engine import Engine
from geometry.spec.odd import bore_mm
from geometry.units import System

HEIGHTS: Final = ("top", "middle", "bottom")
"""Where a bore is measured, from the deck down."""
STEPS: Final = (
    "bores", "weights", "ring gaps", "ring grooves", "ring clocking", "bearings", "which way round", "rod bolts",
    "side clearance", "deck", "turning torque",
)  # fmt: skip
"""The job, step by step."""


@dataclass(frozen=True, slots=True)
class RightAnswer:
    """What an entry that was looked at should say, the same in words, and who says so."""

    value: str | int | None
    words: str
    source: Source


@dataclass(frozen=True, slots=True)
class LimitKind:
    """One limit, which several kinds of reading may share.

    Attributes
    ----------
    name : its key under ``[limits]`` in the record
    words : what it limits
    below, above : what it means to be outside it
    trade : finds the trade's figure, or None on an engine for which no source gives one; None: no source does
    dimension : ``length``, ``torque`` or ``mass``
    """

    name: str
    words: str
    below: Cure
    above: Cure
    trade: Callable[[ReadingAt], ReadingLimit | None] | None = None
    dimension: Literal["length", "torque", "mass"] = "length"

    def at(self, at: ReadingAt) -> ReadingLimit | None:
        """The limit at one place: the record's own, else the trade's; None where nobody gives one."""
        own = getattr(at.bench.record.limits, self.name, None)
        if isinstance(own, TorqueLimit):
            return ReadingLimit(own.least_nm, own.most_nm, Source(own.source, "stated"), "torque")
        if isinstance(own, MassLimit):
            return ReadingLimit(own.least_kg, own.most_kg, Source(own.source, "stated"), "mass")
        if isinstance(own, LengthLimit):
            return ReadingLimit(own.least_mm, own.most_mm, Source(own.source, "stated"))
        return self.trade(at) if self.trade else None


Lay: TypeAlias = "Callable[[Built, ReadingAt], Built]"


@dataclass(frozen=True, slots=True)
class ReadingKind:
    """One thing that can be recorded at a place.

    Attributes
    ----------
    path : as typed and as written in the file
    place : ``bore``, ``main`` or ``crank``
    step : an entry of ``STEPS``
    words : what it is, in the trade's words; ``{major}`` and ``{minor}`` become the side in the builder's
    entry : the model of its entry
    lay : lays a recorded entry over the engine as put together so far; None where no check could tell
    limit : what it is held against; None for what is looked at rather than measured
    instrument : field of the record's instruments that usually reads it
    expected : what it should say where it is looked at; gives None where either is right
    wrong : what it means that it says something else
    judge : its verdicts at a place, where it takes more than ``limit`` or ``expected``; asked at every place
    misfit : what a record says at a place that cannot be: what is wrong, what would be right
    ring : the ring that it is about, if any
    ask : whether it belongs on the list of what is still to do, on every engine or at one place
    instead : paths of readings that do as well
    asked : the words while it is still to do, where a reading of another kind does as well; empty: ``words``
    where : more words while it is still to do: where to measure
    replaces : key of the engine file whose value this reading stands in for in its bore, so that nothing asks for that
        value any more once every bore has such a reading; empty where the value matters elsewhere too
    blades : whether it is asked for as a pair of feeler blades
    table : base of the table that it stands in, where that has a rule of its own

    Raises
    ------
    PartError : a row that leaves out what every kind of reading must say
    """

    path: str
    place: str
    step: str
    words: str
    entry: type[Entry]
    _: KW_ONLY
    lay: Lay | None
    limit: LimitKind | None = None
    instrument: str = ""
    expected: Callable[[ReadingAt], RightAnswer | None] | None = None
    wrong: Callable[[ReadingAt], Cure] | None = None
    judge: Callable[[ReadingAt], Iterable[Verdict]] | None = None
    misfit: Callable[[Record, BenchPlace], tuple[str, str] | None] | None = None
    ring: str | None = None
    ask: bool | Callable[[ReadingAt], bool] = True
    instead: tuple[str, ...] = ()
    asked: str = ""
    where: Callable[[ReadingAt], str] | None = None
    replaces: str = ""
    blades: bool = False
    table: type[SpecModel] = SpecModel

    @property
    def keys(self) -> tuple[str, ...]:
        """The path, key by key."""
        return tuple(self.path.split("."))

    def __post_init__(self) -> None:
        lack = self._lack()
        if lack:
            raise PartError(f"the kind of reading {self.place} {self.path} {lack}")

    def _lack(self) -> str:
        """What the row leaves out; empty when it is complete."""
        if not re.fullmatch(r"[a-z_]+(\.[a-z_]+)*", self.path):
            return "has no path; write it as ring.top.gap"
        if self.place not in KINDS:
            return f"has no place; give it one of {', '.join(KINDS)}"
        if self.step not in STEPS:
            return f"has no step of the job; give it one of {', '.join(STEPS)}"
        if not self.words:
            return "has no words; say what it is as the trade does"
        if not issubclass(self.entry, Entry):
            return "has no model of its entry; give it one of geometry/record/entry.py"
        if (self.limit is None) == (self.expected is None):
            return (
                "has nothing to be held against; give it a limit where it is measured, else what is expected"
            )
        if self.limit is not None and self.instrument not in Instruments.model_fields:
            return f"has no instrument; give it one of {', '.join(Instruments.model_fields)}"
        if self.expected is not None and self.wrong is None and self.judge is None:
            return "does not say what it means to be wrong; give it wrong"
        return ""


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """One engine, how it is laid out, what was recorded, all that can be, and the units to answer in."""

    engine: Engine
    layout: Layout
    record: Record
    kinds: tuple[ReadingKind, ...]
    system: System

    def places(self, kind: str) -> tuple[BenchPlace, ...]:
        """Every place of a kind: bores by number, mains from the front."""
        if kind == "crank":
            return (BenchPlace("crank"),)
        if kind == "main":
            return tuple(BenchPlace("main", number + 1) for number in range(len(self.layout.main_x_mm)))
        return tuple(BenchPlace("bore", number) for number in sorted(site.bore for site in self.layout.bores))

    def entry(self, place: BenchPlace, path: str) -> Entry | None:
        """The entry at a path, or None."""
        return self.record.entry(place, path)

    def site(self, place: BenchPlace) -> BoreSite:
        """The site of a bore."""
        return self.layout.site(place.number or 0)

    def heights(self, place: BenchPlace) -> tuple[BoreReading, ...]:
        """A bore as measured, the deck first; empty where it was not measured."""
        entries = (self.entry(place, f"diameter.{height}") for height in HEIGHTS)
        return tuple(entry for entry in entries if isinstance(entry, BoreReading))

    def diameters(self, place: BenchPlace) -> tuple[Interval, ...]:
        """Mean diameter of a bore at each height where it was measured, mm."""
        step = self.record.instruments.bore_gauge_mm
        return tuple(
            around((reading.along_mm + reading.across_mm) / 2, reading.resolution_mm or step)
            for reading in self.heights(place)
        )

    def bore_mm(self, place: BenchPlace) -> float:
        """The bore's diameter: the mean of what was measured, or else as designed."""
        measured = [known.middle for known in self.diameters(place)]
        return sum(measured) / len(measured) if measured else bore_mm(self.engine, place.number or 0)

    def side(self, place: BenchPlace, thrust: str) -> str:
        """The ``major`` or ``minor`` thrust side of a bore in the builder's words."""
        return self.site(place).side(thrust)


@dataclass(frozen=True, slots=True, eq=False)
class ReadingAt:
    """A kind of reading at one place of one engine, recorded or not."""

    kind: ReadingKind
    bench: Bench
    place: BenchPlace

    @property
    def entry(self) -> Entry | None:
        """What was recorded, or None."""
        return self.bench.entry(self.place, self.kind.path)

    @property
    def value(self) -> str | int | None:
        """What was seen, for what is looked at; None where nothing is recorded."""
        return getattr(self.entry, "value", None)

    @property
    def known(self) -> Interval:
        """All that the reading proves, in the house unit; only for what is recorded."""
        entry = self.entry
        assert isinstance(entry, Reading), "only what is read off an instrument proves an interval"
        return interval_of(entry, self.bench.record.instruments, self.kind.instrument)

    @property
    def limit(self) -> ReadingLimit | None:
        """What it is held against; None where nobody gives a figure."""
        return self.kind.limit.at(self) if self.kind.limit else None

    @property
    def wanted(self) -> RightAnswer | None:
        """What it should say where it is looked at; None where either is right."""
        return self.kind.expected(self) if self.kind.expected else None

    @property
    def design(self) -> Engine:
        """The engine file's say on this bore, in which the parts marked for it stand; elsewhere the whole engine."""
        engine = self.bench.engine
        return engine if self.bore is None else engine.of_bore(self.bore)

    @property
    def bore(self) -> int | None:
        """The builder's bore number, None elsewhere."""
        return self.place.number if self.place.kind == "bore" else None

    @property
    def number(self) -> int:
        """The number of the bore or main; 0 for the crank."""
        return self.place.number or 0

    @property
    def words(self) -> str:
        """What it is at this place."""
        return self._placed(self.kind.words)

    @property
    def asked(self) -> str:
        """What is asked for at this place."""
        where = self.kind.where(self) if self.kind.where else ""
        return self._placed(self.kind.asked or self.kind.words) + where

    def _placed(self, words: str) -> str:
        """Words with the sides of a bore as the builder calls them."""
        if "{" not in words:
            return words
        return words.format(**{thrust: self.bench.side(self.place, thrust) for thrust in ("major", "minor")})

    @property
    def is_asked(self) -> bool:
        """Whether the job asks for it here, recorded or not."""
        return self.kind.ask if isinstance(self.kind.ask, bool) else self.kind.ask(self)

    @property
    def is_wanted(self) -> bool:
        """Whether it is not recorded and belongs on the list of what is still to do."""
        paths = (self.kind.path, *self.kind.instead)
        if any(self.bench.entry(self.place, path) is not None for path in paths):
            return False
        return self.is_asked


def laid_over(bench: Bench, places: Iterable[BenchPlace]) -> Built:
    """The engine as put together at some places; what is not recorded is as designed.

    A reading counts with the middle of what it proves.
    """
    built, here = Built(), tuple(places)
    for kind in bench.kinds:
        for place in here:
            at = ReadingAt(kind, bench, place)
            if kind.lay is not None and kind.place == place.kind and at.entry is not None:
                built = kind.lay(built, at)
    return built
