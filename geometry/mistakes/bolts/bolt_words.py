"""Rod bolts that stand out: what they come near through the turn, for every mistake that leaves them out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from geometry.assembly import Assembly
from geometry.checks.section import Row
from geometry.clearance.place import Place
from geometry.clearance.words import feature_words, place_words
from geometry.mistakes import facts
from geometry.mistakes.bearings.bearing_words import LOOSE
from geometry.mistakes.contact import TOLD_MM, Followed, Meeting, biting_arcs, meetings
from geometry.mistakes.mistake import CrankArc, Noticed, Signature, Spot, Study
from geometry.units import System, show_fine

ROWS = 5
SAME_MM = 0.005


@dataclass(frozen=True, slots=True)
class BoltHits:
    """Where the bolts of one rod hit.

    Attributes
    ----------
    arcs : where a bolt hits that does not hit as designed
    period_deg : 720 where it meets the cam
    """

    arcs: tuple[CrankArc, ...]
    period_deg: float


@dataclass(frozen=True, slots=True)
class BoltStory:
    """Bolts of one rod, right and wrong.

    Attributes
    ----------
    rows : the places that come nearest
    worst : the nearest of them as put together, None when nothing comes near
    hits : where they hit
    """

    rows: tuple[Row, ...]
    worst: Meeting | None
    hits: BoltHits

    @property
    def arcs(self) -> tuple[CrankArc, ...]:
        """Where a bolt hits that does not hit as designed."""
        return self.hits.arcs


def bolt_story(right: Assembly, wrong: Assembly, bore: int) -> BoltStory:
    """Compare everything that the bolts of one rod come near, as designed and as put together."""
    mine = partial(_is_bolt_of, bore)
    (after,) = meetings(right, [Followed(wrong, mine)])
    (designed,) = meetings(right, [Followed(right, mine, {m.names for m in after})], np.inf)
    before = {m.names: m.approach.min_mm for m in designed}
    changed = _changed(after, before)
    rows = tuple(_row(wrong, m, before.get(m.names)) for m in changed[:ROWS])
    return BoltStory(rows, changed[0] if changed else None, _hits(right, [changed])[0])


def bolt_hits(right: Assembly, wrongs: Sequence[tuple[Assembly, int]]) -> list[BoltHits]:
    """Where the bolts of several rods hit, each put together wrong by itself."""
    bores = list(dict.fromkeys(bore for _, bore in wrongs))
    asked = [Followed(wrong, partial(_is_bolt_of, bore)) for wrong, bore in wrongs]
    designed = [Followed(right, partial(_is_bolt_of, bore)) for bore in bores]
    found = meetings(right, [*asked, *designed], 0.0)
    before = {
        bore: {m.names: m.approach.min_mm for m in met}
        for bore, met in zip(bores, found[len(wrongs) :], strict=True)
    }
    return _hits(right, [_changed(met, before[bore]) for (_, bore), met in zip(wrongs, found, strict=False)])


def _changed(after: Sequence[Meeting], before: Mapping[tuple[str, str], float]) -> list[Meeting]:
    """What comes nearer than as designed."""
    return [m for m in after if m.approach.min_mm < before.get(m.names, np.inf) - SAME_MM]


def _hits(right: Assembly, changed: Sequence[Sequence[Meeting]]) -> list[BoltHits]:
    hits = [[m for m in found if m.approach.min_mm < 0.0] for found in changed]
    arcs = iter(biting_arcs(right, [m for found in hits for m in found]))
    return [
        BoltHits(
            tuple(arc for _ in hit for arc in next(arcs)), max((m.period_deg for m in hit), default=360.0)
        )
        for hit in hits
    ]


def _is_bolt_of(bore: int, place: Place) -> bool:
    return place.feature == "rod_bolt" and place.body.bore == bore


def _row(wrong: Assembly, meeting: Meeting, before_mm: float | None) -> Row:
    mine, other = place_words(meeting.mine), place_words(meeting.other)
    what = f"{mine} to {other}, closest at {meeting.approach.crank_deg:.1f}°"
    least, limit = meeting.approach.min_mm, meeting.limit_mm
    return facts.mm_row(what, before_mm, least, limit, meeting.limit_source, _judged(meeting))


def _judged(meeting: Meeting) -> facts.Judged:
    if meeting.approach.min_mm < 0:
        return facts.stop("hits")
    return facts.look("too close") if meeting.approach.min_mm < meeting.limit_mm else facts.note("clear")


def bolt_study(
    wrong: Assembly,
    bore: int,
    system: System,
    story: BoltStory,
    signs: Noticed,
    *,
    off: Row,
    does: str,
    after: str = "",
) -> Study:
    """The study of bolts that stand out, by what they come near.

    Parameters
    ----------
    wrong, bore, system : the engine as put together, which rod, and the units of the words
    story : what the bolts come near
    signs : what is noticed
    off : the row that says how far they stand out
    does, after : what is wrong, and what comes of it whatever they meet
    """
    does = f"{does} {bolt_sentence(wrong, story, system)}{after}"
    return Study.of(signs, (off, *story.rows), does, bolt_spot(wrong, bore, story, system))


def bolt_signs(
    hits: BoltHits,
    *,
    clamps: bool = False,
    clicks_deg: tuple[float, ...] = (),
    look_for: str,
    remedy: str,
) -> Noticed:
    """What is noticed of bolts that stand out.

    Parameters
    ----------
    hits : where they hit
    clamps : whether the bolts hold the cap with their full stretch; one that does not is heard when it runs
    clicks_deg : where the big end is taken up the other way by hand, when the cap is not held at all
    look_for, remedy : in words
    """
    signature = Signature(
        tight=hits.arcs,
        clicks_deg=clicks_deg,
        period_deg=hits.period_deg,
        seen_only=not hits.arcs and not clicks_deg,
        running=frozenset() if clamps else LOOSE,
    )
    return Noticed(signature, bolt_felt(hits, clamps, clicks_deg), look_for, remedy, "bolt_heads")


def bolt_sentence(wrong: Assembly, story: BoltStory, system: System) -> str:
    """What comes of it, for a customer."""
    if story.worst is None:
        return f"Nothing comes nearer to it than {show_fine(TOLD_MM, system)} through the whole turn."
    meeting = story.worst
    where = f"the {place_words(meeting.other)}, at {meeting.approach.crank_deg:.0f}° of the crank"
    if meeting.approach.min_mm < 0:
        depth = show_fine(-meeting.approach.min_mm, system)
        return (
            f"It strikes {where}: it would have to go {depth} into it, so the crank stops there once a turn."
        )
    left = show_fine(meeting.approach.min_mm, system)
    return f"It passes {where}, with {left} to spare; {show_fine(meeting.limit_mm, system)} is wanted."


def bolt_felt(hits: BoltHits, clamps: bool, clicks_deg: tuple[float, ...]) -> str:
    """For the hand on the crank."""
    if not hits.arcs:
        rest = "" if clamps else " Running: the cap works loose, knocks and loses oil pressure."
        if clicks_deg:
            at = " and ".join(f"{angle:.0f}°" for angle in clicks_deg)
            return f"By hand: free, it clears; a click at {at}, where the big end is taken up the other way.{rest}"
        return f"By hand: nothing, it clears.{rest}"
    at = " and ".join(f"{arc.start_deg % 360:.0f}°" for arc in hits.arcs)
    back = " and ".join(f"{arc.end_deg % 360:.0f}°" for arc in hits.arcs)
    turn = "once in two turns" if hits.period_deg == 720.0 else "once a turn"
    return f"By hand: turns freely and stops hard at {at} ({turn}); turned back, at {back}."


def stands_out_mm(assembly: Assembly, bore: int) -> tuple[float, float]:
    """Where a bolt of this rod ends that should, and where it does, along the rod from its joint.

    The underside of a head that is off its seat, or the end of a thread that reaches out of its nut.
    """
    bolt, build = assembly.spec.rod.bolt, assembly.built.bore(bore)
    if build.bolt_longer_mm:
        tip = bolt.shoulder_mm - bolt.length_mm
        return tip, tip - build.bolt_longer_mm
    out = max(build.bolt_out_mm)
    return (
        (-bolt.seat_mm, -bolt.seat_mm - out)
        if bolt.kind == "cap_screw"
        else (bolt.shoulder_mm, bolt.shoulder_mm + out)
    )


def bolt_spot(wrong: Assembly, bore: int, story: BoltStory, system: System) -> Spot:
    """The bolt where it comes nearest, or at bottom dead centre when nothing is near."""
    bodies = (*(f"rod_bolt {bore} {side}" for side in ("major", "minor")), f"rod_cap {bore}")
    from_mm, to_mm = stands_out_mm(wrong, bore)
    part = "bolt end" if wrong.built.bore(bore).bolt_longer_mm else "bolt head"
    out = f"{part} stands out {show_fine(abs(to_mm - from_mm), system)}"
    if story.worst is None:
        point = (0.0, wrong.spec.rod.bolt.spacing_mm / 2, (from_mm + to_mm) / 2)
        return replace(facts.big_end_spot(wrong, bore, bodies, point, out), drawing="bolt")
    found = story.worst.approach
    mine, other = (found.at_a_mm, found.at_b_mm)
    if story.worst.mine.name != found.a:
        mine, other = other, mine
    value, met = show_fine(abs(found.min_mm), system), story.worst.other
    hits, against = found.min_mm < 0, feature_words(met.feature)
    text = f"{part} {value} into the {against}" if hits else f"{out}, {value} left to the {against}"
    start, end = ((float(p[0]), float(p[1]), float(p[2])) for p in (mine, other))
    # Where it hits the two points lie in what both share: how far apart they are is no depth.
    dimension = None if hits else start
    return Spot(
        found.crank_deg % 360.0,
        "bore",
        bore,
        bodies,
        "stop",
        dimension,
        end,
        text,
        "bolt",
        met.body.name,
        feature_words(met.feature),
    )
