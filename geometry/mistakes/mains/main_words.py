"""Main bearing caps: clearances by rule, as the engine file gives none."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.checks.section import Row
from geometry.mistakes.bearings.bearing_words import step_binds, step_mm, step_rows
from geometry.mistakes.mistake import Spot
from geometry.trade import BEARING_PER_MM
from geometry.units import System, show_fine

RULE = f"{BEARING_PER_MM[1]:.4f} in per inch of journal, a bearing maker's note; the engine file gives no main bearing"


def main_rows(assembly: Assembly, turned: bool) -> tuple[Row, ...]:
    """Oil clearance by rule, on the diameter, against the step."""
    clearance = BEARING_PER_MM[1] * assembly.spec.crank.main.diameter_mm
    return step_rows(clearance, turned, "step in the bore", RULE)


def step_takes(assembly: Assembly, turned: bool, system: System) -> str:
    """How much of the oil clearance the step takes, in words."""
    clearance = BEARING_PER_MM[1] * assembly.spec.crank.main.diameter_mm
    if step_binds(clearance, turned):
        return "all of the oil clearance"
    step, has = (show_fine(value, system) for value in (step_mm(turned), clearance))
    return f"{step} of the {has} of oil clearance"


def main_spot(assembly: Assembly, main: int, text: str) -> Spot:
    """The joint of a main cap, seen from below."""
    x = assembly.layout.main_x_mm[main - 1]
    at = (float(x), assembly.spec.crank.main.diameter_mm / 2, assembly.spec.block.web_bottom_mm)
    return Spot(0.0, "below", None, (f"main_cap {main}",), "stop", None, at, text)


def needs_two_mains(assembly: Assembly, main: int) -> str | None:
    """Exchanging takes two."""
    return "there is only one main cap" if len(assembly.layout.main_x_mm) < 2 else None


def neighbour_main(assembly: Assembly, main: int) -> int:
    """The cap that this one is exchanged with: the next, or the one before at the rear end."""
    return main + 1 if main < len(assembly.layout.main_x_mm) else main - 1
