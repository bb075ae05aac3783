"""Rods, hung on their pistons, fitted in each other's bores."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.mistakes import facts
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.mistakes.rods.side_words import chamfer_changes, side_sentence, side_spot, side_story
from geometry.units import System, show_fine


def make(assembly: Assembly, bore: int) -> Built:
    """Both rods change places; across the banks of a vee each then faces the wrong cheek."""
    sides = {assembly.layout.site(n).cheek_side for n in (bore, facts.partner_of(assembly, bore) or bore)}
    return facts.exchanged(assembly, bore, "rod_from", rod_turned=len(sides) == 2)


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Fillets of both cheeks of the pin; where nothing turns, only what was matched is lost."""
    site = wrong.layout.site(bore)
    other = wrong.built.bore(bore).rod_from
    assert other is not None
    story = side_story(right, wrong, site)
    turned = wrong.built.bore(bore).rod_turned
    silent = not turned or story.silent
    if turned:
        shown = "stand the wrong way round." if story.silent else "show their small chamfer to the cheek."
        does = (
            f"Rods {bore} and {other} were hung on their pistons for one bank and fitted in the other. With the "
            f"pistons' front marks forward, both rods {shown} {side_sentence(story, system)}"
        )
    else:
        does = (
            f"Rods {bore} and {other} stand in each other's bores. They are alike in size, so nothing touches; lost "
            "are the balance they were matched for and the bearings they had bedded in with."
        )
    felt = "nothing is felt"
    if not silent:
        felt = (
            f"bound all round once the cap of bore {bore} or {other} is tight, no side play on that pin"
            if story.bound
            else f"heavy all round, {show_fine(story.left_mm, system)} side play left"
        )
    mine = f"rod {bore}"
    number = facts.row(
        f"rod in bore {bore}", mine, f"rod {other}", mine, "numbers on the rods", facts.stop("wrong")
    )
    pins = sorted({*story.bores, other})
    return Study(
        rows=(*(() if chamfer_changes(wrong, site, story) else (number,)), *story.rows),
        does=does,
        felt=f"By hand: {felt}.",
        look_for="Read the numbers on rods and caps from below: each belongs to its bore.",
        remedy=f"Take both out, hang the rods on the right pistons, and fit {bore} in {bore}, {other} in {other}.",
        signature=Signature(
            bound=not silent and story.bound,
            heavy=not silent and not story.bound,
            side_play_mm={} if silent else dict.fromkeys(pins, max(story.left_mm, 0.0)),
            seen_only=silent,
            bores=(bore, other),
        ),
        spot=side_spot(wrong, site, story, system, "exchanged", f"rod {other} in bore {bore}"),
        look="below",
    )


MISTAKE = Mistake(
    "rods_exchanged",
    "rods of two bores exchanged",
    "Two connecting rods, each hung on its piston, are fitted in each other's bores.",
    make,
    study,
    facts.it_takes_two("there is only one rod"),
)
