"""Crown against valves and head, right and wrong, for every mistake that moves a piston or its pockets."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.assembly import Assembly
from geometry.checks.bores import dome_height_mm
from geometry.checks.limits import limit_for
from geometry.checks.section import Row
from geometry.layout import BoreSite
from geometry.mistakes import facts
from geometry.mistakes.mistake import Arc
from geometry.motion import dead_centres
from geometry.units import System
from geometry.valve_room import ValveRoom, valve_rooms


@dataclass(frozen=True, slots=True)
class CrownStory:
    """What the crown meets.

    Attributes
    ----------
    rows : deck, head and each valve
    head_mm : from crown to head at top dead centre; below zero it hits
    valve : the tightest valve, None when the head has none in the file
    arcs : where something hits
    period_deg : 360 where the head is hit, 720 where only a valve is
    """

    rows: tuple[Row, ...]
    head_mm: float
    valve: ValveRoom | None
    arcs: tuple[Arc, ...]
    period_deg: float


def crown_story(right: Assembly, wrong: Assembly, site: BoreSite) -> CrownStory:
    """Compare crown, head and valves of one bore."""
    head = limit_for(wrong.spec, "piston_to_head")
    gaps = [head_gap_mm(assembly, site) for assembly in (right, wrong)]
    rows = [
        facts.row(
            "crown to head at top dead centre", facts.mm(gaps[0]), facts.mm(gaps[1]), facts.mm(head.least_mm),
            head.source, _verdict(gaps[1], head.least_mm),
        )
    ]  # fmt: skip
    limit = limit_for(wrong.spec, "piston_to_valve")
    before = {room.valve: room for room in valve_rooms(right, site)}
    rooms = valve_rooms(wrong, site)
    rows += [
        facts.row(
            f"crown to {room.valve} valve, between exhaust and intake", facts.mm(before[room.valve].room_mm),
            facts.mm(room.room_mm), facts.mm(limit.least_mm), limit.source, _verdict(room.room_mm, limit.least_mm),
        )
        for room in rooms
    ]  # fmt: skip
    valve = rooms[0] if rooms else None
    arcs, period = _arcs(wrong, site, gaps[1], valve)
    return CrownStory(tuple(rows), gaps[1], valve, arcs, period)


def head_gap_mm(assembly: Assembly, site: BoreSite) -> float:
    """From the flat of the crown, or the top of its dome, to the head's face at top dead centre."""
    spec, index = assembly.spec, assembly.layout.index(site.bore)
    height = spec.piston.compression_height_mm + assembly.built.bore(site.bore).compression_height_change_mm
    top = float(dead_centres(assembly.linkage).top_height_mm[index]) + height
    return spec.block.deck_height_mm + spec.gasket.thickness_mm - top


def _verdict(gap_mm: float, least_mm: float) -> facts.Judged:
    if gap_mm < 0:
        return facts.stop("hits")
    return facts.look("too close") if gap_mm < least_mm else facts.note("clear")


def _arcs(
    wrong: Assembly, site: BoreSite, head_mm: float, valve: ValveRoom | None
) -> tuple[tuple[Arc, ...], float]:
    """The head is met at every top dead centre, a valve only between exhaust and intake."""
    index = wrong.layout.index(site.bore)
    top = float(dead_centres(wrong.linkage).top_height_mm[index])
    if head_mm < 0:
        arc = facts.arc_above(wrong.linkage, index, top + head_mm, -head_mm)
        return ((arc,) if arc else ()), 360.0
    if valve is not None and valve.room_mm < 0:
        arc = facts.arc_above(wrong.linkage, index, top + valve.room_mm, -valve.room_mm)
        cycle = wrong.layout.firing.cycle_deg
        if arc is not None:
            return (facts.in_second_turn(arc, facts.overlap_deg(wrong, site), cycle),), cycle
    return (), 360.0


def crown_sentence(story: CrownStory, wrong: Assembly, system: System) -> str:
    """What it hits, for a customer."""
    if story.head_mm < 0:
        text = "dome" if dome_height_mm(wrong) > 0 else "crown"
        return f"With the head on, the {text} strikes it at every top dead centre, {_mm(-story.head_mm, system)} deep."
    if story.valve is not None and story.valve.room_mm < 0:
        return (
            f"The {story.valve.valve} valve no longer stands over its pocket: where it is open at top dead centre the "
            f"crown strikes it, {_mm(-story.valve.room_mm, system)} deep, and bends it."
        )
    if story.valve is not None:
        return f"The tightest valve still clears by {_mm(story.valve.room_mm, system)}."
    return "No valve near the piston is written in the engine file."


def crown_felt(story: CrownStory) -> str:
    """For the hand on the crank."""
    if not story.arcs:
        return "By hand: nothing is felt"
    at = f"{story.arcs[0].start_deg:.0f}°"
    turn = "once in two turns" if story.period_deg == 720.0 else "once a turn"
    return f"By hand, with the head on and the valves driven: stops hard at {at}, {turn}"


def _mm(value: float, system: System) -> str:
    return facts.text_mm(value, system)
