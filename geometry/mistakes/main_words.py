"""Main bearing caps: clearances by rule, as the engine file gives none."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.checks.section import Row
from geometry.mistakes import facts
from geometry.mistakes.bearing_words import STEP_MM, STEP_SOURCE
from geometry.mistakes.mistake import Spot

CLEARANCE_PER_JOURNAL = 0.001
"""Oil clearance on the diameter, 0.00075 to 0.0010 in per inch of journal: a bearing maker's note."""
RULE = "0.0010 in per inch of journal, a bearing maker's note; the engine file gives no main bearing"


def main_rows(assembly: Assembly, turned: bool) -> tuple[Row, ...]:
    """Radial clearance against the step."""
    radial = CLEARANCE_PER_JOURNAL * assembly.spec.crank.main.diameter_mm / 2
    step = 2 * STEP_MM if turned else STEP_MM
    return (
        facts.row("oil clearance, all round, by rule", facts.mm(radial), facts.mm(radial), None, RULE),
        facts.row("step in the bore, estimate", facts.mm(0.0), facts.mm(step), facts.mm(radial), STEP_SOURCE),
        facts.row(
            "clearance left at the joint", facts.mm(radial), facts.mm(radial - step), facts.mm(0.0),
            "the shaft must turn in oil", facts.stop("bound") if step >= radial else facts.look("tight"),
        ),
    )  # fmt: skip


def main_spot(assembly: Assembly, main: int, text: str) -> Spot:
    """The joint of a main cap, seen from below."""
    x = assembly.layout.main_x_mm[main - 1]
    at = (float(x), assembly.spec.crank.main.diameter_mm / 2, assembly.spec.block.web_bottom_mm)
    return Spot(0.0, "below", None, (f"main_cap {main}",), "stop", None, at, text)


def needs_two_mains(assembly: Assembly, main: int) -> str | None:
    """Exchanging takes two."""
    del main
    return "there is only one main cap" if len(assembly.layout.main_x_mm) < 2 else None


def neighbour_main(assembly: Assembly, main: int) -> int:
    """The cap that this one is exchanged with: the next, or the one before at the rear end."""
    return main + 1 if main < len(assembly.layout.main_x_mm) else main - 1
