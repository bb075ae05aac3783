"""Crown against valves and head, right and wrong, for every mistake that moves a piston or its pockets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple, dataclass

from geometry.assembly import Assembly
from geometry.checks.section import Row
from geometry.clearance.limits import limit_for
from geometry.clearance.valve_rooms import ValveRoom, valve_rooms, valve_rooms_of
from geometry.clearance.words import place_words
from geometry.kinematics.layout import BoreSite
from geometry.kinematics.slider_crank import dead_centres
from geometry.mistakes import facts
from geometry.mistakes.contact import Meeting, biting_arcs
from geometry.mistakes.mistake import CrankArc
from geometry.parts.shapes.crown import inward_sign
from geometry.stack import Stack, stack_of
from geometry.units import System, show_fine


@dataclass(frozen=True, slots=True)
class CrownHits:
    """What the crown meets.

    Attributes
    ----------
    head_mm : from crown to head at top dead centre; below zero it hits
    rooms : each valve over the crown, in the order of the file
    arcs : where something hits
    period_deg : 360 where the head is hit, 720 where only a valve is
    """

    head_mm: float
    rooms: tuple[ValveRoom, ...]
    arcs: tuple[CrankArc, ...]
    period_deg: float

    @property
    def valve(self) -> ValveRoom | None:
        """The tightest valve; None when the head has none in the file."""
        return min(self.rooms, key=lambda room: room.room_mm, default=None)

    @property
    def hit(self) -> ValveRoom | None:
        """The valve that the crown strikes deepest; None where it strikes none, or the head first."""
        return self.valve if self.valve and self.valve.room_mm < 0 <= self.head_mm else None


@dataclass(frozen=True, slots=True)
class CrownStory(CrownHits):
    """The same, beside the right engine.

    Attributes
    ----------
    head : crown against head
    valves : crown against each valve, the one with the least room first
    """

    head: Row
    valves: tuple[Row, ...]


def crown_hits(wrongs: Sequence[tuple[Assembly, BoreSite]]) -> list[CrownHits]:
    """What the crowns of some bores meet, each of an engine as put together; of one design."""
    rooms = valve_rooms_of(wrongs)
    gaps = [stack_of(a.spec, a.layout, site.bore, a.built).head_mm for a, site in wrongs]
    hit = [[room for room in own if room.room_mm < 0 <= gap] for own, gap in zip(rooms, gaps, strict=True)]
    met = [_meeting(wrong, room) for (wrong, _), own in zip(wrongs, hit, strict=True) for room in own]
    bites = iter(biting_arcs(wrongs[0][0], met) if met else ())
    found = []
    for (wrong, site), gap, own, struck in zip(wrongs, gaps, rooms, hit, strict=True):
        arcs = _joined([arc for _ in struck for arc in next(bites)])
        if gap < 0:
            arcs = _head_arcs(wrong, site, gap)
        found.append(CrownHits(gap, own, arcs, struck[0].pair.period_deg if struck else 360.0))
    return found


def seek_crowns(right: Assembly, wrongs: Sequence[tuple[Assembly, int]]) -> list[list[CrownHits]]:
    """What each crown meets, and after an exchange that of the other bore too."""
    del right
    bores = [[bore] for _, bore in wrongs]
    for (wrong, bore), own in zip(wrongs, bores, strict=True):
        other = wrong.built.bore(bore).piston_from
        own += [] if other in (None, bore) else [other]
    every = [
        (wrong, wrong.layout.site(bore))
        for (wrong, _), own in zip(wrongs, bores, strict=True)
        for bore in own
    ]
    found = iter(crown_hits(every))
    return [[next(found) for _ in own] for own in bores]


def crown_story(right: Assembly, wrong: Assembly, site: BoreSite) -> CrownStory:
    """Compare crown, head and valves of one bore."""
    (hits,) = crown_hits([(wrong, site)])
    head = limit_for(wrong.spec, "piston_to_head")
    gaps = [stack.head_mm for stack in stacks(right, wrong, site)]
    head_row = facts.mm_row(
        "crown to head at top dead centre", gaps[0], gaps[1], head.least_mm, head.source,
        _verdict(gaps[1], head.least_mm),
    )  # fmt: skip
    rows = []
    pairs = zip(valve_rooms(right, site), hits.rooms, strict=True)
    for before, room in sorted(pairs, key=lambda pair: pair[1].room_mm):
        limit = limit_for(wrong.spec, room.pair.limit)
        rows.append(facts.mm_row(
            f"{place_words(room.pair.b).replace(f', bore {site.bore}', '')} to crown, nearest in the cycle",
            before.room_mm, room.room_mm, limit.least_mm, limit.source, _verdict(room.room_mm, limit.least_mm),
        ))  # fmt: skip
    return CrownStory(hits.head_mm, hits.rooms, hits.arcs, hits.period_deg, head_row, tuple(rows))


def stacks(right: Assembly, wrong: Assembly, site: BoreSite) -> tuple[Stack, Stack]:
    """How far below deck and head the piston of one bore stops, right and wrong."""
    before, after = (stack_of(a.spec, a.layout, site.bore, a.built) for a in (right, wrong))
    return before, after


def pockets_differ(right: Assembly, wrong: Assembly, bore: int) -> bool:
    """Whether a valve stands over other pockets than it should, or over none."""
    if not right.spec.head.valves:
        return False
    places = [_pockets(assembly, bore) for assembly in (right, wrong)]
    return places[0] != places[1]


def _pockets(assembly: Assembly, bore: int) -> set[tuple[float, ...]]:
    """Pockets of the piston in a bore: place in the bore's frame, radius, depth."""
    build, site = assembly.built.bore(bore), assembly.layout.site(bore)
    origin = assembly.layout.site(build.piston_from) if build.piston_from is not None else site
    way = -1.0 if build.piston_turned else 1.0
    return {
        (
            -way * pocket.forward_mm,
            way * inward_sign(origin) * pocket.inward_mm,
            pocket.diameter_mm,
            pocket.depth_mm,
        )
        for pocket in assembly.design(bore).piston.pockets
    }


