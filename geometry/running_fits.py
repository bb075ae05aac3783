"""Running fits in closed form: oil clearance and the shells for it, end play, what warmth takes of a clearance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ShellSize:
    """One grade of shell that can be had: what it is called and how thick one shell is, mm."""

    name: str
    wall_mm: float


def clearance_mm(housing_mm: float, wall_mm: float, journal_mm: float) -> float:
    """Oil clearance on the diameter: the housing less two shells less the journal.

    >>> round(clearance_mm(2.6910, 0.0944, 2.5), 4)  # in inches as well
    0.0022
    """
    return housing_mm - 2.0 * wall_mm - journal_mm


def wall_change_mm(has_mm: float, wanted_mm: float) -> float:
    """By how much each of the two shells must be thicker (thinner below zero) for another oil clearance.

    >>> round(wall_change_mm(0.060, 0.050), 6)
    0.005
    """
    return (has_mm - wanted_mm) / 2.0


def with_grade_mm(has_mm: float, wall_mm: float, grade: ShellSize) -> float:
    """The oil clearance that two shells of a grade leave in place of those of ``wall_mm``, mm."""
    return has_mm - 2.0 * (grade.wall_mm - wall_mm)


def nearest_grade(
    has_mm: float, wall_mm: float, wanted_mm: float, grades: Sequence[ShellSize]
) -> ShellSize | None:
    """The grade that brings the oil clearance nearest to what is wanted; of two as near the thinner shell.

    Parameters
    ----------
    has_mm, wall_mm : the clearance as it is, and the wall of the shells that leave it
    wanted_mm : the clearance that is aimed at
    grades : those that can be had

    Returns
    -------
    None where none can be had.
    """

    def how_far(grade: ShellSize) -> tuple[float, float]:
        return round(abs(with_grade_mm(has_mm, wall_mm, grade) - wanted_mm), 9), grade.wall_mm

    return min(grades, key=how_far, default=None)


def warm_closing_mm(
    fit_mm: float, inner_per_k: float, inner_rise_k: float, outer_per_k: float, outer_rise_k: float
) -> float:
    """By how much a clearance on the diameter closes from cold to warm; below zero it opens.

    Parameters
    ----------
    fit_mm : diameter of the fit
    inner_per_k, outer_per_k : mean linear expansion of what runs inside and of what it runs in, 1/K
    inner_rise_k, outer_rise_k : how much warmer they are than when the clearance was measured, K

    Source
    ------
    Two circles that grow freely and evenly: ``D (alpha_in dT_in - alpha_out dT_out)``. A skirt is neither round nor
    evenly warm, and gives; the figure compares.
    """
    return fit_mm * (inner_per_k * inner_rise_k - outer_per_k * outer_rise_k)
