"""Crown against valves and head, right and wrong, for every mistake that moves a piston or its pockets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple, dataclass

from geometry.assembly import Assembly
from geometry.checks.section import Row
from geometry.clearance.limits import limit_for
from geometry.clearance.valve_rooms import ValveRoom, valve_rooms
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
class CrownStory:
    """What the crown meets.

    Attributes
    ----------
    head : crown against head
    valves : crown against each valve, the one with the least room first
    head_mm : from crown to head at top dead centre; below zero it hits
    valve : the tightest valve, None when the head has none in the file
    arcs : where something hits
    period_deg : 360 where the head is hit, 720 where only a valve is
    """

    head: Row
    valves: tuple[Row, ...]
    head_mm: float
    valve: ValveRoom | None
    arcs: tuple[CrankArc, ...]
    period_deg: float

    @property
    def hit(self) -> ValveRoom | None:
        """The valve that the crown strikes deepest; None where it strikes none, or the head first."""
        return self.valve if self.valve and self.valve.room_mm < 0 <= self.head_mm else None


def crown_story(right: Assembly, wrong: Assembly, site: BoreSite) -> CrownStory:
    """Compare crown, head and valves of one bore."""
    head = limit_for(wrong.spec, "piston_to_head")
    gaps = [stack.head_mm for stack in stacks(right, wrong, site)]
    head_row = facts.mm_row(
        "crown to head at top dead centre", gaps[0], gaps[1], head.least_mm, head.source,
        _verdict(gaps[1], head.least_mm),
    )  # fmt: skip
    rooms, rows = valve_rooms(wrong, site), []
    pairs = zip(valve_rooms(right, site), rooms, strict=True)
    for before, room in sorted(pairs, key=lambda pair: pair[1].room_mm):
        limit = limit_for(wrong.spec, room.pair.limit)
        rows.append(facts.mm_row(
            f"{place_words(room.pair.b).replace(f', bore {site.bore}', '')} to crown, nearest in the cycle",
            before.room_mm, room.room_mm, limit.least_mm, limit.source, _verdict(room.room_mm, limit.least_mm),
        ))  # fmt: skip
    arcs, period = _arcs(wrong, site, gaps[1], rooms)
    return CrownStory(
        head_row, tuple(rows), gaps[1], min(rooms, key=lambda r: r.room_mm, default=None), arcs, period
    )


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


def _arcs(
    wrong: Assembly, site: BoreSite, head_mm: float, rooms: Sequence[ValveRoom]
) -> tuple[tuple[CrankArc, ...], float]:
    """The head is met at every top dead centre, a valve only in the turn in which it is open."""
    index = wrong.layout.index(site.bore)
    if head_mm < 0:
        top = float(dead_centres(wrong.linkage).top_height_mm[index])
        arc = facts.arc_above(wrong.linkage, index, top + head_mm, -head_mm)
        return ((arc,) if arc else ()), 360.0
    hit = [room for room in rooms if room.room_mm < 0]
    arcs = [arc for found in biting_arcs(wrong, [_meeting(wrong, room) for room in hit]) for arc in found]
    return _joined(arcs), hit[0].pair.period_deg if hit else 360.0


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


def crown_felt(story: CrownStory) -> str:
    """For the hand on the crank."""
    if not story.arcs:
        return "By hand: nothing is felt"
    at = f"{story.arcs[0].start_deg:.0f}°"
    turn = "once in two turns" if story.period_deg == 720.0 else "once a turn"
    return f"By hand, with the head on and the valves driven: stops hard at {at}, {turn}"
