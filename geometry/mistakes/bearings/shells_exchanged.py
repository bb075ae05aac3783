"""Upper and lower bearing shell exchanged: the shell with the oil hole lies in the cap."""

from __future__ import annotations

from dataclasses import replace

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.checks.fits import oil_clearance_mm
from geometry.mistakes import facts
from geometry.mistakes.bearings.bearing_words import LOOSE, OIL
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.units import System, show_fine


def make(assembly: Assembly, bore: int) -> Built:
    """The two halves change places."""
    return assembly.built.with_bore(bore, shells_exchanged=True)


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """The oil clearance stays; a hole for oil, where the rod has one, is covered."""
    rod, clearance = wrong.design(bore).rod, oil_clearance_mm(right.design(bore))
    hole, bodies = (0.0, 0.0, rod.big_end.bore_mm / 2), (f"rod {bore}", f"rod_cap {bore}")
    source = "shell sets with a hole belong hole to hole: common practice, no source"
    return Study(
        rows=(
            facts.row(
                "oil hole of the rod, where it has one",
                "open",
                "covered",
                "open",
                source,
                facts.stop("covered"),
            ),
            facts.mm_row(OIL, clearance, clearance, verdict=facts.note("unchanged")),
        ),
        does=f"The two bearing halves of rod {bore} lie in each other's seats. Both are "
        f"{show_fine(rod.bearing.wall_mm, system)} thick, so it turns as before; but where the rod has an oil "
        "hole, the plain half now covers it, and the wall and pin above get no oil.",
        felt="By hand: nothing at all. Running: the dry bearing wears, scores its pin, knocks and loses oil pressure.",
        look_for="Cap off: the half with the hole, or marked UPPER, belongs in the rod. Where the halves are alike, "
        "exchanging them does nothing.",
        remedy="Exchange the halves, each with its tang in its notch and dry behind.",
        signature=Signature(seen_only=True, running=LOOSE, scores_pin=True),
        spot=replace(
            facts.big_end_spot(wrong, bore, bodies, hole, "oil hole of the rod covered"), drawing="oil_hole"
        ),
        look="rod_cap_off",
    )


MISTAKE = Mistake(
    "shells_exchanged",
    "bearing halves exchanged",
    "The shell that belongs in the rod lies in the cap, and the other way round.",
    make,
    study,
)
