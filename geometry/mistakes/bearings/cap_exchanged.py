"""The cap of another rod: the bore has a step at the joint."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.mistakes import facts
from geometry.mistakes.bearings.bearing_words import (
    LOOSE,
    joint_spot,
    rod_step,
    step_rows,
    step_sentence,
    step_words,
)
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.units import System


def make(assembly: Assembly, bore: int) -> Built:
    """Two caps change places."""
    return facts.exchanged(assembly, bore, "cap_from")


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Step in the bore against the oil clearance."""
    other = wrong.built.bore(bore).cap_from
    assert other is not None
    step = rod_step(wrong, bore)
    return Study(
        rows=step_rows(step, "step in the bore, cap of another rod"),
        does=f"Rod {bore} carries the cap of rod {other}, and the other way round. "
        f"{step_sentence(step, system)}",
        felt=f"By hand: heavy all round from the moment the cap of bore {bore} is tight, the same at bore {other}. "
        "Running: the shell is wiped, then it knocks and loses oil pressure.",
        look_for="From below: the number on each cap is the number on its rod.",
        remedy="Put each cap on its own rod; look at the shells for bright spots at the joint before running it.",
        signature=Signature(bound=step.binds, heavy=not step.binds, bores=(bore, other), running=LOOSE),
        spot=joint_spot(wrong, bore, (f"rod_cap {bore}", f"rod {bore}"), step_words(step, system)),
        look="below",
    )


MISTAKE = Mistake(
    "cap_exchanged",
    "caps of two rods exchanged",
    "The bearing cap belongs to another rod: the two halves of the bore were not finished together.",
    make,
    study,
    facts.it_takes_two("there is only one rod and one cap"),
)
