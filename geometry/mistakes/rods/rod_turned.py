"""A rod put on its piston the wrong way round: the small chamfer faces the crank cheek."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.checks.section import Row
from geometry.mistakes import facts
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.mistakes.rods.side_words import chamfer_changes, side_sentence, side_spot, side_story
from geometry.parts.rod import standing
from geometry.parts.rod_bolt import thrust_side
from geometry.units import System, show_fine


def make(assembly: Assembly, bore: int) -> Built:
    """Rod and cap together, half a turn about the rod's length."""
    return assembly.built.with_bore(bore, rod_turned=not assembly.built.bore(bore).rod_turned)


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """The edge against the fillet, and the side clearance that is left."""
    site = wrong.layout.site(bore)
    story = side_story(right, wrong, site)
    told = side_sentence(story, system)
    faces = "" if site.partner is None or story.two_cheeks or story.alike else site.partner
    neighbour = f" The large chamfer faces rod {faces} instead." if faces else ""
    silent = story.silent
    felt = "nothing is felt" if silent else "the crank is bound as soon as the cap is tight, at every angle"
    if not silent and not story.bound:
        felt = f"heavy all round, {show_fine(story.left_mm, system)} of side play left at bore {bore}"
    look = "Feeler blade between the rods on this pin; then from below: the large chamfer against the crank cheek,"
    if story.two_cheeks or story.alike:
        look = "From below: tangs and oil hole as on the other rods,"
    return Study(
        rows=story.rows if chamfer_changes(wrong, site, story) else (_tangs(right, wrong, bore), *story.rows),
        does=f"Rod {bore} stands the wrong way round. {told}{neighbour}",
        felt=f"By hand: {felt}.",
        look_for=f"{look} the numbers on rod and cap on the side they were on.",
        remedy=f"Take rod {bore} out with its piston, turn it on the piston pin (the piston's front mark stays "
        "forward), renew the shells if they are marked, dress the fillet only if a crank grinder finds it sound.",
        signature=Signature(
            bound=not silent and story.bound,
            heavy=not silent and not story.bound,
            side_play_mm=story.play_mm,
            seen_only=silent,
        ),
        spot=side_spot(wrong, site, story, system, "numbered", "numbers and tangs on the wrong side"),
        look="below",
    )


def _tangs(right: Assembly, wrong: Assembly, bore: int) -> Row:
    """The thrust side to which tangs and numbers face; tangs lie at +y of a rod's own frame."""
    site = wrong.layout.site(bore)
    before, after = (
        site.side_words(thrust_side(site, float(standing(site, assembly.built)[1, 1])))
        for assembly in (right, wrong)
    )
    return facts.row("tangs and numbers face the", before, after, before, "as designed", facts.stop("wrong"))


MISTAKE = Mistake(
    "rod_turned",
    "rod turned round",
    "The connecting rod is fitted half a turn about its own length: what faced the crank cheek faces the other way.",
    make,
    study,
)
