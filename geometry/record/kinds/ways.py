"""Piston, rod and rod cap: which way round they went in, and for which bore they are marked."""

from __future__ import annotations

from typing import Final

from geometry.built import Built
from geometry.checks.fillets import turning_tells
from geometry.record.entry import Stamped, Way
from geometry.record.kind import ReadingAt, ReadingKind, RightAnswer
from geometry.record.limits import Cure
from geometry.record.readings import length_text
from geometry.rings.source import Source

_MATCHED: Final = Source(
    "rod caps only on their own rod and in the same direction, pistons in their own bore, arrows to the front "
    "(service manual of a V6, 2008)",
    "published",
)
_CHAMFER: Final = Source(
    "the rod's chamfered side faces the crank cheek's fillet (trade article; US Army TM 5-3805-254-14&P-2)",
    "published",
)
AS_MARKED: Final = RightAnswer("correct", "as it was marked", _MATCHED)


def own_number(at: ReadingAt) -> RightAnswer:
    """The number of the place itself."""
    return RightAnswer(at.number, at.place.words, _MATCHED)


def _chamfer_to_the_cheek(at: ReadingAt) -> RightAnswer:
    site = at.bench.site(at.place)
    tells = turning_tells(at.bench.engine, site)
    words = f"large chamfer to the {site.cheek_side}, against the cheek" if tells else "as it was marked"
    return RightAnswer("correct", words, _CHAMFER)


def _rod_turned(at: ReadingAt) -> Cure:
    engine, site = at.bench.engine, at.bench.site(at.place)
    chamfer, fillet = engine.rod.chamfer, engine.crank.pin.fillet_mm
    if not turning_tells(engine, site):
        return Cure(
            "stop", "rod turned round: its front faces the rear, and tangs and oil hole are on the wrong side",
            "take it out, turn it by half a turn together with its cap, and check the other rods",
        )  # fmt: skip
    small, large, radius = (
        length_text(v, at.bench.system) for v in (chamfer.other_mm, chamfer.cheek_mm, fillet)
    )
    rides = f", less than the {radius} of the fillet, which it rides on" if chamfer.other_mm < fillet else ""
    neighbour = f"; the large one ({large}) faces the rod of bore {site.partner}" if site.partner else ""
    return Cure(
        "stop",
        f"rod turned round: its small chamfer ({small}) faces the {site.cheek_side} crank cheek{rides}{neighbour}",
        f"take it out and turn it together with its cap: large chamfer to the {site.cheek_side}",
    )


def _piston_turned(at: ReadingAt) -> Cure:
    piston = at.bench.engine.piston
    text = f"piston back to front: its {piston.front_mark} points to the rear"
    if piston.pockets:
        text += ", the valve pockets are under the wrong valves"
    if piston.pin.offset_mm:
        wrong = "minor" if piston.pin.offset_side == "major" else "major"
        text += f", the pin offset is on the wrong side, {at.bench.site(at.place).side_words(wrong)}"
    return Cure("stop", text, f"take it off its rod and turn it: {piston.front_mark} to the front")


_CAP_TURNED: Final = Cure(
    "stop", "rod cap turned round on its rod: the tangs lie on opposite sides and the bore has a step at the joint",
    "take it off, turn it so that both tangs lie on one side, and look at the shells before they go back",
)  # fmt: skip


def _lay_number(built: Built, at: ReadingAt, field: str) -> Built:
    """The bore a part belongs to, where that is not this one."""
    return built if at.value == at.number else built.with_bore(at.number, **{field: at.value})


def _number(part: str, words: str, back: str) -> ReadingKind:
    return ReadingKind(
        f"{part}.number", "bore", "which way round", f"number on the {words}", Stamped, expected=own_number,
        wrong=lambda at: Cure("stop", f"the {words} belongs to bore {at.value} and went into bore {at.number}",
                              f"put it back {back} bore {at.value}"),
        ask=False, lay=lambda built, at: _lay_number(built, at, f"{part}_from"),
    )  # fmt: skip


KINDS: Final = (
    ReadingKind(
        "piston.way", "bore", "which way round", "piston, which way round", Way,
        expected=lambda at: RightAnswer("correct", "mark to the front", _MATCHED), wrong=_piston_turned,
        lay=lambda built, at: built.with_bore(at.number, piston_turned=at.value == "turned"),
    ),
    _number("piston", "piston", "into"),
    ReadingKind(
        "rod.way", "bore", "which way round", "rod, which way round", Way,
        expected=_chamfer_to_the_cheek, wrong=_rod_turned,
        lay=lambda built, at: built.with_bore(at.number, rod_turned=at.value == "turned"),
    ),
    _number("rod", "rod", "into"),
    ReadingKind(
        "cap.way", "bore", "which way round", "rod cap, which way round", Way,
        expected=lambda at: AS_MARKED, wrong=lambda at: _CAP_TURNED,
        lay=lambda built, at: built.with_bore(at.number, cap_turned=at.value == "turned"),
    ),
    _number("cap", "rod cap", "on the rod of"),
)  # fmt: skip
