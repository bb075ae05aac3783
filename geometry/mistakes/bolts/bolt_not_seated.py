"""Rod bolts whose heads do not lie on their seats."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.mistakes import facts
from geometry.mistakes.bolts.bolt_words import BoltHits, bolt_hits, bolt_signs, bolt_story, bolt_study
from geometry.mistakes.mistake import Mistake, Noticed, Study
from geometry.rings.feeler import blade_mm, blade_text
from geometry.trade import SEATED_MM
from geometry.units import System, show_fine

STAND_OFF_MM = 1.5
"""A head on dirt, on a burr, or on the radius under it. From memory, no source."""


def make(assembly: Assembly, bore: int) -> Built:
    """Both heads stand off their seats."""
    return assembly.built.with_bore(bore, bolt_out_mm=(STAND_OFF_MM, STAND_OFF_MM))


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Clearance of heads and shanks through the turn."""
    out, off = max(wrong.built.bore(bore).bolt_out_mm), facts.stop("stands off")
    story = bolt_story(right, wrong, bore)
    return bolt_study(
        wrong, bore, system, story,
        _signs(story.hits, system),
        off=facts.mm_row("head off its seat", 0.0, out, 0.0, "the head lies flat", off),
        does=f"The heads of the bolts of rod {bore} stand {show_fine(out, system)} off their seats.",
        after=" Whatever it clears, it was not stretched: what holds it up gives way when the engine runs, the bolt is "
        "loose from then on and the cap is lost.",
    )  # fmt: skip


def signs(right: Assembly, wrong: Assembly, bore: int, system: System, hits: BoltHits) -> Noticed:
    """What is noticed."""
    del right, wrong, bore
    return _signs(hits, system)


def _signs(hits: BoltHits, system: System) -> Noticed:
    blade = blade_text(blade_mm(SEATED_MM, system, up=False), system)
    return bolt_signs(
        hits,
        look_for=f"A feeler blade of {blade} under each head must not go in anywhere.",
        remedy="Take the bolt out, clean seat and thread, look for a burr or a bent bolt, use a new bolt, tighten by "
        "torque or stretch.",
    )


MISTAKE = Mistake(
    "bolt_not_seated",
    "rod bolt not seated",
    "The heads of the rod bolts do not lie on their seats: they stand out, and the bolts are not stretched.",
    make,
    study,
    moves=("rod_bolt",),
    seek=bolt_hits,
    signs=signs,
)
