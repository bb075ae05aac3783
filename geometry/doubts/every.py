"""Every answer of a check under doubt, the one list that reports, plans and probabilities rest on."""

from __future__ import annotations

from geometry.checks.section import checks
from geometry.doubts.answers import Doubtful
from geometry.doubts.box import DoubtBox
from geometry.doubts.figures import doubtful_figures
from geometry.doubts.whole import doubtful_clearances
from geometry.units import System


def answers_under_doubt(box: DoubtBox, system: System) -> tuple[Doubtful, ...]:
    """Figures of all checks and all certified clearances over the box, in the order of the report.

    Parameters
    ----------
    system : the units in which it is told where a method ended

    Raises
    ------
    GeometryError, InputError : nothing can be put together at nominal values
    """
    answers = (*doubtful_figures(box), *doubtful_clearances(box))
    place = {check.key: check.order for check in checks()}
    return tuple(sorted(answers, key=lambda answer: place[answer.section]))
