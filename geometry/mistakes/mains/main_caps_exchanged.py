"""Two main bearing caps exchanged."""

from __future__ import annotations

from dataclasses import replace

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.mistakes.bearings.bearing_words import LOOSE
from geometry.mistakes.mains.main_words import (
    main_rows,
    main_spot,
    main_step,
    needs_two_mains,
    neighbour_main,
)
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.units import System


def make(assembly: Assembly, main: int) -> Built:
    """Two neighbours change places."""
    count = len(assembly.layout.main_x_mm)
    order = list(assembly.built.main_cap_order or range(1, count + 1))
    other = neighbour_main(assembly, main)
    order[main - 1], order[other - 1] = order[other - 1], order[main - 1]
    return replace(assembly.built, main_cap_order=tuple(order))


def study(right: Assembly, wrong: Assembly, main: int, system: System) -> Study:
    """The step in both bores."""
    other = neighbour_main(right, main)
    return Study(
        rows=main_rows(main_step(wrong, main)),
        does=f"Main caps {main} and {other}, counted from the front, are on each other's bearings. The bores were "
        "finished in line with every cap in its own place; elsewhere the halves do not meet.",
        felt=f"By hand: heavy all round as soon as main cap {main} or {other} is tight, before any rod is on. "
        "Running: the shells are wiped, then it knocks under load and loses oil pressure.",
        look_for="Numbers on the main caps rise from the front.",
        remedy="Put each cap on its own bearing, tighten in steps and turn the crank after each.",
        signature=Signature(heavy=True, bores=(main, other), running=LOOSE),
        spot=main_spot(wrong, main, f"cap of main {other} on main {main}"),
        look="main_marks",
    )


MISTAKE = Mistake(
    "main_caps_exchanged",
    "main caps exchanged",
    "Two main bearing caps are on each other's bearings.",
    make,
    study,
    needs_two_mains,
    "main",
)
