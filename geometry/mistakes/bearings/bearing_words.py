"""What a step at the joint of rod and cap does to a bearing."""

from __future__ import annotations

from dataclasses import dataclass, replace

from geometry.assembly import Assembly
from geometry.checks.fits import oil_clearance_mm, rod_oil_fit
from geometry.checks.section import Row
from geometry.mistakes import facts
from geometry.mistakes.mistake import Spot
from geometry.trade import FitRange
from geometry.units import System, show

STEP_MM = 0.03
"""Step that a cap leaves when it is not the one the bore was finished with. From memory: caps are located only
by their bolts or serrations, and bores finished with another cap miss by a few hundredths; no source."""
LOOSE = frozenset({"knocks", "knocks_load", "low_oil_pressure"})
"""What a bearing shows when the engine runs and its clearance is far too large, be it loose, wiped or starved: oil
runs out at its sides, and the load is taken up with a blow. Common practice, no source."""
STEP_SOURCE = (
    "halves of a bore are finished together; another cap misses by a few hundredths of a millimetre, from memory, no "
    "source"
)
ROUNDING_MM = 1e-9
OIL = "oil clearance, on the diameter"


@dataclass(frozen=True, slots=True)
class JointStep:
    """The two halves of a bearing's bore, out of line.

    A cap that stands out of line by s leaves its journal the diameter less s: from the rod's wall on one side of the
    joint to the cap's on the other.

    Attributes
    ----------
    clearance_mm : oil clearance as designed, on the diameter
    step_mm : how far the cap stands out of line; zero where the bore was finished with it so
    fit : what the oil clearance should be, on the diameter; None where nothing says
    rule : where the clearance comes from, where nobody gives it; empty where it is written or measured
    """

    clearance_mm: float
    step_mm: float
    fit: FitRange | None
    rule: str = ""

    @property
    def left_mm(self) -> float:
        """Oil clearance left across the joint, on the diameter."""
        return self.clearance_mm - self.step_mm

    @property
    def binds(self) -> bool:
        """Whether the step takes up all of the oil clearance."""
        return self.left_mm <= ROUNDING_MM


def step_mm(turned: bool, strange: bool) -> float:
    """How far a cap stands out of line; turned, a cap brings its own error to both sides, twice as much.

    Parameters
    ----------
    turned : the cap stands back to front
    strange : it is another bearing's
    """
    return 2 * STEP_MM if turned else STEP_MM if strange else 0.0


def rod_step(assembly: Assembly, bore: int) -> JointStep:
    """The big end of one bore as put together."""
    design, build = assembly.design(bore), assembly.built.bore(bore)
    step = step_mm(build.cap_turned, build.cap_from not in (None, bore))
    return JointStep(oil_clearance_mm(design), step, rod_oil_fit(design))


def least_oil(fit: FitRange | None) -> tuple[float, str]:
    """The least oil clearance that is wanted, on the diameter, and who says so."""
    if fit is None or fit.least_mm is None:
        return 0.0, "the shaft must turn in oil"
    return fit.least_mm, fit.source.text


def oil_left(left_mm: float, fit: FitRange | None, otherwise: str = "a step in it") -> facts.Judged:
    """The verdict on what is left of an oil clearance, on the diameter.

    Parameters
    ----------
    otherwise : what is wrong with it all the same, where as much is left as is wanted
    """
    if left_mm <= ROUNDING_MM:
        return facts.stop("bound")
    return facts.look("tight" if left_mm < least_oil(fit)[0] - ROUNDING_MM else otherwise)


def step_rows(step: JointStep, what: str) -> tuple[Row, ...]:
    """Oil clearance on the diameter against a step.

    Parameters
    ----------
    what : the step in words
    """
    design, left, (least_mm, source) = step.clearance_mm, step.left_mm, least_oil(step.fit)
    return (
        facts.mm_row(f"{what}, estimate", 0.0, step.step_mm, 0.0, STEP_SOURCE, facts.stop("out of line")),
        facts.mm_row(
            "clearance left across the joint, on the diameter", design, left, least_mm, source,
            oil_left(left, step.fit),
        ),
        facts.mm_row(OIL + (", by rule" if step.rule else ""), design, design, None, step.rule),
    )  # fmt: skip


def step_words(step: JointStep, system: System) -> str:
    """The step with its size, for the head of a picture."""
    return f"step of {_fine(step.step_mm, system)} at the joint"


def step_sentence(step: JointStep, system: System) -> str:
    """Why a hundredth matters."""
    uses = "all" if step.binds else _fine(step.step_mm, system)
    return (
        "The big-end bore was finished with this cap the right way round on this rod. Any other way the two halves "
        f"do not meet: the step at the joint, by estimate {_fine(step.step_mm, system)}, takes {uses} of the "
        f"{_fine(step.clearance_mm, system)} of oil clearance, and the shell wipes."
    )


def joint_spot(
    wrong: Assembly, bore: int, bodies: tuple[str, ...], text: str, drawing: str = "joint"
) -> Spot:
    """The joint of rod and cap on one side, with the crank at the bottom."""
    spot = facts.big_end_spot(
        wrong, bore, bodies, (0.0, wrong.design(bore).rod.big_end.bore_mm / 2, 0.0), text
    )
    return replace(spot, drawing=drawing)


def _fine(value_mm: float, system: System) -> str:
    return show(value_mm, "length", system, 4 if system == "in" else 3)
