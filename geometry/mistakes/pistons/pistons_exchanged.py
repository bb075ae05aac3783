"""Pistons of two bores exchanged, front marks forward."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.kinematics.valve_lift import overlap_deg
from geometry.mistakes import facts
from geometry.mistakes.mistake import Mistake, Signature, Spot, Study
from geometry.mistakes.pistons.valve_words import (
    crown_felt,
    crown_sentence,
    crown_story,
    crown_words,
    pockets_differ,
)
from geometry.parts.shapes.crown import handed
from geometry.units import System

MIRRORED = {
    "vee": "the pockets that belong towards the valley lie on the outer side, and the other way round",
    "flat": "the pockets that belong on the upper side lie on the lower, and the other way round",
}
"""What a handed piston does on the wrong bank, by layout; an inline engine has one bank."""


def make(assembly: Assembly, bore: int) -> Built:
    """Both pistons change places, marks forward."""
    return facts.exchanged(assembly, bore, "piston_from")


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Pockets under the wrong valves where pistons are handed; else only the fit to the bore is lost."""
    site = wrong.layout.site(bore)
    other = wrong.built.bore(bore).piston_from
    assert other is not None
    story = crown_story(right, wrong, site)
    across = handed(wrong.spec.piston) and wrong.layout.site(other).bank != site.bank
    if across:
        does = (
            f"Pistons {bore} and {other} are in each other's bores. They are handed: on the wrong bank "
            f"{MIRRORED[wrong.spec.engine.layout]}. {crown_sentence(story, wrong, system)}"
        )
    else:
        does = (
            f"Pistons {bore} and {other} are in each other's bores. They are alike in shape, so nothing hits; lost is "
            "the fit, where each piston was measured to its bore: the tighter of the two drags when it is hot, the "
            "looser slaps while it is cold."
        )
    second = crown_story(right, wrong, wrong.layout.site(other)).arcs if across else ()
    hit = story.hit
    nearest = hit or story.valve
    at = nearest.at_B_mm if nearest else (0.0, 0.0, 0.0)
    crank = nearest.approach.crank_deg if nearest else overlap_deg(wrong.layout, bore) % 360.0
    tip = facts.in_engine(wrong, site, (at[0], at[1], at[2] - hit.room_mm)) if hit else None
    moved = pockets_differ(right, wrong, bore)
    text = f"piston {other} in bore {bore}" + (f", {crown_words(story, system)}" if moved or hit else "")
    number = facts.row(f"piston in bore {bore}", f"piston {bore}", f"piston {other}", f"piston {bore}",
                       "numbers on the crowns", facts.stop("wrong"))  # fmt: skip
    met = (*story.valves, story.head)
    cold = ", cold. Running: the tighter one goes heavy when hot, the looser one slaps when cold"
    clearance = facts.mm(wrong.design(bore).piston.skirt.clearance_mm)
    return Study(
        rows=(
            *((*met, number) if moved else (number, *met)),
            facts.row("piston to wall, on the diameter", clearance, "to be measured", clearance, "your engine file",
                      facts.look("measure it")),
        ),
        does=does,
        felt=f"{crown_felt(story)}{'' if story.arcs else cold}.",
        look_for="Look at the crowns: the number on each, and every pocket under its valve.",
        remedy="Draw both, put each in its own bore, measure skirt against bore while they are out.",
        signature=Signature(
            tight=(*story.arcs, *second),
            period_deg=story.period_deg,
            with_head=bool(story.arcs),
            when_hot=not story.arcs,
            bores=(bore, other),
            running=frozenset() if story.arcs else frozenset({"seizes_hot", "knocks_cold"}),
        ),
        spot=Spot(crank, "bore", bore, (f"piston {bore}",), "stop", tip, facts.in_engine(wrong, site, at), text,
                  "pocket" if moved else "exchanged"),
        look="crown",
    )  # fmt: skip


MISTAKE = Mistake(
    "pistons_exchanged",
    "pistons of two bores exchanged",
    "Two pistons are in each other's bores, front marks forward; where they are handed, the pockets of the other "
    "bank lie on the wrong side.",
    make,
    study,
    facts.it_takes_two("there is only one piston"),
)
