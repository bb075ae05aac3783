"""A cap put on its own rod back to front: tangs apart, and the cap's small chamfer at the cheek."""

from __future__ import annotations

from dataclasses import replace

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.mistakes.bearings.bearing_words import (
    joint_spot,
    rod_step,
    step_rows,
    step_sentence,
    step_words,
)
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.mistakes.rods.side_words import fillet_spot, side_sentence, side_story
from geometry.units import System, show_fine


def make(assembly: Assembly, bore: int) -> Built:
    """The cap alone, half a turn."""
    return assembly.built.with_bore(bore, cap_turned=not assembly.built.bore(bore).cap_turned)


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Step in the bore against the oil clearance; and the fillet under the cap half."""
    site = wrong.layout.site(bore)
    story = side_story(right, wrong, site)
    silent = story.silent
    side = "" if silent else " " + side_sentence(story, system)
    step = rod_step(wrong, bore)
    bound = step.binds or (not silent and story.bound)
    told = step_words(step, system)
    spot = joint_spot(wrong, bore, (f"rod_cap {bore}", f"rod {bore}"), f"{told}, tangs apart")
    if not silent:  # the solids hold no step of hundredths, but the chamfer they do
        fillet = fillet_spot(wrong, site, story.depth_mm, system)
        spot = replace(
            fillet, text=f"{told}; {show_fine(story.depth_mm, system)} into the fillet", drawing=spot.drawing
        )
    return Study(
        rows=step_rows(step, "step in the bore, cap turned") + (() if silent else story.rows),
        does=f"The cap of rod {bore} sits back to front. {step_sentence(step, system)} "
        "The tangs of the two shells stand on opposite sides instead of side by side: a tang only places its shell, "
        f"crush holds it, but it tells from below that the cap is turned.{side}",
        felt=f"By hand: stiff to bound from the moment the cap of bore {bore} is tight, free again when it is "
        "loosened.",
        look_for="From below: both tangs belong on one side, the numbers on rod and cap side by side.",
        remedy="Take the cap off, look at shells and crankpin for bright spots, turn the cap, tighten again.",
        signature=Signature(bound=bound, heavy=not bound, side_play_mm=story.play_mm),
        spot=spot,
        look="below",
    )


MISTAKE = Mistake(
    "cap_turned",
    "cap turned round",
    "The bearing cap sits back to front on its own rod: the tangs stand apart and the bore, finished with the cap the "
    "other way, has a step.",
    make,
    study,
)
