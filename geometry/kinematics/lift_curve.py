"""Lift of a valve against crank angle, in closed form.

The curve is that of a flat follower on the lobe that the file describes, a base circle and a nose circle joined by
straight flanks. A flat follower stands as high as the lobe reaches towards it, which is the lobe's support function
(Norton, *Cam Design and Manufacturing Handbook*, flat-faced followers; from memory), so with psi the cam angle from
full lift, d the distance of the two centres and rho the rocker ratio

    y(psi) = rho (d cos psi + nose - base / 2) = A (cos psi - c),   A = rho d,   c = (base / 2 - nose) / d

above the base circle, and zero on it. Where flank meets base circle a real lobe has a ramp in place of the corner:
within ``ramp`` of the seat y is rounded to (y + ramp)^2 / (4 ramp), which meets both sides without a step in speed.
Full lift h and duration D, counted at a lift a, fix A and c in the same form: A (1 - c) = h and
A (cos(kappa D / 2) - c) = a with kappa the cam's turns per turn of the crank, so
c = (h cos(kappa D / 2) - a) / (h - a).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from geometry.arrays import Array


@dataclass(frozen=True, slots=True)
class LiftCurve:
    """Lift against crank angle, as above.

    Attributes
    ----------
    scale_mm : A
    shut : c, the cosine of the cam angle from full lift to the seat
    ramp_mm : height of the ramp
    rate : kappa, turns of the cam per turn of the crank

    Examples
    --------
    Shut at cos 60 deg = 0.5 of the cam, so open for 240 degrees of the crank:

    >>> curve = LiftCurve(scale_mm=20.0, shut=0.5, ramp_mm=0.1, rate=0.5)
    >>> round(curve.duration_deg, 9), curve.lift_mm([-180.0, 0.0]).tolist()
    (240.0, [0.0, 10.0])
    """

    scale_mm: float
    shut: float
    ramp_mm: float
    rate: float

    @property
    def full_mm(self) -> float:
        """Full lift."""
        return self.scale_mm * (1.0 - self.shut)

    @property
    def duration_deg(self) -> float:
        """Crank angle from seat to seat, the ramps left out."""
        return float(2.0 * np.degrees(np.arccos(self.shut)) / self.rate)

    def lift_mm(self, from_full_deg: ArrayLike) -> Array:
        """Lift (...), mm, at crank angles (...), deg, counted from full lift."""
        y = self.scale_mm * (
            np.cos(self.rate * np.radians(np.asarray(from_full_deg, dtype=float))) - self.shut
        )
        return rounded(y, self.ramp_mm)


def rounded(y_mm: Array, ramp_mm: Array | float) -> Array:
    """The lift (...), mm, with its corner at the seat rounded.

    Parameters
    ----------
    y_mm : (...) height above the seat, below zero while the lobe does not reach the follower
    ramp_mm : (...) the lift is zero below -ramp and y itself above +ramp
    """
    near = np.clip(y_mm + ramp_mm, 0.0, 2.0 * ramp_mm)
    return np.where(y_mm >= ramp_mm, y_mm, near * near / (4.0 * ramp_mm))
