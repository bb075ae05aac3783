"""Everything that can be recorded, in the order of the job, with what it takes to ask for it and judge it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final, TypeAlias

from geometry.record.bench import Bench
from geometry.record.place import BenchPlace
from geometry.rings.clocked import rings_of
from geometry.rings.schemes import ROLE_WORDS
from geometry.rings.types import way_up
from geometry.trade import rods_share_pins

STEPS: Final = (
    "bores", "ring gaps", "ring grooves", "ring clocking", "bearings", "which way round", "rod bolts",
    "side clearance", "deck", "turning torque",
)  # fmt: skip
"""The job, step by step."""

WRENCH: Final = "torque_nm"
"""The instrument that reads a torque; all others read a length."""

Wanted: TypeAlias = Callable[[Bench, BenchPlace], bool]


@dataclass(frozen=True, slots=True)
class ReadingKind:
    """One thing that can be recorded at a place.

    Attributes
    ----------
    path : as typed and as written in the file
    kind : ``bore``, ``main`` or ``crank``
    step : an entry of ``STEPS``
    words : what it is, in the trade's words
    limit : name of its limit under ``[limits]``; empty for what is looked at rather than measured
    instrument : field of the record's instruments that usually reads it
    ask : whether it belongs on the list of what is still to do
    instead : paths of readings that do as well
    asked : the words while it is still to do, where a reading of another kind does as well; empty: ``words``
    """

    path: str
    kind: str
    step: str
    words: str
    limit: str = ""
    instrument: str = ""
    ask: bool = True
    instead: tuple[str, ...] = ()
    asked: str = ""

    @property
    def dimension(self) -> str:
        """What it is read in: a key of ``geometry.units.DIMENSIONS``."""
        return "torque" if self.instrument == WRENCH else "length"

    @property
    def ring(self) -> str | None:
        """The ring that it is about, if any."""
        keys = self.path.split(".")
        return keys[1] if keys[0] == "ring" else None


def _ring_items() -> Iterator[ReadingKind]:
    for ring in ("top", "second"):
        words = ROLE_WORDS[ring]
        yield ReadingKind(
            f"ring.{ring}.gap", "bore", "ring gaps", f"{words} gap", f"{ring}_gap", "depth_gauge_mm"
        )
        yield ReadingKind(
            f"ring.{ring}.side",
            "bore",
            "ring grooves",
            f"{words} side clearance",
            "ring_side",
            "depth_gauge_mm",
        )
        yield ReadingKind(f"ring.{ring}.way", "bore", "ring clocking", f"{words}, which way up")
        yield ReadingKind(f"ring.{ring}.groove", "bore", "ring clocking", f"{words}, which groove", ask=False)
    for ring in ("upper_rail", "lower_rail"):
        yield ReadingKind(
            f"ring.{ring}.gap", "bore", "ring gaps", f"{ROLE_WORDS[ring]} gap", "rail_gap", "depth_gauge_mm"
        )
    for ring, words in ROLE_WORDS.items():
        stands = "where it stands" if ring == "expander" else "where its gap stands"
        yield ReadingKind(f"ring.{ring}.angle", "bore", "ring clocking", f"{words}, {stands}")
        yield ReadingKind(
            f"ring.{ring}.fitted",
            "bore",
            "ring clocking",
            f"{words.removesuffix(' joint')} fitted",
            ask=False,
        )
    yield ReadingKind("ring.expander.ends", "bore", "ring clocking", "expander ends")


def _bolt_items() -> Iterator[ReadingKind]:
    for side in ("major", "minor"):
        bolt = f"bolt.{side}"
        yield ReadingKind(
            f"{bolt}.torque", "bore", "rod bolts", f"{{{side}}} bolt, torque", "bolt_torque", WRENCH,
            instead=(f"{bolt}.stretch",), asked=f"{{{side}}} bolt, torque or stretch",
        )  # fmt: skip
        yield ReadingKind(
            f"{bolt}.stretch", "bore", "rod bolts", f"{{{side}}} bolt, stretch", "bolt_stretch", "micrometer_mm",
            ask=False,
        )  # fmt: skip
        yield ReadingKind(
            f"{bolt}.stand", "bore", "rod bolts", f"{{{side}}} bolt, head off its seat", "bolt_stand",
            "depth_gauge_mm",
        )  # fmt: skip


def _bearing_items() -> Iterator[ReadingKind]:
    yield ReadingKind("clearance", "main", "bearings", "oil clearance", "main_bearing", "strip_mm")
    yield ReadingKind("way", "main", "bearings", "cap, which way round")
    yield ReadingKind("number", "main", "bearings", "number stamped on the cap", ask=False)
    for side in ("left", "right"):
        yield ReadingKind(
            f"bolt.{side}.torque", "main", "bearings", f"{side} cap bolt, torque", "main_bolt_torque", WRENCH,
            ask=False,
        )  # fmt: skip
        yield ReadingKind(
            f"bolt.{side}.stand", "main", "bearings", f"{side} cap bolt, head off its seat", "bolt_stand",
            "depth_gauge_mm", ask=False,
        )  # fmt: skip
    yield ReadingKind("end_play", "crank", "bearings", "end play", "end_play", "depth_gauge_mm")
    yield ReadingKind("turning", "crank", "bearings", "torque that turns the bare crank", "turning", WRENCH)
    yield ReadingKind("bearing.clearance", "bore", "bearings", "big-end oil clearance", "bearing", "strip_mm")
    for half, home in (("upper", "rod"), ("lower", "cap")):
        yield ReadingKind(f"shell.{half}.seat", "bore", "bearings", f"{half} shell, in rod or cap")
        yield ReadingKind(f"shell.{half}.tang", "bore", "bearings", f"tang of the shell in the {home}")
        yield ReadingKind(
            f"shell.{half}.proud", "bore", "bearings", f"{half} shell proud at the joint", "shell_proud",
            "depth_gauge_mm", ask=False,
        )  # fmt: skip


def _items() -> Iterator[ReadingKind]:
    for height in ("top", "middle", "bottom"):
        yield ReadingKind(
            f"diameter.{height}",
            "bore",
            "bores",
            f"bore diameter at the {height}",
            "bore_size",
            "bore_gauge_mm",
        )
    yield ReadingKind("piston.skirt", "bore", "bores", "piston to wall", "piston_to_wall", "micrometer_mm")
    yield from _ring_items()
    yield from _bearing_items()
    for part, words in (("piston", "piston"), ("rod", "rod"), ("cap", "rod cap")):
        yield ReadingKind(f"{part}.way", "bore", "which way round", f"{words}, which way round")
        yield ReadingKind(f"{part}.number", "bore", "which way round", f"number on the {words}", ask=False)
    yield from _bolt_items()
    yield ReadingKind(
        "rod.side", "bore", "side clearance", "rod side clearance", "rod_side", "depth_gauge_mm"
    )
    yield ReadingKind(
        "piston.height", "bore", "deck", "compression height", "piston_height", "micrometer_mm", ask=False
    )
    yield ReadingKind("rod.length", "bore", "deck", "rod length", "rod_length", "micrometer_mm", ask=False)
    yield ReadingKind("deck", "bore", "deck", "crown below deck", "deck", "depth_gauge_mm")
    yield ReadingKind("turning", "bore", "turning torque", "torque that turns the crank", "turning", WRENCH)


ITEMS: Final = tuple(sorted(_items(), key=lambda item: STEPS.index(item.step)))
"""Every item, in the order of the job."""


def items_at(bench: Bench) -> Iterator[tuple[ReadingKind, BenchPlace]]:
    """Everything that can be recorded on this engine, step by step, and within a step place by place."""
    rings = rings_of(bench.engine)
    for step in STEPS:
        for kind in ("main", "crank", "bore"):
            here = [item for item in ITEMS if item.step == step and item.kind == kind]
            for place in bench.places(kind):
                yield from ((item, place) for item in here if item.ring is None or item.ring in rings)


def words_of(item: ReadingKind, bench: Bench, place: BenchPlace, asked: bool = False) -> str:
    """What an item is at one place, or what is asked for: rod bolts get their side in the builder's words."""
    words = item.asked if asked and item.asked else item.words
    if "{" not in words:
        return words
    return words.format(major=bench.side(place, "major"), minor=bench.side(place, "minor"))


def is_wanted(item: ReadingKind, bench: Bench, place: BenchPlace) -> bool:
    """Whether an item that is not recorded belongs on the list of what is still to do."""
    if not item.ask or any(bench.entry(place, path) is not None for path in (item.path, *item.instead)):
        return False
    if item.path == "rod.side":
        partner = bench.site(place).partner
        if partner is not None and rods_share_pins(
            bench.engine
        ):  # one reading serves both rods of a pin; ask for it at the lower number
            other = BenchPlace("bore", partner)
            return bench.entry(other, "rod.side") is None and (place.number or 0) < partner
    if item.path.endswith(".way") and item.ring:
        ring = getattr(bench.engine.rings, item.ring)
        return way_up(ring.face, ring.inside, ring.mark).side_up != "either"
    return True
