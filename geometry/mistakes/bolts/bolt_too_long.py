"""Rod bolts of the next length: a cap screw bottoms and stands out, a bolt with a nut reaches out below it."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.mistakes import facts
from geometry.mistakes.bolts.bolt_words import BoltHits, bolt_hits, bolt_signs, bolt_story, bolt_study
from geometry.mistakes.mistake import Mistake, Noticed, Study
from geometry.trade import bolt_step_mm
from geometry.units import System, show


def make(assembly: Assembly, bore: int) -> Built:
    """Both bolts too long."""
    bolt = assembly.spec.rod.bolt
    step = bolt_step_mm(bolt)
    if bolt.kind == "cap_screw":
        return assembly.built.with_bore(bore, bolt_out_mm=(step, step))
    return assembly.built.with_bore(bore, bolt_longer_mm=step)


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Clearance of heads or thread ends through the turn."""
    bolt = wrong.spec.rod.bolt
    screw, step = bolt.kind == "cap_screw", bolt_step_mm(bolt)
    what = "head off its seat" if screw else "thread farther out of the nut"
    how = (
        "They reach the bottom of their holes before the heads are down, so they do not clamp the cap at all."
        if screw
        else "The nuts hold, but the ends of the threads reach out that much farther."
    )
    story = bolt_story(right, wrong, bore)
    return bolt_study(
        wrong, bore, system, story, _signs(wrong, bore, story.hits),
        off=facts.mm_row(what, 0.0, step, 0.0, "the bolt of the design", facts.stop("stands out")),
        does=f"The bolts of rod {bore} are one stock length, {show(step, 'length', system)}, too long. {how}",
    )  # fmt: skip


def signs(right: Assembly, wrong: Assembly, bore: int, system: System, hits: BoltHits) -> Noticed:
    """What is noticed."""
    del right, system
    return _signs(wrong, bore, hits)


def _signs(wrong: Assembly, bore: int, hits: BoltHits) -> Noticed:
    screw = wrong.spec.rod.bolt.kind == "cap_screw"
    return bolt_signs(
        hits,
        clamps=not screw,
        # A screw at the bottom of its hole leaves the cap that much play, as if it had never been tightened.
        clicks_deg=facts.ends_deg(wrong.linkage, wrong.layout.index(bore)) if screw else (),
        look_for="From below: the bolt heads or thread ends of all rods must stand equally far; a feeler blade under "
        "each head.",
        remedy="Bolts of the right length, from one set, tightened by torque or stretch.",
    )


MISTAKE = Mistake(
    "bolt_too_long",
    "rod bolt too long",
    "The rod bolts are one stock length too long.",
    make,
    study,
    moves=("rod_bolt",),
    seek=bolt_hits,
    signs=signs,
)
