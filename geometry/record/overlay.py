"""The design with the record laid over it: the engine as it was put together, for every check to run on."""

from __future__ import annotations

import os
from dataclasses import replace
from types import MappingProxyType

from geometry.built import TANG_OUT_MM, BoreBuild, Built, RingBuild
from geometry.record.bench import Bench, lay_out
from geometry.record.clocking import installed_deg
from geometry.record.entry import ClearanceReading, SizeReading, TorqueReading
from geometry.record.limits import limit_of
from geometry.record.load import load_record
from geometry.record.model import Record
from geometry.record.place import BenchPlace
from geometry.record.readings import interval_of
from geometry.record.worn import middle_of, moving_parts, readings_of, value_of
from geometry.rings.angles import wrapped_deg
from geometry.rings.clocked import rings_of
from geometry.spec.engine import Engine


def load_built(path: str | os.PathLike[str], engine: Engine) -> Built:
    """Read a build record and lay it over the design.

    Raises
    ------
    InputError : the record cannot be used; every problem at once
    """
    return overlay(engine, load_record(path, engine))


def overlay(engine: Engine, record: Record) -> Built:
    """The engine as put together; what is not recorded is as designed.

    A reading counts with the middle of what it proves.
    """
    bench = lay_out(engine, record)
    bores = {}
    for place in bench.places("bore"):
        build = _bore(bench, place)
        if build != BoreBuild():
            bores[place.number or 0] = build
    mains = bench.places("main")
    turned = tuple(p.number or 0 for p in mains if value_of(bench, p, "way") == "turned")
    stamped = tuple(int(value_of(bench, p, "number") or p.number or 0) for p in mains)
    own = tuple(p.number or 0 for p in mains)
    return Built(MappingProxyType(bores), turned, None if stamped == own else stamped)


def _bore(bench: Bench, place: BenchPlace) -> BoreBuild:
    return replace(
        moving_parts(bench, place),
        rod_turned=value_of(bench, place, "rod.way") == "turned",
        cap_turned=value_of(bench, place, "cap.way") == "turned",
        piston_from=_stranger(bench, place, "piston.number"),
        rod_from=_stranger(bench, place, "rod.number"),
        cap_from=_stranger(bench, place, "cap.number"),
        shells_exchanged=value_of(bench, place, "shell.upper.seat") == "cap"
        or value_of(bench, place, "shell.lower.seat") == "rod",
        shell_proud_mm=_shell_proud(bench, place),
        bolt_out_mm=_bolts(bench, place),
        bolts_loose=any(_is_loose(bench, place, side) for side in ("major", "minor")),
        rings=MappingProxyType(_rings(bench, place)),
        bore_diameter_mm=bench.bore_mm(place) if bench.diameters(place) else None,
        bore_readings=readings_of(bench, place),
    )


def _stranger(bench: Bench, place: BenchPlace, path: str) -> int | None:
    """The bore a part belongs to, where that is not this one."""
    number = value_of(bench, place, path)
    return int(number) if number is not None and number != place.number else None


def _shell_proud(bench: Bench, place: BenchPlace) -> float:
    found = 0.0
    for half in ("upper", "lower"):
        measured = middle_of(bench, place, f"shell.{half}.proud", "depth_gauge_mm")
        out = value_of(bench, place, f"shell.{half}.tang") == "out"
        found = max(found, measured if measured is not None else (TANG_OUT_MM if out else 0.0))
    return found


def _bolts(bench: Bench, place: BenchPlace) -> tuple[float, float]:
    """Stand-out of the bolt at -y and of the bolt at +y of the rod: +y is the major side at ring angle 90."""
    major, minor = (_stands_off(bench, place, side) for side in ("major", "minor"))
    return (minor, major) if bench.site(place).thrust_ring_deg == 90.0 else (major, minor)


def _stands_off(bench: Bench, place: BenchPlace, side: str) -> float:
    """How far a bolt head stands off its seat; zero for one that counts as seated."""
    reading, limit = bench.entry(place, f"bolt.{side}.stand"), limit_of("bolt_stand", bench, place)
    if not isinstance(reading, ClearanceReading):
        return 0.0
    known = interval_of(reading, bench.record.instruments, "depth_gauge_mm")
    seated = limit is not None and known.judged(limit.least, limit.most) == "within"
    return 0.0 if seated else known.middle


def _is_loose(bench: Bench, place: BenchPlace, side: str) -> bool:
    """Whether a bolt is surely tightened or stretched less than it should be."""
    for path, name, instrument in (
        (f"bolt.{side}.torque", "bolt_torque", "torque_nm"),
        (f"bolt.{side}.stretch", "bolt_stretch", "micrometer_mm"),
    ):
        reading, limit = bench.entry(place, path), limit_of(name, bench, place)
        if limit is not None and isinstance(reading, TorqueReading | SizeReading):
            known = interval_of(reading, bench.record.instruments, instrument)
            if known.judged(limit.least, None) == "below":
                return True
    return False


def _rings(bench: Bench, place: BenchPlace) -> dict[str, RingBuild]:
    angles = installed_deg(bench, place)
    found = {}
    for ring in rings_of(bench.engine):
        build = RingBuild(
            gap_ring_deg=wrapped_deg(angles[ring].middle) if ring in angles else None,
            gap_mm=middle_of(bench, place, f"ring.{ring}.gap", "depth_gauge_mm"),
            gap_depth_mm=getattr(bench.entry(place, f"ring.{ring}.gap"), "depth_mm", None),
            upside_down=value_of(bench, place, f"ring.{ring}.way") == "down",
            missing=value_of(bench, place, f"ring.{ring}.fitted") == "missing",
            overlapped=value_of(bench, place, f"ring.{ring}.ends") == "overlapped",
        )
        if build != RingBuild():
            found[ring] = build
    return found
