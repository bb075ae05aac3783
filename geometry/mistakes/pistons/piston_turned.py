"""A piston put in back to front: pockets under the wrong valves, pin offset on the wrong side."""

from __future__ import annotations

import numpy as np

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.kinematics.slider_crank import dead_centres, top_lean_deg
from geometry.kinematics.valve_lift import overlap_deg
from geometry.mistakes import facts
from geometry.mistakes.mistake import Mistake, Noticed, Signature, Spot, SpotView, Study
from geometry.mistakes.pistons.valve_words import (
    CrownHits,
    crown_felt,
    crown_sentence,
    crown_story,
    crown_words,
    pockets_differ,
    seek_crowns,
)
from geometry.parts.shapes.crown import crown, inward_sign, mark_place
from geometry.units import System, show_fine


def make(assembly: Assembly, bore: int) -> Built:
    """The piston alone, half a turn about the bore's axis."""
    return assembly.built.with_bore(bore, piston_turned=not assembly.built.bore(bore).piston_turned)


def top_shift_deg(right: Assembly, wrong: Assembly, bore: int) -> float:
    """How much later the true top dead centre comes, degrees of crank; negative: earlier."""
    index = right.layout.index(bore)
    tops = [float(dead_centres(assembly.linkage).top_deg[index]) for assembly in (right, wrong)]
    return (tops[1] - tops[0] + 180.0) % 360.0 - 180.0


def thrust_swap_deg(assembly: Assembly, bore: int) -> float:
    """When the side thrust changes sides near the top: degrees after the true top dead centre, negative before it.

    Source: the piston presses to no side where the rod stands along the bore, ``d + r sin phi = 0``; the top is where
    throw and rod are in line, ``phi = -asin(d / (l + r))``.
    """
    linkage, index = assembly.linkage, assembly.layout.index(bore)
    throw, rod, offset = (float(a[index]) for a in (linkage.throw_mm, linkage.rod_mm, linkage.offset_mm))
    swap_deg = np.degrees(np.arcsin(offset / throw))
    return float(linkage.sense * (top_lean_deg(throw, rod, offset) - swap_deg))


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Valves, top dead centre, side thrust."""
    site = wrong.layout.site(bore)
    story = crown_story(right, wrong, site)
    shift = top_shift_deg(right, wrong, bore)
    offset = wrong.spec.piston.pin.offset_mm
    sides = ("major", "minor")
    before = wrong.spec.piston.pin.offset_side
    after = sides[1 - sides.index(before)]
    front = "to the front"
    mark = facts.row("front mark", front, "to the rear", front, "the mark on the crown", facts.stop("wrong"))
    drawing = _drawing(right, wrong, bore)
    right_side, wrong_side = site.side_words(before), site.side_words(after)
    pin = []
    if offset:
        pin = [
            facts.row("pin offset to the", right_side, wrong_side, right_side,
                      "your engine file", facts.stop("wrong")),
            facts.row("true top dead centre later by", facts.degrees(0.0), facts.degrees(shift), facts.degrees(0.0),
                      "2 asin(offset / (rod + throw))", facts.stop("shifted")),
            facts.row("side thrust changes sides, after top dead centre",
                      facts.degrees(thrust_swap_deg(right, bore)), facts.degrees(thrust_swap_deg(wrong, bore)),
                      facts.degrees(0.0), "before the pressure comes on: what the offset is for", facts.stop("late")),
        ]  # fmt: skip
    met, stands = (*story.valves, story.head), [*pin, mark] if drawing == "offset" else [mark, *pin]
    noise = (
        f" The pin stands {show_fine(offset, system)} to the wrong side: top dead centre comes "
        f"{abs(shift):.2f}° {'late' if shift > 0 else 'early'} and the piston slaps over as the pressure comes on, "
        "which is heard cold."
        if offset
        else ""
    )
    hit = story.hit
    at = hit.at_B_mm if hit else _mark_B_mm(wrong, bore)
    text = crown_words(story, system) if drawing == "pocket" or hit else "front mark to the rear"
    crank = hit.approach.crank_deg if hit else overlap_deg(wrong.layout, bore) % 360.0
    tip = facts.in_engine(wrong, site, (at[0], at[1], at[2] - hit.room_mm)) if hit else None
    view: SpotView = "bore" if hit else "rings"
    return Study.of(
        _signs(right, wrong, bore, story),
        rows=(*met, *stands) if drawing == "pocket" else (*stands, *met),
        does=f"The piston of bore {bore} is in back to front. {crown_sentence(story, wrong, system)}{noise}",
        spot=Spot(
            crank, view, bore, (f"piston {bore}",), "stop", tip, facts.in_engine(wrong, site, at), text,
            drawing,
        ),
    )  # fmt: skip


def signs(right: Assembly, wrong: Assembly, bore: int, system: System, found: list[CrownHits]) -> Noticed:
    """What is noticed."""
    del system
    return _signs(right, wrong, bore, found[0])


def _signs(right: Assembly, wrong: Assembly, bore: int, hits: CrownHits) -> Noticed:
    offset = wrong.spec.piston.pin.offset_mm
    signature = Signature(
        tight=hits.arcs,
        period_deg=hits.period_deg,
        top_shift_deg=top_shift_deg(right, wrong, bore),
        with_head=bool(hits.arcs),
        seen_only=not hits.arcs,
        running=_running(offset, hits),
    )
    return Noticed(
        signature,
        felt=f"{crown_felt(hits)}{'; a knock when cold' if offset else ''}.",
        look_for="Look at the crown: the front mark must point to the front of the engine, each pocket stand under its "
        "valve.",
        remedy="Draw the piston, turn it on its rod (the rod's large chamfer stays to the cheek), set the ring gaps "
        "again.",
        look="crown",
    )


def _drawing(right: Assembly, wrong: Assembly, bore: int) -> str:
    """What shows it best: pockets under the wrong valves, else the pin on the wrong side, else the front mark."""
    if pockets_differ(right, wrong, bore):
        return "pocket"
    return "offset" if wrong.design(bore).piston.pin.offset_mm else "mark"


def _running(offset_mm: float, story: CrownHits) -> frozenset[str]:
    """Slap that goes as it warms, where the pin is offset; a valve that the crown has bent does not seal."""
    slaps = {"knocks_cold"} if offset_mm else set()
    bent = story.valve is not None and story.valve.room_mm < 0
    return frozenset(slaps | ({"low_compression"} if bent else set()))


def _mark_B_mm(wrong: Assembly, bore: int) -> facts.Point:
    """The front mark of the piston as it is in, in the bore's frame at top dead centre."""
    spec, site = wrong.design(bore), wrong.layout.site(bore)
    x, y, z = mark_place(crown(spec, inward_sign(site), spec.piston.compression_height_mm))
    return -x, -y, z + float(dead_centres(wrong.linkage).top_height_mm[wrong.layout.index(bore)])


MISTAKE = Mistake(
    "piston_turned",
    "piston turned round",
    "The piston is in back to front: its front mark points to the rear, pockets and pin offset stand on the "
    "other side.",
    make,
    study,
    seek=seek_crowns,
    signs=signs,
)
