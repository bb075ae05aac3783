"""What a thing that was looked at should be, and what it means when it is not, in the trade's words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from geometry.checks.fillets import turning_tells
from geometry.record.bench import Bench
from geometry.record.catalogue import ReadingKind
from geometry.record.place import BenchPlace
from geometry.record.readings import length_text
from geometry.rings.clock import OVERLAP
from geometry.rings.source import Source
from geometry.rings.types import way_up

_MATCHED: Final = Source(
    "rod caps only on their own rod and in the same direction, pistons in their own bore, arrows to the front "
    "(service manual of a V6, 2008)",
    "published",
)
_CHAMFER: Final = Source(
    "the rod's chamfered side faces the crank cheek's fillet (trade article; US Army TM 5-3805-254-14&P-2)",
    "published",
)
_SHELLS: Final = Source(
    "tangs in their notches, each shell in its own half: common practice, no source", "practice"
)
_COMPLETE: Final = Source("every ring of the set, each in its own groove: by definition", "derived")

_OTHER_END: Final = {"front": "rear", "rear": "front"}


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a wrong entry means.

    Attributes
    ----------
    text : what is wrong and what it does, one sentence
    remedy : what to do about it
    """

    text: str
    remedy: str


def expected(item: ReadingKind, bench: Bench, place: BenchPlace) -> tuple[str | int, str, Source] | None:
    """Tell what an entry that was looked at should say.

    Returns
    -------
    The value, the same in words, and who says so; None where either is right.
    """
    part, name = item.path.split(".")[-2:] if "." in item.path else (item.kind, item.path)
    if name == "way" and item.ring:
        ring = getattr(bench.engine.rings, item.ring)
        up = way_up(ring.face, ring.inside, ring.mark)
        return None if up.side_up == "either" else ("up", "the right side up", up.source)
    if item.path == "rod.way":
        return "correct", _cheek_words(bench, place), _CHAMFER
    if name == "way":
        return "correct", "mark to the front" if part == "piston" else "as it was marked", _MATCHED
    if name == "number":
        return place.number or 0, f"{item.kind} {place.number}", _MATCHED
    simple: dict[str, tuple[str, str, Source]] = {
        "groove": (item.ring or "", f"{item.ring} groove", _COMPLETE),
        "fitted": ("yes", "fitted", _COMPLETE),
        "ends": ("butted", "ends butted", OVERLAP),
        "seat": (
            "rod" if part == "upper" else "cap",
            "in the rod" if part == "upper" else "in the cap",
            _SHELLS,
        ),
        "tang": ("in_notch", "in its notch", _SHELLS),
    }
    return simple[name]


def meaning(item: ReadingKind, bench: Bench, place: BenchPlace, value: object) -> Meaning:
    """Say what a wrong entry means on this engine."""
    if item.ring:
        return _ring(item, bench)
    return _PARTS[item.path.removeprefix("shell.upper.").removeprefix("shell.lower.")](
        item, bench, place, value
    )


def _cheek_words(bench: Bench, place: BenchPlace) -> str:
    site = bench.site(place)
    if not turning_tells(bench.engine, site):
        return "as it was marked"
    return f"large chamfer to the {site.cheek_side}, against the cheek"


def _rod(item: ReadingKind, bench: Bench, place: BenchPlace, value: object) -> Meaning:
    site, chamfer, fillet = bench.site(place), bench.engine.rod.chamfer, bench.engine.crank.pin.fillet_mm
    small, large, radius = (
        length_text(v, bench.system) for v in (chamfer.other_mm, chamfer.cheek_mm, fillet)
    )
    if not turning_tells(bench.engine, site):
        return Meaning(
            "rod turned round: its front faces the rear, and tangs and oil hole are on the wrong side",
            "take it out, turn it by half a turn together with its cap, and check the other rods",
        )
    rides = f", less than the {radius} of the fillet, which it rides on" if chamfer.other_mm < fillet else ""
    neighbour = f"; the large one ({large}) faces the rod of bore {site.partner}" if site.partner else ""
    return Meaning(
        f"rod turned round: its small chamfer ({small}) faces the {site.cheek_side} crank cheek{rides}{neighbour}",
        f"take it out and turn it together with its cap: large chamfer to the {site.cheek_side}",
    )


