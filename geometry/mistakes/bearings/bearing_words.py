"""What a step at the joint of rod and cap does to a bearing."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.checks.fits import oil_clearance_mm
from geometry.checks.section import Row
from geometry.mistakes import facts
from geometry.mistakes.mistake import Spot
from geometry.units import System, show

STEP_MM = 0.03
"""Step that a cap leaves when it is not the one the bore was finished with. From memory: caps are located only
by their bolts or serrations, and bores finished with another cap miss by a few hundredths; no source."""
LOOSE = frozenset({"knocks", "knocks_load", "low_oil_pressure"})
"""What a bearing shows when the engine runs and its clearance is far too large, be it loose, wiped or starved: oil
runs out at its sides, and the load is taken up with a blow. Common practice, no source."""
STEP_SOURCE = (
    "caps finished with another rod miss by a few hundredths of a millimetre, from memory, no source"
)
ROUNDING_MM = 1e-9
OIL = "oil clearance, on the diameter"


def step_mm(turned: bool) -> float:
    """How far a strange cap stands out of line; turned, a cap brings its own error to both sides, twice as much."""
    return 2 * STEP_MM if turned else STEP_MM


def step_binds(clearance_mm: float, turned: bool) -> bool:
    """Whether the step takes up all of the oil clearance, given on the diameter."""
    return step_mm(turned) >= clearance_mm - ROUNDING_MM


def step_rows(clearance_mm: float, turned: bool, what: str, rule: str = "") -> tuple[Row, ...]:
    """Oil clearance on the diameter against a step.

    A cap that stands out of line by s leaves its journal the diameter less s: from the rod's wall on one side of the
    joint to the cap's on the other.

    Parameters
    ----------
    clearance_mm : of the bearing as designed, on the diameter
    turned : the cap is turned round rather than another's
    what : the step in words
    rule : where the clearance comes from, where the engine file does not give it
    """
    step, design = step_mm(turned), clearance_mm
    verdict = facts.stop("bound") if step_binds(design, turned) else facts.look("tight")
    left = "clearance left across the joint, on the diameter"
    return (
        facts.mm_row(OIL + (", by rule" if rule else ""), design, design, None, rule),
        facts.mm_row(f"{what}, estimate", 0.0, step, design, STEP_SOURCE),
        facts.mm_row(left, design, design - step, 0.0, "the shaft must turn in oil", verdict),
    )


def step_sentence(right: Assembly, bore: int, turned: bool, system: System) -> str:
    """Why a hundredth matters."""
    clearance, step = oil_clearance_mm(right.design(bore)), step_mm(turned)
    uses = "all" if step_binds(clearance, turned) else _fine(step, system)
    return (
        "The big-end bore was finished with this cap the right way round on this rod. Any other way the two halves "
        f"do not meet: the step at the joint, by estimate {_fine(step, system)}, takes {uses} of the "
        f"{_fine(clearance, system)} of oil clearance, and the shell wipes."
    )


def joint_spot(wrong: Assembly, bore: int, bodies: tuple[str, ...], text: str) -> Spot:
    """The joint of rod and cap on one side, with the crank at the bottom."""
    return facts.big_end_spot(
        wrong, bore, bodies, (0.0, wrong.design(bore).rod.big_end.bore_mm / 2, 0.0), text
    )


def _fine(value_mm: float, system: System) -> str:
    return show(value_mm, "length", system, 4 if system == "in" else 3)
