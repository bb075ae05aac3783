"""The rings: gaps, grooves, which way up, and where the gaps stand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from geometry.built import Built, RingBuild
from geometry.record.clocking import clocking, installed_deg, planned_deg, scheme_of
from geometry.record.entry import (
    AngleReading,
    ClearanceReading,
    Ends,
    Fitted,
    GapReading,
    RingGroove,
    RingWay,
)
from geometry.record.gap import gap_limit, ring_gap
from geometry.record.kind import LimitKind, ReadingAt, ReadingKind, RightAnswer
from geometry.record.limits import Cure, ReadingLimit
from geometry.record.worn import where_to_measure
from geometry.rings.angles import wrapped_deg
from geometry.rings.clock import OVERLAP
from geometry.rings.fitted import side_limits_of
from geometry.rings.schemes import ROLE_WORDS
from geometry.rings.source import Source
from geometry.rings.types import WayUp, way_up

_COMPLETE: Final = Source("every ring of the set, each in its own groove: by definition", "derived")
_TIGHT: Final = Cure(
    "stop", "too tight: the ends meet when the ring is hot and it seizes to the bore", "file the ends"
)
_WIDE: Final = Cure("look", "too wide: gas and oil pass", "a new ring, or one made to be filed to fit")
_GAPS: Final = {
    "top": LimitKind("top_gap", "End gap of the top ring.", _TIGHT, _WIDE, gap_limit),
    "second": LimitKind("second_gap", "End gap of the second ring.", _TIGHT, _WIDE, gap_limit),
    "rail": LimitKind("rail_gap", "End gap of an oil rail.", _TIGHT, _WIDE, gap_limit),
}


def _side_limit(at: ReadingAt) -> ReadingLimit:
    row = side_limits_of(at.bench.engine)
    return ReadingLimit(row.min_mm, row.max_mm, row.source)


_SIDE: Final = LimitKind(
    "ring_side", "Side clearance of a compression ring.",
    Cure("stop", "too tight: the ring cannot follow the wall and sticks",
         "look for a burr or carbon in the groove; else a ring of the right height"),
    Cure("look", "too loose: the ring flutters and pumps oil", "a new piston, or a spacer above the ring"),
    _side_limit,
)  # fmt: skip


def _with_ring(built: Built, at: ReadingAt, **changes: object) -> Built:
    """The same engine with some things about the ring of this reading changed."""
    build, name = built.bore(at.number), at.kind.ring or ""
    rings = {**build.rings, name: replace(build.ring(name), **changes)}  # type: ignore[arg-type]
    found = {role: rings[role] for role in ROLE_WORDS if rings.get(role, RingBuild()) != RingBuild()}
    return built.with_bore(at.number, rings=MappingProxyType(found))


def _lay_gap(built: Built, at: ReadingAt) -> Built:
    return _with_ring(built, at, gap_mm=at.known.middle, gap_depth_mm=getattr(at.entry, "depth_mm", None))


def _lay_groove(built: Built, at: ReadingAt) -> Built:
    return built.with_bore(at.number, rings_exchanged=True) if at.value != at.kind.ring else built


def _lay_angle(built: Built, at: ReadingAt) -> Built:
    known = installed_deg(at.bench, at.place)[at.kind.ring or ""]
    return _with_ring(built, at, gap_ring_deg=wrapped_deg(known.middle))


def _way_up(at: ReadingAt) -> tuple[WayUp, str]:
    """The way that the shape of a compression ring makes it go, and its mark."""
    ring = getattr(at.bench.engine.rings, at.kind.ring or "")
    return way_up(ring.face, ring.inside, ring.mark), ring.mark


def _right_side_up(at: ReadingAt) -> RightAnswer | None:
    up, _ = _way_up(at)
    return None if up.side_up == "either" else RightAnswer("up", "the right side up", up.source)


def _upside_down(at: ReadingAt) -> Cure:
    up, mark = _way_up(at)
    faces = {"dot": ": its dot faces down", "word": ": its word faces down", "none": ""}[mark]
    words = ROLE_WORDS[at.kind.ring or ""]
    return Cure(
        "stop", f"{words} upside down{faces}. {up.upside_down}", f"Take it off and turn it over. {up.how}"
    )


def _planned(at: ReadingAt) -> RightAnswer | None:
    planned, scheme = planned_deg(at.bench, at.place).get(at.kind.ring or ""), scheme_of(at.bench)
    if planned is None or scheme is None:
        return None
    source = Source(f"the scheme `{scheme.key}`: {scheme.source}", scheme.source.certainty)
    return RightAnswer(None, f"{planned:.0f}° clockwise from the front", source)


def _rows() -> Iterator[ReadingKind]:
    for ring in ("top", "second", "upper_rail", "lower_rail"):
        yield ReadingKind(
            f"ring.{ring}.gap", "bore", "ring gaps", f"{ROLE_WORDS[ring]} gap", GapReading, ring=ring,
            limit=_GAPS.get(ring, _GAPS["rail"]), instrument="depth_gauge_mm", blades=True, judge=ring_gap,
            where=lambda at: where_to_measure(at.bench, at.place, at.kind.ring or ""), lay=_lay_gap,
            replaces=f"rings.{ring}.gap" if ring in ("top", "second") else "rings.oil.rail_gap",
        )  # fmt: skip
    for ring in ("top", "second"):
        words = ROLE_WORDS[ring]
        yield ReadingKind(
            f"ring.{ring}.side", "bore", "ring grooves", f"{words} side clearance", ClearanceReading, ring=ring,
            limit=_SIDE, instrument="depth_gauge_mm", blades=True, lay=None,
        )  # fmt: skip
        yield ReadingKind(
            f"ring.{ring}.way", "bore", "ring clocking", f"{words}, which way up", RingWay, ring=ring,
            expected=_right_side_up, wrong=_upside_down, ask=lambda at: at.wanted is not None,
            lay=lambda built, at: _with_ring(built, at, upside_down=at.value == "down"),
        )  # fmt: skip
        yield ReadingKind(
            f"ring.{ring}.groove", "bore", "ring clocking", f"{words}, which groove", RingGroove, ring=ring,
            expected=lambda at: RightAnswer(at.kind.ring, f"{at.kind.ring} groove", _COMPLETE),
            wrong=lambda at: Cure(
                "stop", f"{ROLE_WORDS[at.kind.ring or '']} in the wrong groove: top and second ring are exchanged",
                "change them over, each with its gap checked"),
            ask=False, lay=_lay_groove,
        )  # fmt: skip
    for ring, words in ROLE_WORDS.items():
        stands = "where it stands" if ring == "expander" else "where its gap stands"
        yield ReadingKind(
            f"ring.{ring}.angle", "bore", "ring clocking", f"{words}, {stands}", AngleReading, ring=ring,
            expected=_planned, lay=_lay_angle,
            # The angles of a bore are judged together, in the place of the top ring's.
            judge=(lambda at: clocking(at.bench, at.place)) if ring == "top" else (lambda at: ()),
        )  # fmt: skip
        part = words.removesuffix(" joint")
        yield ReadingKind(
            f"ring.{ring}.fitted", "bore", "ring clocking", f"{part} fitted", Fitted, ring=ring,
            expected=lambda at: RightAnswer("yes", "fitted", _COMPLETE),
            wrong=lambda at, part=part: Cure("stop", f"{part} missing", "fit it"),  # type: ignore[misc]
            ask=False, lay=lambda built, at: _with_ring(built, at, missing=at.value == "missing"),
        )  # fmt: skip
    yield ReadingKind(
        "ring.expander.ends", "bore", "ring clocking", "expander ends", Ends, ring="expander",
        expected=lambda at: RightAnswer("butted", "ends butted", OVERLAP),
        wrong=lambda at: Cure(
            "stop", "expander ends overlapped: it is too short now, the rails hang loose and the engine burns oil",
            "take the rails off, let the ends butt, and look at the joint again after each rail is on"),
        lay=lambda built, at: _with_ring(built, at, overlapped=at.value == "overlapped"),
    )  # fmt: skip


KINDS: Final = tuple(_rows())
