"""A piston that stands too high at top dead centre, for whatever reason."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.checks.section import Row
from geometry.kinematics.layout import BoreSite
from geometry.kinematics.slider_crank import dead_centres
from geometry.mistakes import facts
from geometry.mistakes.mistake import Signature, Spot
from geometry.mistakes.pistons.valve_words import CrownStory, crown_sentence, crown_story, stacks
from geometry.stack import face_mm
from geometry.units import System

TOO_MUCH_MM = 2.54
"""A tenth of an inch, a usual step between pistons or rods of one family. From memory, no source."""


def height_rows(right: Assembly, wrong: Assembly, site: BoreSite) -> tuple[tuple[Row, ...], CrownStory]:
    """Deck, head and valves."""
    decks = [stack.deck_mm for stack in stacks(right, wrong, site)]
    story = crown_story(right, wrong, site)
    deck = facts.row("crown below the deck at top dead centre", facts.mm(decks[0]), facts.mm(decks[1]))
    return (deck, *story.rows), story


def height_sentence(story: CrownStory, wrong: Assembly, system: System) -> str:
    """What it hits, and what a lower one would do."""
    return (
        f"{crown_sentence(story, wrong, system)} One that stands as much too low would turn freely and cost "
        "compression "
        "instead."
    )


def height_felt(story: CrownStory) -> str:
    """For the hand on the crank."""
    if not story.arcs:
        return "By hand: nothing is felt; the crown stands visibly higher than its neighbours."
    arc = story.arcs[0]
    there, back = arc.start_deg % 360, arc.end_deg % 360
    return f"By hand, with the head on: stops hard at {there:.0f}° and, turned back, at {back:.0f}°."


def height_signature(right: Assembly, wrong: Assembly, site: BoreSite, story: CrownStory) -> Signature:
    """Where it stops, and how far the crown stands from where it should."""
    before, after = stacks(right, wrong, site)
    return Signature(
        tight=story.arcs,
        period_deg=story.period_deg,
        top_shift_mm=before.head_mm - after.head_mm,
        with_head=bool(story.arcs),
        seen_only=not story.arcs,
    )


def height_spot(right: Assembly, wrong: Assembly, site: BoreSite, system: System) -> Spot:
    """The crown at its top dead centre, with the rise as a dimension."""
    index = wrong.layout.index(site.bore)
    face = face_mm(wrong.spec)
    gaps = [stack.head_mm for stack in stacks(right, wrong, site)]
    crank = float(dead_centres(wrong.linkage).top_deg[index])
    out = 0.6 * wrong.spec.block.bore.diameter_mm / 2
    start, end = (facts.in_engine(wrong, site, (out, 0.0, face - gap)) for gap in gaps)
    return Spot(
        crank, "bore", site.bore, (f"piston {site.bore}",), "stop", start, end,
        f"{facts.text_mm(gaps[0] - gaps[1], system)} too high",
    )  # fmt: skip
