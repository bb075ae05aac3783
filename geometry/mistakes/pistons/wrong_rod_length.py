"""A rod that is longer than the design's."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.mistakes import facts
from geometry.mistakes.mistake import Mistake, Study
from geometry.mistakes.pistons.height_words import (
    TOO_MUCH_MM,
    height_felt,
    height_rows,
    height_sentence,
    height_signature,
    height_spot,
)
from geometry.units import System


def make(assembly: Assembly, bore: int) -> Built:
    """A tenth of an inch too long."""
    return assembly.built.with_bore(bore, rod_length_change_mm=TOO_MUCH_MM)


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Deck, head and valves at top dead centre."""
    site = wrong.layout.site(bore)
    rows, story = height_rows(right, wrong, site)
    change = wrong.built.bore(bore).rod_length_change_mm
    return Study(
        rows=rows,
        does=f"Rod {bore} is {facts.text_mm(change, system)} longer between centres than the others. "
        f"{height_sentence(story, wrong, system)}",
        felt=height_felt(story),
        look_for="Measure crown to deck in every bore at its own top dead centre; they must agree within a few "
        "hundredths of a millimetre.",
        remedy="A rod of the right length; lay all rods of a set on two mandrels before fitting them.",
        signature=height_signature(right, wrong, site, story),
        spot=height_spot(right, wrong, site, system),
        cost_of_looking=6.0,
        look="deck",
    )


MISTAKE = Mistake(
    "wrong_rod_length",
    "rod of a wrong length",
    "The rod is longer between centres than the design's.",
    facts.never,
    make,
    study,
)