def _verdict(gap_mm: float, least_mm: float) -> facts.Judged:
    if gap_mm < 0:
        return facts.stop("hits")
    return facts.look("too close") if gap_mm < least_mm else facts.note("clear")


def _head_arcs(wrong: Assembly, site: BoreSite, head_mm: float) -> tuple[CrankArc, ...]:
    """Where the head is hit: at every top dead centre, and so before any valve, open in one turn of two."""
    index = wrong.layout.index(site.bore)
    top = float(dead_centres(wrong.linkage).top_height_mm[index])
    arc = facts.arc_above(wrong.linkage, index, top + head_mm, -head_mm)
    return (arc,) if arc else ()


def _meeting(wrong: Assembly, room: ValveRoom) -> Meeting:
    limit = limit_for(wrong.spec, room.pair.limit)
    pair = room.pair
    return Meeting(pair.a, pair.b, room.approach, limit.least_mm, limit.source, pair.period_deg)


def _joined(arcs: Sequence[CrankArc]) -> tuple[CrankArc, ...]:
    """Arcs that run into each other as one."""
    found: list[CrankArc] = []
    for arc in sorted(arcs, key=lambda a: a.start_deg):
        if found and arc.start_deg <= found[-1].end_deg:
            start, end, bite = astuple(found[-1])
            found[-1] = CrankArc(start, max(end, arc.end_deg), max(bite, arc.bite_mm))
        else:
            found.append(arc)
    return tuple(found)


def crown_sentence(story: CrownStory, wrong: Assembly, system: System) -> str:
    """What it hits, for a customer."""
    if story.head_mm < 0:
        domed = wrong.spec.piston.crown.shape == "dome"
        text, deep = "dome" if domed else "crown", show_fine(-story.head_mm, system)
        return f"With the head on, the {text} strikes it at every top dead centre, {deep} deep."
    if story.hit is not None:
        return (
            f"The {story.hit.valve} valve no longer finds room over the crown: where it is open near top dead "
            f"centre the crown strikes it, {show_fine(-story.hit.room_mm, system)} deep, and bends it."
        )
    if story.valve is not None:
        return f"The tightest valve still clears by {show_fine(story.valve.room_mm, system)}."
    return "No valve near the piston is written in the engine file."


def crown_words(story: CrownStory, system: System) -> str:
    """What the crown comes nearest to, for the head of a picture."""
    if story.valve is None:
        return "pockets on the wrong side"
    room, valve = show_fine(abs(story.valve.room_mm), system), story.valve.valve
    return (
        f"crown {room} into the {valve} valve"
        if story.valve.room_mm < 0
        else f"crown {room} from the {valve} valve"
    )


def crown_felt(story: CrownHits) -> str:
    """For the hand on the crank."""
    if not story.arcs:
        return "By hand: nothing is felt"
    at = f"{story.arcs[0].start_deg:.0f}°"
    turn = "once in two turns" if story.period_deg == 720.0 else "once a turn"
    return f"By hand, with the head on and the valves driven: stops hard at {at}, {turn}"
