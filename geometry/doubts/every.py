"""Every answer of a check under doubt, the one list that reports, plans and probabilities rest on."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from geometry.assembly import Assembly
from geometry.checks.section import checks
from geometry.clearance.full_turn import turn_of
from geometry.doubts.answers import Doubtful
from geometry.doubts.box import DoubtBox
from geometry.doubts.figures import doubtful_figures
from geometry.doubts.whole import doubtful_clearances
from geometry.units import System

CLEARANCES: Final = "clearances"


def answers_under_doubt(
    box: DoubtBox,
    system: System,
    without: Collection[str] = (),
    without_figures: Collection[tuple[str, str]] = (),
    assembly: Assembly | None = None,
) -> tuple[Doubtful, ...]:
    """Figures of all checks and all certified clearances over the box, in the order of the report.

    Parameters
    ----------
    system : the units in which it is told where a method ended
    without : sections that are not asked for
    without_figures : the same of single figures, by section and name
    assembly : the engine at nominal values, where it is put together already

    Raises
    ------
    GeometryError, InputError : nothing can be put together at nominal values
    """
    order = {check.key: check.order for check in checks()}
    near: tuple[Doubtful, ...] = ()
    if CLEARANCES not in without:
        near = doubtful_clearances(box, assembly, None if assembly is None else turn_of(assembly)[0])
    found = (*doubtful_figures(box, without, without_figures), *near)
    return tuple(sorted(found, key=lambda one: order[one.section]))
