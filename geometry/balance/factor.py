"""What share of the reciprocating weight belongs in a bob weight: derived from the layout, for any layout.

The counterweights turn with the crank, so they can take out what turns with it and nothing else. Of the first order
of each piston that is one half, the other half turns against the crank. Where those other halves cancel each other,
half of the reciprocating weight is exact; where they do not, half leaves the smallest peak and any other share only
moves it from one direction to another; and where the throws cancel each other, any share leaves the engine as it was.

Source: principal values of two banks on one pin, 2 cos^2 (V/2) and 2 sin^2 (V/2), so that a vee of 90 degrees is the
one for which a half is exact pin by pin (closed form, worked out).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from geometry.balance.phasors import middle_of_crank_mm, shake
from geometry.kinematics.layout import Layout

USUAL_FACTOR: Final = 0.5
"""Where the layout leaves it open; common practice, no source."""
CANCELLED: Final = 0.01
"""Share of the sum of all sizes below which vectors cancel: a pin offset leaves a little of any layout."""

FactorKind = Literal["exact", "part", "free"]


@dataclass(frozen=True, slots=True)
class BobFactor:
    """The engine's own factor.

    Attributes
    ----------
    kind : ``exact``: nothing of the first order is left; ``part``: what turns against the crank is left, whatever the
        factor; ``free``: the throws cancel each other, and the factor matters to the main bearings alone
    factor : the share; the usual one where it is free
    left : what turns against the crank and stays, over what one piston pushes with (couples over the half length of
        the crank, the larger of the two)
    pin_values : principal values of the first order of two banks on one pin, in those of one piston; None where no two
        bores share a pin
    """

    kind: FactorKind
    factor: float
    left: float
    pin_values: tuple[float, float] | None


def principal_values(bank_angle_deg: float) -> tuple[float, float]:
    """First order of two banks on one pin, up and sideways, in that of one piston.

    >>> [round(value, 3) for value in principal_values(90.0)]
    [1.0, 1.0]
    >>> [round(value, 3) for value in principal_values(60.0)]
    [1.5, 0.5]
    """
    half = math.radians(bank_angle_deg) / 2.0
    return 2.0 * math.cos(half) ** 2, 2.0 * math.sin(half) ** 2


def own_factor(layout: Layout) -> BobFactor:
    """The factor that leaves least of the first order, all pistons alike."""
    link, middle = layout.linkage, middle_of_crank_mm(layout)
    half_mm = max((layout.main_x_mm[-1] - layout.main_x_mm[0]) / 2.0, 1.0)
    first = shake(link, 1.0, middle, 1)
    pins = link.throw_mm * np.exp(1j * np.radians(link.pin_deg))
    whole = np.array([pins.sum(), (pins * (link.x_mm - middle)).sum() / half_mm])
    turning = np.array([first.force.with_crank, first.couple.with_crank / half_mm])
    counter = np.abs([first.force.against_crank, first.couple.against_crank / half_mm])
    all_mm = float(link.throw_mm.sum())
    left = float(counter.max()) / float(link.throw_mm.mean())
    values = _pin_values(layout)
    if np.abs(whole).max() < CANCELLED * all_mm:
        return BobFactor("free", USUAL_FACTOR, left, values)
    factor = float((np.conj(whole) @ turning).real / (np.conj(whole) @ whole).real)
    kind: FactorKind = "exact" if counter.max() < CANCELLED * all_mm else "part"
    return BobFactor(kind, factor, left, values)


def _pin_values(layout: Layout) -> tuple[float, float] | None:
    """Of a pin that two banks share; a split pin is two pins."""
    for site in layout.bores:
        if site.partner is not None:
            other = layout.site(site.partner)
            if abs(site.pin_deg - other.pin_deg) < 1e-9:
                return principal_values(abs(site.bank_deg - other.bank_deg))
    return None
