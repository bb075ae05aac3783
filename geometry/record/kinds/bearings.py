"""The bearings: oil clearance, shells, main caps, end play."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from math import isinf
from typing import Final

from geometry.built import TANG_OUT_MM, Built, OilRead, Read
from geometry.checks.bolt_joint import main_joint
from geometry.checks.fit_limits import end_play_fit, main_oil_fit, rod_oil_fit
from geometry.record.entry import (
    ClearanceReading,
    SeatFound,
    SizeReading,
    Stamped,
    TangFound,
    TorqueReading,
    Way,
)
from geometry.record.kind import LimitKind, ReadingAt, ReadingKind, RightAnswer
from geometry.record.kinds.rod_bolts import OVERSTRETCHED, STAND, YIELDED, torque_limit
from geometry.record.kinds.ways import AS_MARKED, own_number
from geometry.record.limits import Cure, ReadingLimit, of_trade
from geometry.record.model import Record
from geometry.record.place import BenchPlace
from geometry.record.readings import interval_of, length_text
from geometry.rings.source import Source
from geometry.trade import CRUSH_MM, CRUSH_SOURCE
from geometry.units import INCH_MM

_SHELLS: Final = Source(
    "tangs in their notches, each shell in its own half: common practice, no source", "practice"
)
_OIL: Final = (
    Cure("stop", "too tight: no room for the oil film, the bearing grips when hot",
         "undersize check of journal and housing, dirt behind a shell, or shells of the next thinner size"),
    Cure("look", "too loose: oil pressure falls and the bearing knocks",
         "shells of the next thicker size, or grind the crank and fit undersize shells"),
)  # fmt: skip
_MAIN: Final = LimitKind(
    "main_bearing", "Oil clearance of the mains.", *_OIL,
    lambda at: of_trade(main_oil_fit(at.bench.engine)),
)  # fmt: skip
_BIG_END: Final = LimitKind(
    "bearing", "Oil clearance of the big ends.", *_OIL, lambda at: of_trade(rod_oil_fit(at.design))
)
_MAIN_BOLT: Final = LimitKind(
    "main_bolt_torque", "Torque of a main cap bolt.",
    Cure("stop", "not tight: the cap moves", "tighten to the maker's figure"), YIELDED,
    lambda at: torque_limit(main_joint(at.bench.engine)), "torque",
)  # fmt: skip
_MAIN_STRETCH: Final = LimitKind(
    "main_bolt_stretch", "Stretch of a main cap bolt.",
    Cure("stop", "not stretched enough: the cap moves", "tighten to the maker's stretch"), OVERSTRETCHED,
)  # fmt: skip
_END_PLAY: Final = LimitKind(
    "end_play", "End play of the crank.",
    Cure("stop", "too tight: the thrust faces run dry", "look for dirt or a thrust bearing out of line"),
    Cure("look", "too loose: rods and clutch are moved about", "new thrust bearing"),
    lambda at: of_trade(end_play_fit(at.bench.engine)),
)  # fmt: skip
_PROUD: Final = LimitKind(
    "shell_proud", "A shell standing out at the joint.",
    Cure("look", "less than the least allowed", "measure it again"),
    Cure("stop", "the shell stands out at the joint: its tang is not home, or dirt lies behind it",
         "take the cap off and look at tang, notch and back of the shell"),
    lambda at: ReadingLimit(0.0, CRUSH_MM, CRUSH_SOURCE),
)  # fmt: skip

_CRUSH: Final = LimitKind(
    "shell_crush", "How far each end of a shell stands proud of its half of the housing, cap off.",
    Cure("stop", "the shell is not crushed home: nothing holds it", "shells for this housing; measure the housing too"),
    Cure("stop", "too much: the shell buckles, or dirt lies behind it",
         "take the shell out and look behind it; never file it"),
    lambda at: ReadingLimit(0.0, CRUSH_MM, CRUSH_SOURCE),
)  # fmt: skip

_GROUND_MM: Final = 0.0005 * INCH_MM
_SHELL_MM: Final = 0.0002 * INCH_MM


def _near(design_mm: float, spread_mm: float, at: ReadingAt) -> ReadingLimit:
    spread = length_text(spread_mm, at.bench.system)
    text = f"the engine file's size, {spread} either way; the tolerance is common practice, no source"
    return ReadingLimit(design_mm - spread_mm, design_mm + spread_mm, Source(text, "practice"))


_HOUSING: Final = LimitKind(
    "housing_bore", "Housing bore of a big end, without shells.",
    Cure("stop", "too small: the shells are crushed and the bearing grips", "hone the housing to size"),
    Cure("stop", "too large: the shells are not held", "resize the big end, or another rod"),
    lambda at: _near(at.bench.engine.rod.big_end.bore_mm, _GROUND_MM, at),
)  # fmt: skip
_SHELL_WALL: Final = LimitKind(
    "shell_wall", "Thickness of a big-end shell at its crown.",
    Cure("look", "thinner than designed: more oil clearance", "measure the oil clearance, else thicker shells"),
    Cure("look", "thicker than designed: less oil clearance", "measure the oil clearance, else thinner shells"),
    lambda at: _near(at.bench.engine.rod.bearing.wall_mm, _SHELL_MM, at),
)  # fmt: skip
_CRANKPIN: Final = LimitKind(
    "crankpin", "Diameter of a crankpin.",
    Cure("look", "smaller than designed: worn, or ground for thicker shells", "measure the oil clearance"),
    Cure("look", "larger than designed: less oil clearance", "measure the oil clearance"),
    lambda at: _near(at.bench.engine.crank.pin.diameter_mm, _GROUND_MM, at),
)  # fmt: skip


_MAIN_HOUSING: Final = LimitKind(
    "main_housing", "Housing bore of a main, without shells.",
    Cure("stop", "too small: the shells are crushed and the bearing grips", "line-hone the mains to size"),
    Cure("stop", "too large: the shells are not held", "resize the mains, or another cap"),
    lambda at: _near_or_none(_main_key(at, "bore_mm"), _GROUND_MM, at),
)  # fmt: skip
_MAIN_WALL: Final = LimitKind(
    "main_shell_wall", "Thickness of a main shell at its crown.", _SHELL_WALL.below, _SHELL_WALL.above,
    lambda at: _near_or_none(_main_key(at, "wall_mm"), _SHELL_MM, at),
)  # fmt: skip
_MAIN_JOURNAL: Final = LimitKind(
    "main_journal", "Diameter of a main journal.", _CRANKPIN.below, _CRANKPIN.above,
    lambda at: _near(at.bench.engine.crank.main.diameter_mm, _GROUND_MM, at),
)  # fmt: skip


def _main_key(at: ReadingAt, field: str) -> float | None:
    bearing = at.bench.engine.block.main_bearing
    return None if bearing is None else getattr(bearing, field)


def _near_or_none(design_mm: float | None, spread_mm: float, at: ReadingAt) -> ReadingLimit | None:
    return None if design_mm is None else _near(design_mm, spread_mm, at)


def _read(at: ReadingAt) -> Read:
    """What counts of a reading, and what its instrument could tell apart."""
    entry, instruments = at.entry, at.bench.record.instruments
    assert isinstance(entry, ClearanceReading), "an oil clearance is a clearance"
    span = interval_of(entry, instruments, at.kind.instrument)
    step = getattr(instruments, at.kind.instrument) if isinf(span.high) else span.high - span.low
    return Read(at.known.middle, step)


def _read_by(oil: OilRead, at: ReadingAt) -> OilRead:
    """The oil clearance with one more reading, by the instrument that took it."""
    return replace(oil, **{"gauge" if at.kind.instrument == "bore_gauge_mm" else "strip": _read(at)})


def _lay_oil(built: Built, at: ReadingAt) -> Built:
    return built.with_bore(at.number, oil=_read_by(built.bore(at.number).oil, at))


def _lay_main_oil(built: Built, at: ReadingAt) -> Built:
    return built.with_main(at.number, oil=_read_by(built.main(at.number).oil, at))


def _lay_main_cap(built: Built, at: ReadingAt) -> Built:
    turned = at.value == "turned"
    return replace(built, main_cap_turned=(*built.main_cap_turned, at.number)) if turned else built


def _lay_main_number(built: Built, at: ReadingAt) -> Built:
    order = list(built.main_cap_order or range(1, len(at.bench.places("main")) + 1))
    if order[at.number - 1] == at.value:
        return built
    order[at.number - 1] = int(at.value or 0)
    return replace(built, main_cap_order=tuple(order))


def _lay_tang(built: Built, at: ReadingAt, proud: str) -> Built:
    """A tang that is out lifts its shell, by how much only a reading of it can say better."""
    if at.value != "out" or at.bench.entry(at.place, proud) is not None:
        return built
    return built.with_bore(at.number, shell_proud_mm=max(built.bore(at.number).shell_proud_mm, TANG_OUT_MM))


def _lay_proud(built: Built, at: ReadingAt) -> Built:
    out_mm = max(built.bore(at.number).shell_proud_mm, at.known.middle)
    return built.with_bore(at.number, shell_proud_mm=out_mm)


def _both_in_one_seat(record: Record, place: BenchPlace) -> tuple[str, str] | None:
    upper, lower = (
        getattr(record.entry(place, f"shell.{half}.seat"), "value", None) for half in ("upper", "lower")
    )
    if upper is None or upper != lower:
        return None
    return f"both shells are said to lie in the {upper}", "one lies in the rod, the other in the cap"


def _shell(half: str, home: str) -> tuple[ReadingKind, ...]:
    return (
        ReadingKind(
            f"shell.{half}.seat", "bore", "bearings", f"{half} shell, in rod or cap", SeatFound,
            expected=lambda at: RightAnswer(home, f"in the {home}", _SHELLS),
            wrong=lambda at: Cure(
                "stop", f"bearing shells exchanged: the {half} shell belongs in the {home} and lies in the {at.value}",
                "change them over; the shell with the hole or groove goes where the oil comes from"),
            misfit=_both_in_one_seat if half == "lower" else None,
            lay=lambda built, at: built if at.value == home else built.with_bore(at.number, shells_exchanged=True),
        ),
        ReadingKind(
            f"shell.{half}.tang", "bore", "bearings", f"tang of the shell in the {home}", TangFound,
            expected=lambda at: RightAnswer("in_notch", "in its notch", _SHELLS),
            wrong=lambda at: Cure(
                "stop", f"the tang of the {half} shell is not in its notch: the shell stands proud and closes up the "
                "oil clearance",
                "take the cap off, look for damage, fit new shells with their tangs in the notches"),
            lay=lambda built, at: _lay_tang(built, at, f"shell.{half}.proud"),
        ),
        ReadingKind(
            f"shell.{half}.proud", "bore", "bearings", f"{half} shell proud at the joint", ClearanceReading,
            limit=_PROUD, instrument="depth_gauge_mm", ask=False, lay=_lay_proud,
        ),
    )  # fmt: skip


def _main_bolt(side: str) -> tuple[ReadingKind, ...]:
    return (
        ReadingKind(
            f"bolt.{side}.torque", "main", "bearings", f"{side} cap bolt, torque", TorqueReading,
            limit=_MAIN_BOLT, instrument="torque_nm", ask=False, lay=None,
        ),
        ReadingKind(
            f"bolt.{side}.stretch", "main", "bearings", f"{side} cap bolt, stretch", SizeReading,
            limit=_MAIN_STRETCH, instrument="micrometer_mm", ask=False, lay=None,
        ),
        ReadingKind(
            f"bolt.{side}.stand", "main", "bearings", f"{side} cap bolt, head off its seat", ClearanceReading,
            limit=STAND, instrument="depth_gauge_mm", ask=False, lay=None,
        ),
    )  # fmt: skip


def _size(path: str, words: str, limit: LimitKind, field: str, key: str) -> ReadingKind:
    return ReadingKind(
        path, "bore", "bearings", words, SizeReading, limit=limit, instrument="micrometer_mm", ask=False,
        replaces=key, lay=lambda built, at: built.with_bore(at.number, **{field: at.known.middle}),
    )  # fmt: skip


def _sizes() -> tuple[ReadingKind, ...]:
    """What the oil clearance of a big end comes from, each by itself."""
    return (
        _size(
            "rod.housing",
            "big-end housing bore, without shells",
            _HOUSING,
            "housing_bore_mm",
            "rod.big_end.bore",
        ),
        _size("shell.wall", "thickness of a big-end shell", _SHELL_WALL, "shell_wall_mm", "rod.bearing.wall"),
        _size("crankpin", "crankpin diameter", _CRANKPIN, "crankpin_mm", "crank.pin.diameter"),
    )


def _main_sizes() -> Iterator[ReadingKind]:
    """What the oil clearance of a main comes from, each by itself."""
    for path, words, limit, field in (
        ("housing", "housing bore, without shells", _MAIN_HOUSING, "housing_bore_mm"),
        ("shell.wall", "thickness of a main shell", _MAIN_WALL, "shell_wall_mm"),
        ("journal", "main journal diameter", _MAIN_JOURNAL, "journal_mm"),
    ):
        yield ReadingKind(
            path, "main", "bearings", words, SizeReading, limit=limit, instrument="micrometer_mm", ask=False,
            lay=partial(_lay_main_size, field),
        )  # fmt: skip


def _lay_main_size(field: str, built: Built, at: ReadingAt) -> Built:
    return built.with_main(at.number, **{field: at.known.middle})


KINDS: Final = (
    ReadingKind(
        "clearance", "main", "bearings", "oil clearance", ClearanceReading,
        limit=_MAIN, instrument="strip_mm", lay=_lay_main_oil, instead=("gauged",),
    ),
    ReadingKind(
        "gauged", "main", "bearings", "oil clearance by bore gauge", ClearanceReading,
        limit=_MAIN, instrument="bore_gauge_mm", ask=False, lay=_lay_main_oil,
    ),
    *_main_sizes(),
    ReadingKind(
        "crush", "main", "bearings", "crush of a main shell", ClearanceReading,
        limit=_CRUSH, instrument="depth_gauge_mm", ask=False,
        lay=lambda built, at: built.with_main(at.number, crush_mm=at.known.middle),
    ),
    ReadingKind(
        "way", "main", "bearings", "cap, which way round", Way, expected=lambda at: AS_MARKED,
        wrong=lambda at: Cure("stop", "main cap on back to front: the bore has a step at the joint",
                              "turn it; its mark points to the front"),
        lay=_lay_main_cap,
    ),
    ReadingKind(
        "number", "main", "bearings", "number stamped on the cap", Stamped, expected=own_number, ask=False,
        wrong=lambda at: Cure(
            "stop", f"main bearing {at.number} carries the cap of main {at.value}: they were bored together with "
            "their own",
            "put every main cap back on its own bearing"),
        lay=_lay_main_number,
    ),
    *_main_bolt("left"),
    *_main_bolt("right"),
    ReadingKind(
        "end_play", "crank", "bearings", "end play", ClearanceReading,
        limit=_END_PLAY, instrument="depth_gauge_mm",
        lay=lambda built, at: replace(built, end_play_mm=at.known.middle),
    ),
    ReadingKind(
        "bearing.clearance", "bore", "bearings", "big-end oil clearance", ClearanceReading,
        limit=_BIG_END, instrument="strip_mm",
        lay=_lay_oil, instead=("bearing.gauged",),
    ),
    ReadingKind(
        "bearing.gauged", "bore", "bearings", "big-end oil clearance by bore gauge", ClearanceReading,
        limit=_BIG_END, instrument="bore_gauge_mm", ask=False, lay=_lay_oil,
    ),
    ReadingKind(
        "shell.crush", "bore", "bearings", "crush of a big-end shell", ClearanceReading,
        limit=_CRUSH, instrument="depth_gauge_mm", ask=False,
        lay=lambda built, at: built.with_bore(at.number, crush_mm=at.known.middle),
    ),
    *_shell("upper", "rod"),
    *_shell("lower", "cap"),
    *_sizes(),
)  # fmt: skip
