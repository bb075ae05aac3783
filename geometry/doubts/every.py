"""Every answer of a check under doubt, the one list that reports, plans and probabilities rest on."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from geometry.checks.section import checks
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
) -> tuple[Doubtful, ...]:
    """Figures of all checks and all certified clearances over the box, in the order of the report.

    Parameters
    ----------
    system : the units in which it is told where a method ended
    without : sections that are not asked for
    without_figures : the same of single figures, by section and name

    Raises
    ------
    GeometryError, InputError : nothing can be put together at nominal values
    """
    order = {check.key: check.order for check in checks()}
    near = () if CLEARANCES in without else doubtful_clearances(box)
    found = (*doubtful_figures(box, without, without_figures), *near)
    return tuple(sorted(found, key=lambda one: order[one.section]))
