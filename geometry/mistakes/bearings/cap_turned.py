"""A cap put on its own rod back to front: tangs apart, and the cap's small chamfer at the cheek."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.checks.fillets import rods_on_pin, side_fit
from geometry.checks.fits import oil_clearance_mm
from geometry.mistakes import facts
from geometry.mistakes.bearings.bearing_words import step_binds, step_rows, step_sentence
from geometry.mistakes.mistake import Mistake, Signature, Spot, Study
from geometry.mistakes.rods.side_words import fillet_spot, side_sentence, side_story
from geometry.units import System


def make(assembly: Assembly, bore: int) -> Built:
    """The cap alone, half a turn."""
    return assembly.built.with_bore(bore, cap_turned=not assembly.built.bore(bore).cap_turned)


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Step in the bore against the oil clearance; and the fillet under the cap half."""
    site = wrong.layout.site(bore)
    story = side_story(right, wrong, site)
    silent_side = story.silent
    side = "" if silent_side else " " + side_sentence(story, side_fit(wrong, site), system)
    spot = fillet_spot(wrong, site, story.depth_mm, system)
    if silent_side:
        at = facts.on_rod(wrong, site, spot.crank_deg, (0.0, wrong.spec.rod.big_end.bore_mm / 2, 0.0))
        words = "step at the joint, tangs apart"
        spot = Spot(spot.crank_deg, "bore", bore, spot.bodies, "stop", None, at, words)
    clearance = oil_clearance_mm(right.spec)
    bound = step_binds(clearance, True) or (not silent_side and story.bound)
    pin = [s.bore for s in rods_on_pin(wrong, site)]
    return Study(
        rows=step_rows(clearance, True, "step in the bore, cap turned") + (() if silent_side else story.rows),
        does=f"The cap of rod {bore} sits back to front. {step_sentence(right, True, system)} "
        "The tangs of the two shells stand on opposite sides instead of side by side: a tang only places its shell, "
        f"crush holds it, but it tells from below that the cap is turned.{side}",
        felt=f"By hand: stiff to bound from the moment the cap of bore {bore} is tight, free again when it is "
        "loosened.",
        look_for="From below: both tangs belong on one side, the numbers on rod and cap side by side.",
        remedy="Take the cap off, look at shells and crankpin for bright spots, turn the cap, tighten again.",
        signature=Signature(
            bound=bound,
            heavy=not bound,
            side_play_mm={} if silent_side else {n: max(story.left_mm, 0.0) for n in pin},
        ),
        spot=spot,
        cost_of_looking=4.0,
        look="below",
    )


MISTAKE = Mistake(
    "cap_turned",
    "cap turned round",
    "The bearing cap sits back to front on its own rod: the tangs stand apart and the bore, finished with the cap the "
    "other way, has a step.",
    facts.never,
    make,
    study,
)
