"""What a step, a lifted shell or a covered oil hole does to a big-end bearing."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.checks.section import Row
from geometry.mistakes import facts
from geometry.units import System, show

STEP_MM = 0.03
"""Step that a cap leaves when it is not the one the bore was finished with. From memory: caps are located only
by their bolts or serrations, and bores finished with another cap miss by a few hundredths; no source."""
STEP_SOURCE = (
    "caps finished with another rod miss by a few hundredths of a millimetre, from memory, no source"
)


def step_rows(right: Assembly, turned: bool, what: str) -> tuple[Row, ...]:
    """Radial clearance against a step; a turned cap brings its own error to both sides, twice as much."""
    radial = facts.oil_clearance_mm(right) / 2
    step = 2 * STEP_MM if turned else STEP_MM
    left = radial - step
    return (
        facts.row("oil clearance, all round", facts.mm(radial), facts.mm(radial)),
        facts.row(f"{what}, estimate", facts.mm(0.0), facts.mm(step), facts.mm(radial), STEP_SOURCE),
        facts.row(
            "clearance left at the joint", facts.mm(radial), facts.mm(left), facts.mm(0.0),
            "the shaft must turn in oil", facts.stop("bound") if left <= 0 else facts.look("tight"),
        ),
    )  # fmt: skip


def step_sentence(right: Assembly, system: System) -> str:
    """Why a hundredth matters."""
    radial = facts.oil_clearance_mm(right) / 2
    return (
        "The big-end bore was finished with this cap the right way round on this rod. Any other way the two halves "
        f"do not meet: a step of {_fine(radial, system)} at the joint already uses up the whole oil clearance, and the "
        "shell wipes."
    )


def shell_lift_rows(right: Assembly, lift_mm: float) -> tuple[Row, ...]:
    """A shell held off its seat by its own tang."""
    radial = facts.oil_clearance_mm(right) / 2
    return (
        facts.row("shell off its seat", facts.mm(0.0), facts.mm(lift_mm), facts.mm(0.0), "the shell lies in its seat"),
        facts.row(
            "oil clearance there", facts.mm(radial), facts.mm(radial - lift_mm), facts.mm(0.0),
            "the shaft must turn in oil", facts.stop("bound") if lift_mm >= radial else facts.look("tight"),
        ),
        facts.row("lift that uses up the oil clearance", None, facts.mm(radial)),
    )  # fmt: skip


def _fine(value_mm: float, system: System) -> str:
    return show(value_mm, "length", system, 4 if system == "in" else 3)
