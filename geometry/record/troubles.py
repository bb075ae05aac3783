"""What a build record says is outside its limit or not as it must be, as places that a picture points at."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final, Literal, TypeAlias

from geometry.assembly import Assembly
from geometry.checks import spot_places as at
from geometry.checks.fault_spots import nearby_of
from geometry.checks.spot_places import SpotPlace
from geometry.checks.trouble_spot import TroubleKind, TroubleSpot
from geometry.kinematics.layout import BoreSite
from geometry.record.catalogue import lay_out, readings_at
from geometry.record.entry import BoreReading
from geometry.record.judging import judged
from geometry.record.kind import ReadingAt
from geometry.record.model import Record
from geometry.record.verdict import Verdict

Where: TypeAlias = Callable[[Assembly, BoreSite, ReadingAt], SpotPlace]


def _corner(assembly: Assembly, site: BoreSite, reading: ReadingAt) -> SpotPlace:
    return at.fillet_corner(assembly, site)


def _cap(assembly: Assembly, site: BoreSite, reading: ReadingAt) -> SpotPlace:
    return at.big_end(assembly, site, "rod_cap", "rod")


def _film(assembly: Assembly, site: BoreSite, reading: ReadingAt) -> SpotPlace:
    return at.oil_film(assembly, site)


def _tang(assembly: Assembly, site: BoreSite, reading: ReadingAt) -> SpotPlace:
    shell = "upper_shell" if reading.kind.keys[1] == "upper" else "lower_shell"
    return at.big_end(assembly, site, shell, "rod_cap")


def _crown(assembly: Assembly, site: BoreSite, reading: ReadingAt) -> SpotPlace:
    return at.crown(assembly, site)


def _skirt(assembly: Assembly, site: BoreSite, reading: ReadingAt) -> SpotPlace:
    return at.skirt(assembly, site)


def _pin(assembly: Assembly, site: BoreSite, reading: ReadingAt) -> SpotPlace:
    return at.pin_end(assembly, site)


def _bolt(assembly: Assembly, site: BoreSite, reading: ReadingAt) -> SpotPlace:
    role: Literal["major", "minor"] = "major" if reading.kind.keys[1] == "major" else "minor"
    build = assembly.built.bore(site.bore)
    out = dict(zip((at.side_at(site, -1.0), at.side_at(site, 1.0)), build.bolt_out_mm, strict=True))
    return at.bolt(assembly, site, role, out[role] if reading.kind.keys[2] == "stand" else 0.0)


def _ring(assembly: Assembly, site: BoreSite, reading: ReadingAt) -> SpotPlace:
    return at.ring_gap(assembly, site, reading.kind.ring or "top")


def _wall(assembly: Assembly, site: BoreSite, reading: ReadingAt) -> SpotPlace:
    depth = reading.entry.depth_mm if isinstance(reading.entry, BoreReading) else 0.0
    return at.at_depth(assembly, site, depth)


PLACES: Final[dict[str, tuple[TroubleKind, Where]]] = {
    # by the path of the entry, or by its beginning; the longest that fits counts
    "ring": ("ring", _ring),
    "diameter": ("reading", _wall),
    "piston": ("piston", _crown),
    "piston.skirt": ("piston", _skirt),
    "pin": ("piston", _pin),
    "deck": ("piston", _crown),
    "rod": ("rod", _corner),
    "rod.housing": ("bearing", _film),
    "cap": ("rod", _cap),
    "bearing": ("bearing", _film),
    "shell": ("bearing", _film),
    "shell.upper.tang": ("bearing", _tang),
    "shell.upper.proud": ("bearing", _tang),
    "shell.lower.tang": ("bearing", _tang),
    "shell.lower.proud": ("bearing", _tang),
    "crankpin": ("bearing", _film),
    "bolt": ("bolt", _bolt),
    "weight": ("rod", _corner),
    "weight.piston": ("piston", _crown),
    "turning": ("crank", _film),
}
GROUPS: Final = {
    # where the checks know the same thing by another name
    "shell.upper.seat": "shell.seat", "shell.lower.seat": "shell.seat",
    "shell.upper.tang": "shell.tang", "shell.lower.tang": "shell.tang",
    "shell.upper.proud": "shell.tang", "shell.lower.proud": "shell.tang",
    "bolt.major.torque": "bolt.torque", "bolt.minor.torque": "bolt.torque",
    "bearing.gauged": "bearing.clearance", "gauged": "clearance", "end_play": "crank.end_play",
}  # fmt: skip


def record_troubles(assembly: Assembly, record: Record) -> tuple[TroubleSpot, ...]:
    """Everything recorded that is outside its limit or not as it must be, where it is on the engine as put together.

    Parameters
    ----------
    assembly : with the record laid over it
    record : the build record of the same engine
    """
    found = []
    for reading in readings_at(lay_out(assembly.spec, record)):
        outside = (one for one in judged(reading) if one.verdict == "outside")
        # the check's own ring clock, which runs on the same angles, tells of those
        found += [_spot(assembly, reading, one) for one in outside if one.dimension != "angle"]
    return tuple(found)


def _spot(assembly: Assembly, reading: ReadingAt, verdict: Verdict) -> TroubleSpot:
    """The trouble spot of one verdict that is not within."""
    kind, place = _place_of(assembly, reading)
    value, limit = _value_and_limit(verdict)
    severity = verdict.severity or "look"
    number, group = reading.place.number, GROUPS.get(verdict.path, verdict.path)
    nearby = nearby_of(severity, value, verdict.dimension)
    return TroubleSpot(
        kind, f"main.{group}" if reading.place.kind == "main" else group,
        severity, nearby, verdict.bore, number if reading.place.kind == "main" else None, place.crank_deg,
        place.bodies, place.a_mm, place.b_mm, value, limit,
        None if value is None or limit is None else -abs(value - limit), verdict.dimension, verdict.source.text,
        verdict.what,
    )  # fmt: skip


def _place_of(assembly: Assembly, reading: ReadingAt) -> tuple[TroubleKind, SpotPlace]:
    place = reading.place
    if place.kind == "main":
        return "bearing", at.main_cap(assembly, reading.number)
    if place.kind == "crank":
        return "crank", at.crank_nose(assembly)
    kind, where = PLACES[next(_beginnings(reading.kind.path))]
    return kind, where(assembly, assembly.layout.site(reading.number), reading)


def _beginnings(path: str) -> Iterator[str]:
    """The keys of ``PLACES`` that a path begins with, the longest first."""
    keys = path.split(".")
    for count in range(len(keys), 0, -1):
        if ".".join(keys[:count]) in PLACES:
            yield ".".join(keys[:count])


def _value_and_limit(verdict: Verdict) -> tuple[float | None, float | None]:
    """The middle of what was read and the limit that it is outside of; none for what was looked at."""
    spans = [(verdict.low, verdict.high)]
    if verdict.along is not None:  # a ring's gap is judged where its bore is tightest and where it is widest
        ends = (verdict.along.tightest, verdict.along.widest)
        spans += [(end.lower_mm, end.upper_mm) for end in ends]
    for low, high in spans:
        if low is None:
            continue
        middle = low if high is None else (low + high) / 2
        if verdict.least is not None and middle < verdict.least:
            return middle, verdict.least
        if verdict.most is not None and middle > verdict.most:
            return middle, verdict.most
    return None, None
