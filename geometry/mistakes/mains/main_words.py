"""Main bearing caps: their oil clearance as written or measured, by rule where nobody gives it."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.checks.fit_kinds import MAIN_OIL
from geometry.checks.fit_limits import main_oil_fit
from geometry.checks.fit_values import mains
from geometry.checks.section import Row
from geometry.mistakes.bearings.bearing_words import JointStep, step_mm, step_rows
from geometry.mistakes.mistake import Spot
from geometry.trade import BEARING_PER_MM
from geometry.units import System, show_fine

RULE = f"{BEARING_PER_MM[1]:.4f} in per inch of journal, a bearing maker's note; the engine file gives no main bearing"


def main_step(assembly: Assembly, main: int) -> JointStep:
    """One main bearing as put together, with the oil clearance that the check of fits has for it; else by rule."""
    built, journal_mm = assembly.built, assembly.spec.crank.main.diameter_mm
    strange = built.main_cap_order is not None and built.main_cap_order[main - 1] != main
    step = step_mm(main in built.main_cap_turned, strange)
    fit = main_oil_fit(assembly.spec)
    for held in mains(assembly):
        if held.kind is MAIN_OIL and held.main == main:
            return JointStep(held.value_mm, step, fit)
    return JointStep(BEARING_PER_MM[1] * journal_mm, step, fit, RULE)


def main_rows(step: JointStep) -> tuple[Row, ...]:
    """Oil clearance on the diameter against the step."""
    return step_rows(step, "step in the bore")


def step_takes(step: JointStep, system: System) -> str:
    """How much of the oil clearance the step takes, in words."""
    if step.binds:
        return "all of the oil clearance"
    takes, has = (show_fine(value, system) for value in (step.step_mm, step.clearance_mm))
    return f"{takes} of the {has} of oil clearance"


def main_spot(assembly: Assembly, main: int, text: str) -> Spot:
    """The joint of a main cap, seen from below."""
    x = assembly.layout.main_x_mm[main - 1]
    at = (float(x), assembly.spec.crank.main.diameter_mm / 2, assembly.spec.block.web_bottom_mm)
    return Spot(0.0, "below", None, (f"main_cap {main}",), "stop", None, at, text, "joint")


def needs_two_mains(assembly: Assembly, main: int) -> str | None:
    """Exchanging takes two."""
    return "there is only one main cap" if len(assembly.layout.main_x_mm) < 2 else None


def neighbour_main(assembly: Assembly, main: int) -> int:
    """The cap that this one is exchanged with: the next, or the one before at the rear end."""
    return main + 1 if main < len(assembly.layout.main_x_mm) else main - 1