def _piston(item: ReadingKind, bench: Bench, place: BenchPlace, value: object) -> Meaning:
    piston = bench.engine.piston
    text = f"piston back to front: its {piston.front_mark} points to the rear"
    if piston.pockets:
        text += ", the valve pockets are under the wrong valves"
    if piston.pin.offset_mm:
        wrong = "minor" if piston.pin.offset_side == "major" else "major"
        text += f", the pin offset is on the {wrong} thrust side ({bench.side(place, wrong)})"
    return Meaning(text, f"take it off its rod and turn it: {piston.front_mark} to the front")


def _cap(item: ReadingKind, bench: Bench, place: BenchPlace, value: object) -> Meaning:
    return Meaning(
        "rod cap turned round on its rod: the tangs lie on opposite sides and the bore has a step at the joint",
        "take it off, turn it so that both tangs lie on one side, and look at the shells before they go back",
    )


def _number(item: ReadingKind, bench: Bench, place: BenchPlace, value: object) -> Meaning:
    if item.kind == "main":
        return Meaning(
            f"main bearing {place.number} carries the cap of main {value}: they were bored together with their own",
            "put every main cap back on its own bearing",
        )
    part = {"piston": "piston", "rod": "rod", "cap": "rod cap"}[item.path.split(".")[0]]
    return Meaning(
        f"the {part} belongs to bore {value} and went into bore {place.number}",
        f"put it back into bore {value}" if part != "rod cap" else f"put it back on the rod of bore {value}",
    )


def _main_cap(item: ReadingKind, bench: Bench, place: BenchPlace, value: object) -> Meaning:
    return Meaning(
        "main cap on back to front: the bore has a step at the joint", "turn it; its mark points to the front"
    )


def _seat(item: ReadingKind, bench: Bench, place: BenchPlace, value: object) -> Meaning:
    half, home = ("upper", "rod") if ".upper." in item.path else ("lower", "cap")
    return Meaning(
        f"bearing shells exchanged: the {half} shell belongs in the {home} and lies in the {value}",
        "change them over; the shell with the hole or groove goes where the oil comes from",
    )


def _tang(item: ReadingKind, bench: Bench, place: BenchPlace, value: object) -> Meaning:
    half = "upper" if ".upper." in item.path else "lower"
    return Meaning(
        f"the tang of the {half} shell is not in its notch: the shell stands proud and closes up the oil clearance",
        "take the cap off, look for damage, fit new shells with their tangs in the notches",
    )


_PARTS: Final[dict[str, Callable[[ReadingKind, Bench, BenchPlace, object], Meaning]]] = {
    "rod.way": _rod, "piston.way": _piston, "cap.way": _cap, "way": _main_cap, "seat": _seat, "tang": _tang,
    "piston.number": _number, "rod.number": _number, "cap.number": _number, "number": _number,
}  # fmt: skip


def _ring(item: ReadingKind, bench: Bench) -> Meaning:
    ring, name = item.path.split(".")[1:]
    words = item.words.partition(",")[0].removesuffix(" fitted")
    if name == "way":
        spec = getattr(bench.engine.rings, ring)
        up = way_up(spec.face, spec.inside, spec.mark)
        mark = {"dot": ": its dot faces down", "word": ": its word faces down", "none": ""}[spec.mark]
        return Meaning(
            f"{words} upside down{mark}. {up.upside_down}", f"Take it off and turn it over. {up.how}"
        )
    if name == "groove":
        return Meaning(
            f"{words} in the wrong groove: top and second ring are exchanged",
            "change them over, each with its gap checked",
        )
    if name == "fitted":
        return Meaning(f"{words} missing", "fit it")
    return Meaning(
        "expander ends overlapped: it is too short now, the rails hang loose and the engine burns oil",
        "take the rails off, let the ends butt, and look at the joint again after each rail is on",
    )
