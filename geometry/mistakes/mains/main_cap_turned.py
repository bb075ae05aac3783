"""A main bearing cap put on back to front."""

from __future__ import annotations

from dataclasses import replace

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.mistakes.bearings.bearing_words import step_words
from geometry.mistakes.mains.main_words import main_rows, main_spot, main_step, step_takes
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.units import System


def make(assembly: Assembly, main: int) -> Built:
    """One cap half a turn."""
    return replace(assembly.built, main_cap_turned=tuple(sorted({*assembly.built.main_cap_turned, main})))


def study(right: Assembly, wrong: Assembly, main: int, system: System) -> Study:
    """The step in the bore, on both sides."""
    step = main_step(wrong, main)
    return Study(
        rows=main_rows(step),
        does=f"Main cap {main}, counted from the front, sits back to front. Its bore was finished with the arrow "
        "forward: the other way round both joints have a step, which by estimate takes "
        f"{step_takes(step, system)}, and the tangs stand apart.",
        felt=f"By hand: stiff to bound as soon as main cap {main} is tight, before any rod is on.",
        look_for="Arrows on all main caps point to the front, numbers rise from the front.",
        remedy="Take the cap off, look at shells and journal for bright spots, turn it round, tighten in steps and "
        "turn the crank after each.",
        signature=Signature(bound=True),
        spot=main_spot(wrong, main, step_words(step, system)),
        look="main_marks",
    )


MISTAKE = Mistake(
    "main_cap_turned",
    "main cap turned round",
    "A main bearing cap sits back to front: its bore was finished the other way round.",
    make,
    study,
    where="main",
)
