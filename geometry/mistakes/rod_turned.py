"""A rod put on its piston the wrong way round: the small chamfer faces the crank cheek."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.checks.fillets import rods_on_pin, side_fit
from geometry.mistakes import facts
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.mistakes.side_words import fillet_spot, side_sentence, side_story
from geometry.units import System


def refuse(assembly: Assembly, bore: int) -> str | None:
    """A rod of equal chamfers fits either way."""
    assembly.layout.site(bore)
    chamfer = assembly.spec.rod.chamfer
    if chamfer.cheek_mm == chamfer.other_mm:
        return "both sides of this rod have the same chamfer: it fits either way round"
    return None


def make(assembly: Assembly, bore: int) -> Built:
    """Rod and cap together, half a turn about the rod's length."""
    return assembly.built.with_bore(bore, rod_turned=not assembly.built.bore(bore).rod_turned)


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """The edge against the fillet, and the side clearance that is left."""
    site = wrong.layout.site(bore)
    story = side_story(right, wrong, site)
    neighbour = f" The large chamfer faces rod {site.partner} instead." if site.partner is not None else ""
    if story.two_cheeks:
        does = (
            f"Rod {bore} stands the wrong way round. It has a cheek on both sides, so its chamfers meet the same two "
            "fillets as before and nothing touches; only numbers, oil hole and tangs face the wrong way."
        )
    else:
        told = side_sentence(story, side_fit(wrong, site), system)
        does = f"Rod {bore} stands the wrong way round. {told}{neighbour}"
    silent = story.two_cheeks or story.depth_mm <= 0
    felt = "nothing is felt" if silent else "the crank is bound as soon as the cap is tight, at every angle"
    if not silent and not story.bound:
        felt = f"heavy all round, and no side play at bore {bore}: {facts.text_mm(story.left_mm, system)} is left"
    pin = [s.bore for s in rods_on_pin(wrong, site)]
    return Study(
        rows=story.rows,
        does=does,
        felt=f"By hand: {felt}.",
        look_for="Feeler blade between the rods on this pin; then from below: the side with the large "
        "chamfer must face "
        "the crank cheek, the numbers on rod and cap the side they were on.",
        remedy=f"Take rod {bore} out with its piston, turn it on the piston pin (the piston's front mark "
        "stays forward), "
        "renew the shells if they are marked, dress the fillet only if a crank grinder finds it sound.",
        signature=Signature(
            bound=not silent and story.bound,
            heavy=not silent and not story.bound,
            side_play_mm={} if silent else {n: max(story.left_mm, 0.0) for n in pin},
            seen_only=silent,
        ),
        spot=fillet_spot(wrong, site, story.depth_mm, system),
        cost_of_looking=3.0 if not silent else 4.0,
        look="below",
    )


MISTAKE = Mistake(
    "rod_turned",
    "rod turned round",
    "The connecting rod is fitted half a turn about its own length: the small chamfer faces the crank cheek.",
    refuse,
    make,
    study,
)
