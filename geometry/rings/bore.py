"""A bore as measured: taper, out-of-round, and the gap of a ring at every height."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np

from geometry.arrays import Array
from geometry.errors import GeometryError
from geometry.rings.feeler import GapInterval
from geometry.rings.require import finite, not_negative, positive


@dataclass(frozen=True, slots=True)
class BoreSurvey:
    """Diameters of one bore, measured at several heights in two directions.

    Attributes
    ----------
    depth_mm : (n,) depth of each reading below the deck, mm, increasing
    along_mm : (n,) diameters along the crank axis, mm
    across_mm : (n,) diameters across it, in the thrust direction, mm
    resolution_mm : what the instrument can tell apart, mm
    """

    depth_mm: tuple[float, ...]
    along_mm: tuple[float, ...]
    across_mm: tuple[float, ...]
    resolution_mm: float = 0.0

    def __post_init__(self) -> None:
        if not self.depth_mm or not len(self.depth_mm) == len(self.along_mm) == len(self.across_mm):
            raise GeometryError(
                "survey_length", "bore", "the readings do not come in threes",
                "for every depth one diameter along and one across",
            )  # fmt: skip
        for value in (*self.along_mm, *self.across_mm):
            positive("bore.diameter", value)
        for value in self.depth_mm:
            finite("bore.depth", value)
        not_negative("bore.resolution", self.resolution_mm)
        if any(low <= high for high, low in zip(self.depth_mm[:-1], self.depth_mm[1:], strict=True)):
            raise GeometryError(
                "survey_order", "bore.depth", "the depths do not increase", "deck first, bottom last"
            )

    def gap_uncertainty_mm(self, one_mm: float, other_mm: float) -> float:
        """Tell how far a gap carried from one depth to another may be out, either way, because of the instrument.

        Each mean diameter is known to half a step either way; a diameter between two readings counts with its
        share of each. Nothing is lost where both depths rest on the same readings in the same shares.
        """
        shares = [np.interp([one_mm, other_mm], self.depth_mm, row) for row in np.eye(len(self.depth_mm))]
        return float(pi * self.resolution_mm / 2 * sum(abs(one - other) for one, other in shares))

    def diameter_mm(self, depth_mm: float | Array) -> Array:
        """Give the diameter of the circle with the bore's circumference, straight lines between readings.

        Parameters
        ----------
        depth_mm : scalar or (m,), mm below the deck; above the first and below the last reading, that reading
            holds

        Returns
        -------
        (m,) or () float, mm: the mean of the two diameters. An oval's true circumference exceeds that of the
        mean by about ``pi (a - b)^2 / (16 D)``, less than 0.0001 mm for 0.2 mm out-of-round on any bore over
        80 mm.
        """
        mean = (np.asarray(self.along_mm) + np.asarray(self.across_mm)) / 2
        return np.asarray(np.interp(depth_mm, self.depth_mm, mean), dtype=np.float64)

    def smallest(self, top_mm: float, bottom_mm: float) -> tuple[float, float]:
        """Find where the bore is smallest between two depths.

        Returns
        -------
        Depth and diameter, mm; the highest place where several are equal. Exact, because the diameter is made
        of straight lines: the smallest is at a reading or at an end.
        """
        return self._extreme(top_mm, bottom_mm, 1.0)

    def greatest(self, top_mm: float, bottom_mm: float) -> tuple[float, float]:
        """Find where the bore is widest between two depths; as ``smallest``."""
        return self._extreme(top_mm, bottom_mm, -1.0)

    def _extreme(self, top_mm: float, bottom_mm: float, sign: float) -> tuple[float, float]:
        if finite("bottom", bottom_mm) < finite("top", top_mm):
            raise GeometryError(
                "travel_order", "bottom", "the lower end lies above the upper one", "upper, then lower"
            )
        inner = [depth for depth in self.depth_mm if top_mm < depth < bottom_mm]
        places = np.array([top_mm, *inner, bottom_mm])
        diameters = self.diameter_mm(places)
        found = int(np.argmin(sign * diameters))
        return float(places[found]), float(diameters[found])


@dataclass(frozen=True, slots=True)
class GapAlongBore:
    """One ring's gap where its bore is tightest and where it is widest on the ring's way.

    Attributes
    ----------
    tightest, widest : what is known of the gap there, mm; below zero the ends meet before the ring gets there
    tightest_depth_mm, widest_depth_mm : depth below the deck; the gap is filed and checked at the tightest
    tightest_bore_mm, widest_bore_mm : diameter of the bore there
    placed : whether it is known where the gap was measured, or makes no difference
    """

    tightest: GapInterval
    widest: GapInterval
    tightest_depth_mm: float
    widest_depth_mm: float
    tightest_bore_mm: float
    widest_bore_mm: float
    placed: bool

    @property
    def worn(self) -> bool:
        """Whether the bore is wider at one place on the ring's way than at another."""
        return self.widest_bore_mm > self.tightest_bore_mm


def gap_at(survey: BoreSurvey, gap_mm: float, checked_mm: float, depth_mm: float | Array) -> Array:
    """Carry a gap measured at one depth to others.

    The ring's length along the wall stays, the wall's circumference does not: pi times the difference of diameter.

    Parameters
    ----------
    survey : the bore
    gap_mm : gap with the ring at ``checked_mm``
    checked_mm : depth below the deck at which it was measured, mm
    depth_mm : scalar or (m,) depths wanted, mm

    Returns
    -------
    (m,) or () float, gap, mm; below zero the ends meet before the ring gets there.
    """
    change = survey.diameter_mm(depth_mm) - survey.diameter_mm(checked_mm)
    return np.asarray(finite("gap", gap_mm) + pi * change, dtype=np.float64)


def gap_along_bore(
    survey: BoreSurvey, gap: GapInterval, checked_mm: float | None, top_mm: float, bottom_mm: float
) -> GapAlongBore:
    """Follow one ring from the top to the lowest place it reaches.

    Parameters
    ----------
    survey : the bore
    gap : what is known of the gap where it was measured
    checked_mm : depth below the deck at which that was, mm; None where nobody said: then anywhere in the bore
    top_mm, bottom_mm : depths below the deck of the ring at top and bottom dead centre, mm
    """
    tight, tight_mm = survey.smallest(top_mm, bottom_mm)
    wide, wide_mm = survey.greatest(top_mm, bottom_mm)
    anywhere = survey.depth_mm if checked_mm is None else (checked_mm,)

    def carried(to_mm: float) -> GapInterval:
        each = [
            (change, survey.gap_uncertainty_mm(at, to_mm))
            for at in anywhere
            for change in [float(gap_at(survey, 0.0, at, to_mm))]
        ]
        lower = gap.lower_mm + min(change - doubt for change, doubt in each)
        return GapInterval(lower, gap.upper_mm + max(change + doubt for change, doubt in each))

    placed = checked_mm is not None or len(survey.depth_mm) == 1
    return GapAlongBore(carried(tight), carried(wide), tight, wide, tight_mm, wide_mm, placed)
