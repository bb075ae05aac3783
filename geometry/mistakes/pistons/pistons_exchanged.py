"""Pistons of two bores exchanged, front marks forward."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.kinematics.valve_lift import overlap_deg
from geometry.mistakes import facts
from geometry.mistakes.mistake import CrankArc, Mistake, Noticed, Signature, Spot, Study
from geometry.mistakes.pistons.valve_words import (
    CrownHits,
    crown_felt,
    crown_hits,
    crown_sentence,
    crown_story,
    crown_words,
    pockets_differ,
    seek_crowns,
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
    second = (wrong, wrong.layout.site(other))
    across = _across(wrong, bore, other)
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
    clearance = facts.mm(wrong.design(bore).piston.skirt.clearance_mm)
    return Study.of(
        _signs(bore, other, story, crown_hits([second])[0].arcs if across else ()),
        rows=(
            *((*met, number) if moved else (number, *met)),
            facts.row("piston to wall, on the diameter", clearance, "to be measured", clearance, "your engine file",
                      facts.look("measure it")),
        ),
        does=does,
        spot=Spot(crank, "bore", bore, (f"piston {bore}",), "stop", tip, facts.in_engine(wrong, site, at), text,
                  "pocket" if moved else "exchanged"),
    )  # fmt: skip


def signs(right: Assembly, wrong: Assembly, bore: int, system: System, found: list[CrownHits]) -> Noticed:
    """What is noticed, in both bores."""
    del right, system
    other = wrong.built.bore(bore).piston_from
    assert other is not None
    return _signs(bore, other, found[0], found[1].arcs if _across(wrong, bore, other) else ())


def _across(wrong: Assembly, bore: int, other: int) -> bool:
    """Whether handed pistons stand on the other's bank."""
    banks = {wrong.layout.site(one).bank for one in (bore, other)}
    return handed(wrong.spec.piston) and len(banks) == 2


def _signs(bore: int, other: int, hits: CrownHits, second: tuple[CrankArc, ...]) -> Noticed:
    cold = ", cold. Running: the tighter one goes heavy when hot, the looser one slaps when cold"
    signature = Signature(
        tight=(*hits.arcs, *second),
        period_deg=hits.period_deg,
        with_head=bool(hits.arcs),
        when_hot=not hits.arcs,
        bores=(bore, other),
        running=frozenset() if hits.arcs else frozenset({"seizes_hot", "knocks_cold"}),
    )
    return Noticed(
        signature,
        felt=f"{crown_felt(hits)}{'' if hits.arcs else cold}.",
        look_for="Look at the crowns: the number on each, and every pocket under its valve.",
        remedy="Draw both, put each in its own bore, measure skirt against bore while they are out.",
        look="crown",
    )


MISTAKE = Mistake(
    "pistons_exchanged",
    "pistons of two bores exchanged",
    "Two pistons are in each other's bores, front marks forward; where they are handed, the pockets of the other "
    "bank lie on the wrong side.",
    make,
    study,
    facts.it_takes_two("there is only one piston"),
    seek=seek_crowns,
    signs=signs,
)
