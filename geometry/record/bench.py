"""The engine and its record on one bench: what every question about a reading needs to know."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.kinematics.layout import BoreSite, Layout, build_layout
from geometry.record.entry import BoreReading, Entry
from geometry.record.model import BoreRecord, MainRecord, Record
from geometry.record.place import OPPOSITE_SIDE, BenchPlace
from geometry.record.readings import Interval, around
from geometry.spec.base import SpecModel
from geometry.spec.engine import Engine
from geometry.units import System


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """One engine, how it is laid out, what was recorded, and the units to answer in."""

    engine: Engine
    layout: Layout
    record: Record
    system: System

    def places(self, kind: str) -> tuple[BenchPlace, ...]:
        """Every place of a kind: bores by number, mains from the front."""
        if kind == "crank":
            return (BenchPlace("crank"),)
        if kind == "main":
            return tuple(BenchPlace("main", number + 1) for number in range(len(self.layout.main_x_mm)))
        return tuple(BenchPlace("bore", number) for number in sorted(site.bore for site in self.layout.bores))

    def found(self, place: BenchPlace) -> SpecModel:
        """What was recorded at a place; an empty record where nothing was."""
        if place.kind == "bore":
            return self.record.bore.get(str(place.number), BoreRecord())
        if place.kind == "main":
            return self.record.main.get(str(place.number), MainRecord())
        return self.record.crank

    def entry(self, place: BenchPlace, path: str) -> Entry | None:
        """The entry at a path, or None."""
        holder: SpecModel | None = self.found(place)
        for key in path.split("."):
            holder = getattr(holder, key, None)
        return holder if isinstance(holder, Entry) else None

    def site(self, place: BenchPlace) -> BoreSite:
        """The site of a bore."""
        return self.layout.site(place.number or 0)

    def diameters(self, place: BenchPlace) -> tuple[Interval, ...]:
        """Mean diameter of a bore at each height where it was measured, mm."""
        step = self.record.instruments.bore_gauge_mm
        readings = (self.entry(place, f"diameter.{height}") for height in ("top", "middle", "bottom"))
        return tuple(
            around((reading.along_mm + reading.across_mm) / 2, reading.resolution_mm or step)
            for reading in readings
            if isinstance(reading, BoreReading)
        )

    def bore_mm(self, place: BenchPlace) -> float:
        """The bore's diameter: the mean of what was measured, or else as designed."""
        measured = [known.middle for known in self.diameters(place)]
        return sum(measured) / len(measured) if measured else self.engine.block.bore.diameter_mm

    def side(self, place: BenchPlace, thrust: str) -> str:
        """The ``major`` or ``minor`` thrust side of a bore in the builder's words."""
        major = self.site(place).thrust_words
        return major if thrust == "major" else OPPOSITE_SIDE[major]


def lay_out(engine: Engine, record: Record, system: System | None = None) -> Bench:
    """Put an engine and its record on the bench.

    Parameters
    ----------
    engine, record : the engine file and its build record
    system : units of the answers; default: those that the engine file asks for, or else mm

    Raises
    ------
    GeometryError : the engine cannot be laid out
    """
    return Bench(engine, build_layout(engine), record, system or engine.engine.units or "mm")
