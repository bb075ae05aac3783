"""How fast the pistons move at worst, and where: the true peaks, every candidate looked at.

What the certified clearance search needs, bounds that no point of the motion exceeds, stands in ``laws``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Array
from geometry.kinematics.slider_crank import Linkage, Stroke, dead_centres, throw_state, wrap_deg


@dataclass(frozen=True, slots=True, eq=False)
class PeakSpeed:
    """Highest piston speed of each bore on one stroke; every array (n,).

    Attributes
    ----------
    speed_mm_per_rad : without sign, per radian of crank angle
    after_top_deg : crank angle after the bore's own true top dead centre
    crank_deg : the same instant in engine crank degrees
    """

    speed_mm_per_rad: Array
    after_top_deg: Array
    crank_deg: Array


@dataclass(frozen=True, slots=True, eq=False)
class PeakAcceleration:
    """Greatest piston acceleration of each bore over the whole turn; every array (n,).

    Attributes
    ----------
    acceleration_mm_per_rad2 : with its sign; negative pulls the piston towards the crank
    after_top_deg, crank_deg : as for ``PeakSpeed``
    """

    acceleration_mm_per_rad2: Array
    after_top_deg: Array
    crank_deg: Array


def _search_angles_rad(linkage: Linkage) -> Array:
    """Throw angles (m, n) once round, dense where the motion can change fast.

    With a rod hardly longer than throw plus offset everything happens near 90 and 270 degrees, where the rod
    comes close to lying across the bore, within an angle of about ``sqrt(l**2 - u**2) / sqrt(|u| r)``. A sinh
    spacing of that width follows it from ordinary engines to the last one that turns over.
    """
    halves = []
    for side in (-1.0, 1.0):
        u = np.abs(linkage.offset_mm + side * linkage.throw_mm)
        rise_mm = np.sqrt((linkage.rod_mm - u) * (linkage.rod_mm + u))
        width = np.minimum(2.0, rise_mm / np.sqrt(np.maximum(u, 1e-9 * linkage.rod_mm) * linkage.throw_mm))
        steps = np.linspace(-1.0, 1.0, 181)[:, None] * np.arcsinh(0.5 * np.pi / width)
        halves.append(side * 0.5 * np.pi + width * np.sinh(steps))
    return np.concatenate(halves)


def _curve(
    kind: Literal["acceleration", "jerk"], phi_rad: Array, linkage: Linkage, bore: NDArray[np.intp] | slice
) -> Array:
    """One derivative of the pin height per radian of throw angle, for the given bores."""
    motion = throw_state(phi_rad, linkage.throw_mm[bore], linkage.rod_mm[bore], linkage.offset_mm[bore])
    return motion.acceleration_mm_per_rad2 if kind == "acceleration" else motion.jerk_mm_per_rad3


def _roots(linkage: Linkage, kind: Literal["acceleration", "jerk"]) -> tuple[NDArray[np.intp], Array]:
    """Every throw angle at which a derivative changes sign, found by bisection of all brackets at once.

    Returns
    -------
    bore : (k,) int, index of the bore
    phi_rad : (k,) float, rad
    """
    start = _search_angles_rad(linkage)
    end = np.roll(start, -1, axis=0)
    end[-1] += 2.0 * np.pi
    positive = _curve(kind, start, linkage, slice(None)) >= 0.0
    row, bore = np.nonzero(positive != np.roll(positive, -1, axis=0))
    low, high, low_positive = start[row, bore], end[row, bore], positive[row, bore]
    for _ in range(64):  # halves a bracket of a few degrees down to the spacing of floating-point numbers
        middle = 0.5 * (low + high)
        same = (_curve(kind, middle, linkage, bore) >= 0.0) == low_positive
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    return bore, 0.5 * (low + high)


def _greatest(bore: NDArray[np.intp], size: Array, after_top_deg: Array, bores: int) -> NDArray[np.intp]:
    """Index of the greatest candidate of each bore; of equal ones the first after top dead centre."""
    chosen = []
    for index in range(bores):
        mine = np.flatnonzero(bore == index)
        equal = mine[size[mine] >= size[mine].max() * (1.0 - 1e-12)]
        chosen.append(equal[np.argmin(after_top_deg[equal])])
    return np.array(chosen, dtype=np.intp)


def _after_top_deg(linkage: Linkage, bore: NDArray[np.intp], phi_rad: Array, top_deg: Array) -> Array:
    """Crank angle after the bore's own top dead centre at which its throw stands at phi."""
    crank_deg = linkage.sense * (np.degrees(phi_rad) - linkage.pin_deg[bore] + linkage.bank_deg[bore])
    return wrap_deg(crank_deg - top_deg[bore])


def peak_speed(linkage: Linkage, stroke: Stroke = "down") -> PeakSpeed:
    """Highest piston speed on the way down (or up) and the crank angle at which it occurs.

    It occurs where the acceleration passes through zero; every such angle is found and the fastest taken.
    With a pin offset the two strokes differ. Times ``2 pi rpm / 60`` it is a speed in mm/s.
    """
    top_deg = dead_centres(linkage).top_deg
    bore, phi_rad = _roots(linkage, "acceleration")
    motion = throw_state(phi_rad, linkage.throw_mm[bore], linkage.rod_mm[bore], linkage.offset_mm[bore])
    velocity = linkage.sense * motion.velocity_mm_per_rad
    downward = velocity < 0.0
    keep = downward if stroke == "down" else ~downward
    bore, velocity = bore[keep], velocity[keep]
    after_deg = _after_top_deg(linkage, bore, phi_rad[keep], top_deg)
    best = _greatest(bore, np.abs(velocity), after_deg, linkage.x_mm.size)
    return PeakSpeed(np.abs(velocity[best]), after_deg[best], wrap_deg(after_deg[best] + top_deg))


def peak_acceleration(linkage: Linkage) -> PeakAcceleration:
    """Greatest piston acceleration of the turn, by size, and the crank angle at which it occurs.

    In ordinary engines that is at top dead centre, or beside it with a pin offset; with rods shorter than
    about 1.5 throws it moves to where the rod swings over. Every angle at which the jerk passes through zero
    is looked at, so neither case is assumed.
    """
    top_deg = dead_centres(linkage).top_deg
    bore, phi_rad = _roots(linkage, "jerk")
    acceleration = _curve("acceleration", phi_rad, linkage, bore)
    after_deg = _after_top_deg(linkage, bore, phi_rad, top_deg)
    best = _greatest(bore, np.abs(acceleration), after_deg, linkage.x_mm.size)
    return PeakAcceleration(acceleration[best], after_deg[best], wrap_deg(after_deg[best] + top_deg))
