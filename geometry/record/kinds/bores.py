"""The bore's diameter at three heights, and piston to wall."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from math import inf
from typing import Final

from pydantic import model_validator

from geometry.built import BoreAt, Built
from geometry.checks.fits import wall_fit
from geometry.record.entry import BoreReading, SizeReading
from geometry.record.judging import measured
from geometry.record.kind import HEIGHTS, LimitKind, ReadingAt, ReadingKind
from geometry.record.limits import Cure, ReadingLimit, of_trade
from geometry.record.readings import Interval, around, length_text
from geometry.record.verdict import Verdict
from geometry.rings.source import Source
from geometry.spec.base import SpecModel, hold
from geometry.units import INCH_MM

TOLERANCE_MM: Final = 0.0005 * INCH_MM


class Diameters(SpecModel):
    """The bore as measured, from the deck down."""

    @model_validator(mode="after")
    def _downwards(self) -> Diameters:
        named = ((height, getattr(self, height)) for height in HEIGHTS)
        found = [(height, reading.depth_mm) for height, reading in named if reading is not None]
        hold(*((f"{lower}.depth", lower_mm <= upper_mm,
                f"the {lower} is no deeper than the {upper}", "depths below the deck, from the top down")
               for (upper, upper_mm), (lower, lower_mm) in pairwise(found)))  # fmt: skip
        return self


def _as_designed(at: ReadingAt) -> ReadingLimit:
    design, spread = at.design.block.bore.diameter_mm, length_text(TOLERANCE_MM, at.bench.system)
    text = f"the engine file's bore, {spread} either way; the tolerance is common practice, no source"
    return ReadingLimit(design - TOLERANCE_MM, design + TOLERANCE_MM, Source(text, "practice"))


def _lay_bore(built: Built, at: ReadingAt) -> Built:
    readings = tuple(BoreAt(e.depth_mm, e.along_mm, e.across_mm) for e in at.bench.heights(at.place))
    return built.with_bore(at.number, bore_diameter_mm=at.bench.bore_mm(at.place), bore_readings=readings)


def _both_diameters(at: ReadingAt) -> Iterator[Verdict]:
    """Both diameters at one height, the smaller and the larger, must lie within."""
    entry = at.entry
    if isinstance(entry, BoreReading):
        step = entry.resolution_mm or at.bench.record.instruments.bore_gauge_mm
        sizes = (entry.along_mm, entry.across_mm)
        text = " x ".join(length_text(size, at.bench.system, small=False) for size in sizes)
        each = [measured(at, around(size, step), text) for size in sizes]
        yield max(each, key=lambda one: ("within", "cannot tell", "outside").index(one.verdict))


def _to_wall(at: ReadingAt) -> Iterator[Verdict]:
    """The skirt in its bore where that is tightest, once the bore is measured."""
    entry, bores = at.entry, at.bench.diameters(at.place)
    if not isinstance(entry, SizeReading):
        return
    size = f"skirt {length_text(entry.value_mm, at.bench.system, small=False)}"
    if bores:
        known = min(bores, key=lambda bore: bore.middle).minus(at.known)
        yield measured(at, known, f"{size}, {length_text(known.middle, at.bench.system)} to the wall")
        return
    yield replace(
        measured(at, Interval(0.0, inf), size), verdict="cannot tell", severity="note",
        text="the bore is not measured yet", remedy="measure the bore at the top, in the middle and at the bottom",
    )  # fmt: skip


_SIZE: Final = LimitKind(
    "bore_size", "Bore diameter.",
    Cure("look", "smaller than designed", "measure again at the same height; hone if it is so"),
    Cure("look", "larger than designed: worn, or bored for another piston",
         "measure piston to wall; bore to the next oversize where it is too much"),
    _as_designed,
)  # fmt: skip
_WALL: Final = LimitKind(
    "piston_to_wall", "Piston to wall, on the diameter.",
    Cure("stop", "too tight: the piston seizes when hot", "hone the bore to the piston maker's clearance"),
    Cure("look", "too loose: the piston slaps and rocks the rings", "a larger piston"),
    lambda at: of_trade(wall_fit(at.design)),
)  # fmt: skip

KINDS: Final = (
    *(
        ReadingKind(
            f"diameter.{height}", "bore", "bores", f"bore diameter at the {height}", BoreReading,
            limit=_SIZE, instrument="bore_gauge_mm", judge=_both_diameters, lay=_lay_bore, table=Diameters,
            replaces="block.bore.diameter",
        )
        for height in HEIGHTS
    ),
    ReadingKind(
        "piston.skirt", "bore", "bores", "piston to wall", SizeReading,
        limit=_WALL, instrument="micrometer_mm", judge=_to_wall, replaces="piston.skirt.clearance",
        lay=lambda built, at: built.with_bore(at.number, skirt_mm=at.known.middle),
    ),
)  # fmt: skip
