"""The rod bolts: torque or stretch, and the head on its seat."""

from __future__ import annotations

from typing import Final

from geometry.built import Built
from geometry.checks.bolt_answer import longest_mm
from geometry.checks.bolt_joint import BoltJoint, rod_joint
from geometry.record.entry import ClearanceReading, SizeReading, TorqueReading
from geometry.record.kind import LimitKind, ReadingAt, ReadingKind
from geometry.record.limits import Cure, ReadingLimit
from geometry.rings.source import Certainty, Source
from geometry.trade import SEATED_MM
from geometry.units import INCH_MM

STRETCH_MM: Final = (0.005 * INCH_MM, 0.006 * INCH_MM)
TORQUE_SPREAD: Final = 0.04
STRETCH_SPREAD_MM: Final = 0.0005 * INCH_MM
YIELDED: Final = Cure(
    "stop", "too tight: the bolt may have yielded", "a new bolt, tightened to its maker's figure"
)
OVERSTRETCHED: Final = Cure("stop", "stretched too far: the bolt has yielded", "a new bolt")


def torque_limit(bolts: BoltJoint | None) -> ReadingLimit | None:
    """Round the torque of the engine file; None where it gives none, and for bolts tightened beyond their yield."""
    torque = None if bolts is None else bolts.torque_nm
    if torque is None:
        return None
    text = "the bolt maker's torque in the engine file; a torque wrench may be 4 percent out (ISO 6789, from memory)"
    least, most = torque * (1 - TORQUE_SPREAD), torque * (1 + TORQUE_SPREAD)
    return ReadingLimit(least, most, Source(text, "memory"), "torque")


def _rod_stretch(at: ReadingAt) -> ReadingLimit | None:
    """Round the stretch of the engine file; else what is usual, which says nothing of a bolt beyond its yield."""
    bolts = rod_joint(at.bench.engine)
    stretch = bolts.bolt.stretch_mm
    if stretch is not None:
        text = "the bolt maker's stretch in the engine file, half a thousandth of an inch either way (common practice)"
        least = max(stretch - STRETCH_SPREAD_MM, 0.0)
        return ReadingLimit(least, stretch + STRETCH_SPREAD_MM, Source(text, "practice"))
    if bolts.by_yield:
        return None
    text = "usual for rod bolts (trade magazine, 2015); the bolt maker's figure goes first"
    return ReadingLimit(*STRETCH_MM, Source(text, "secondary"))


def _rod_length(at: ReadingAt) -> ReadingLimit | None:
    """How long a used rod bolt may be, loose; None where its length when new is not in the engine file."""
    bolts = rod_joint(at.bench.engine)
    found = longest_mm(bolts)
    if found is None:
        return None
    certainty: Certainty = "practice" if bolts.bolt.longest_mm is None else "stated"
    return ReadingLimit(None, found[0], Source(found[1], certainty))


_TORQUE: Final = LimitKind(
    "bolt_torque", "Torque of a rod bolt.",
    Cure("stop", "not tight: the joint opens at speed", "tighten to the bolt maker's figure"), YIELDED,
    lambda at: torque_limit(rod_joint(at.bench.engine)), "torque",
)  # fmt: skip
_STRETCH: Final = LimitKind(
    "bolt_stretch", "Stretch of a rod bolt.",
    Cure("stop", "not stretched enough: the joint opens at speed", "tighten to the maker's stretch"),
    OVERSTRETCHED, _rod_stretch,
)  # fmt: skip
_LENGTH: Final = LimitKind(
    "bolt_length", "Length of a rod bolt, loose.",
    Cure("look", "shorter than new", "measure it again, or it is another bolt"),
    Cure("stop", "stays stretched: it has yielded", "a new bolt"), _rod_length,
)  # fmt: skip
STAND: Final = LimitKind(
    "bolt_stand", "A bolt head off its seat.",
    Cure("look", "less than the least allowed", "measure it again"),
    Cure("stop", "not seated: it stands out and may strike the block, and the joint is not clamped",
         "take it out, look for dirt, a burr or a thread that bottoms, and tighten again"),
    lambda at: ReadingLimit(0.0, SEATED_MM, Source(
        "a seated head lets no thin feeler blade under it; common practice, no source", "practice")),
)  # fmt: skip


def _lay_tightness(built: Built, at: ReadingAt) -> Built:
    """A bolt that is surely tightened or stretched less than it should be is loose."""
    limit = at.limit
    loose = limit is not None and at.known.judged(limit.least, None) == "below"
    return built.with_bore(at.number, bolts_loose=True) if loose else built


def _lay_stand(built: Built, at: ReadingAt, side: str) -> Built:
    """How far a bolt head stands off its seat, where it does not count as seated.

    The built engine has the bolt at -y of the rod first and that at +y second: +y is the major side at ring angle 90.
    """
    limit = at.limit
    if limit is not None and at.known.judged(limit.least, limit.most) == "within":
        return built
    minus, plus = built.bore(at.number).bolt_out_mm
    at_plus = (side == "major") == (at.bench.site(at.place).thrust_ring_deg == 90.0)
    out = (minus, at.known.middle) if at_plus else (at.known.middle, plus)
    return built.with_bore(at.number, bolt_out_mm=out)


def _bolt(side: str) -> tuple[ReadingKind, ...]:
    path, words = f"bolt.{side}", f"{{{side}}} bolt"
    return (
        ReadingKind(
            f"{path}.length", "bore", "rod bolts", f"{words}, length loose", SizeReading, limit=_LENGTH,
            instrument="micrometer_mm", ask=False, lay=None,
        ),
        ReadingKind(
            f"{path}.torque", "bore", "rod bolts", f"{words}, torque", TorqueReading, limit=_TORQUE,
            instrument="torque_nm", instead=(f"{path}.stretch",), asked=f"{words}, torque or stretch",
            lay=_lay_tightness,
        ),
        ReadingKind(
            f"{path}.stretch", "bore", "rod bolts", f"{words}, stretch", SizeReading, limit=_STRETCH,
            instrument="micrometer_mm", ask=False, lay=_lay_tightness,
        ),
        ReadingKind(
            f"{path}.stand", "bore", "rod bolts", f"{words}, head off its seat", ClearanceReading, limit=STAND,
            instrument="depth_gauge_mm", lay=lambda built, at: _lay_stand(built, at, side),
        ),
    )  # fmt: skip


KINDS: Final = (*_bolt("major"), *_bolt("minor"))
