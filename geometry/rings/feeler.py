"""What a pair of feeler blades says about a gap: an interval, and a verdict that knows it.

A blade that goes proves the gap is at least as wide as the blade; a blade that is tight proves it is
narrower. Nothing between the two is known, and no verdict here pretends that it is. Advice names blades that there
are: what a set cannot show is rounded to the safe side, the number itself is kept elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, inf, isinf
from typing import Final, Literal

from geometry.rings.gap import GapTarget
from geometry.rings.require import positive
from geometry.units import System, show, show_thou

Verdict = Literal["below", "within", "above", "cannot_tell"]
STEP_MM: Final[dict[System, float]] = {"in": 0.0254, "mm": 0.05}
"""From one blade of a set to the next: a thousandth of an inch, or 0.05 mm; common practice, no source."""
SAME_STEP: Final = 0.05
"""Share of a step by which no two blades differ: 0.05 mm is the blade of 2 thou."""


def blade_mm(value_mm: float, system: System, *, up: bool, step_mm: float | None = None) -> float:
    """The next blade at or above a length, mm, or the next at or below it.

    Parameters
    ----------
    up : whether the thicker is the safe side: for a least gap that has to be there
    step_mm : from blade to blade; None: of the usual set

    Examples
    --------
    >>> round(blade_mm(0.3582, "in", up=True) / 0.0254, 6), round(blade_mm(0.3582, "mm", up=False), 6)
    (15.0, 0.35)
    """
    step = STEP_MM[system] if step_mm is None else positive("step", step_mm)
    steps = value_mm / step
    whole = round(steps) if abs(steps - round(steps)) <= SAME_STEP else (ceil if up else floor)(steps)
    return whole * step


def blade_text(blade: float, system: System) -> str:
    """A blade, or so many of them, as it is stamped: ``15 thou``, ``0.35 mm``."""
    if system == "mm":
        return show(blade, "length", "mm")
    return show_thou(blade, 0 if abs(blade / 0.0254 - round(blade / 0.0254)) < 1e-6 else 1)


@dataclass(frozen=True, slots=True)
class GapInterval:
    """A gap known to lie in ``lower_mm <= gap < upper_mm``; the upper end may be infinite.

    Both ends alike stand for a gap that is known exactly, as a designed one is.
    """

    lower_mm: float
    upper_mm: float


@dataclass(frozen=True, slots=True)
class GapVerdict:
    """What can be said of a gap against its target.

    Attributes
    ----------
    state : ``below`` the least, ``within`` both limits, ``above`` the greatest, or ``cannot_tell``
    gap : what is known of the gap
    target : what was wanted
    settle_mm : blade thicknesses that would settle it, thinnest first: the gap is at least this wide if the
        blade goes, and narrower if it is tight; empty unless ``cannot_tell``
    """

    state: Verdict
    gap: GapInterval
    target: GapTarget
    settle_mm: tuple[float, ...] = ()


def judge_gap(gap: GapInterval, target: GapTarget) -> GapVerdict:
    """Compare an interval with a target, limits included on the good side.

    Parameters
    ----------
    gap : what is known, mm
    target : least and greatest gap, mm

    Returns
    -------
    A verdict that holds for every gap in the interval, or ``cannot_tell`` with the readings that would settle
    it.
    """
    greatest = inf if target.max_mm is None else target.max_mm
    if gap.lower_mm >= target.min_mm and gap.upper_mm <= greatest:
        return GapVerdict("within", gap, target)
    if gap.upper_mm <= target.min_mm:
        return GapVerdict("below", gap, target)
    if gap.lower_mm > greatest:
        return GapVerdict("above", gap, target)
    return GapVerdict("cannot_tell", gap, target, _settling(gap, target.min_mm, greatest))


def judge_along(tightest: GapInterval, widest: GapInterval, target: GapTarget) -> GapVerdict:
    """Judge a ring all along its bore: against the least gap where it is tightest, the greatest where it is widest.

    Too tight goes before too wide: a worn bore can be both.

    Returns
    -------
    The verdict with the gap at the place that decides; the tightest where all is well.
    """
    low = judge_gap(tightest, GapTarget(target.min_mm, None, target.source))
    high = judge_gap(widest, GapTarget(-inf, target.max_mm, target.source))
    for wanted in ("below", "above", "cannot_tell"):
        for found in (low, high):
            if found.state == wanted:
                return GapVerdict(found.state, found.gap, target, found.settle_mm)
    return GapVerdict("within", tightest, target)


def _settling(gap: GapInterval, least_mm: float, greatest_mm: float) -> tuple[float, ...]:
    """List the limits that lie inside the interval: a blade of that thickness splits it where it matters.

    Where the blade that went is itself the greatest gap allowed, only one a little thicker tells the two
    apart; the middle of what is left is offered.
    """
    inside = [limit for limit in (least_mm, greatest_mm) if gap.lower_mm < limit < gap.upper_mm]
    if gap.lower_mm == greatest_mm and not isinf(gap.upper_mm):
        inside.append((gap.lower_mm + gap.upper_mm) / 2)
    return tuple(inside)


def blades_settle(verdict: GapVerdict, resolution_mm: float) -> bool:
    """Tell whether a set of blades with this step can settle the verdict at all.

    Blades come in steps. Where the blade that goes and the tight one are already neighbours, a limit between
    them is out of the set's reach, and a stack of two blades or another instrument is needed.
    """
    if verdict.state != "cannot_tell":
        return True
    return verdict.gap.upper_mm - verdict.gap.lower_mm > positive("resolution", resolution_mm) * (1 + 1e-9)
