"""Exact slider-crank motion of every bore at every crank angle, in closed form.

Seen along the crank axis, in the frame B of a bore (+z along the bore, +y across it): with the throw at angle
phi about +x from the bore's axis, the crankpin is at ``(-r sin phi, r cos phi)`` and the piston pin at
``(d, s)``. The rod closes the triangle, so with ``u = d + r sin phi`` the pin height is
``s = r cos phi + sqrt(l**2 - u**2)``.

All functions are vectorised: a crank angle of shape (...) gives an answer of shape (..., n_bores).
Source of the offset form: KMODDL, Cornell University, tutorial "Offset slider cranks"; without offset it is
Heywood, *Internal Combustion Engine Fundamentals*, 1st ed., section 2.2 (equation numbers not confirmed).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from geometry.arrays import Array
from geometry.errors import GeometryError
from geometry.kinematics.poses import compose, rot_x_deg, translation

Stroke = Literal["down", "up"]


@dataclass(frozen=True, slots=True, eq=False)
class Linkage:
    """The numbers that move the assembly, one entry per bore.

    Attributes
    ----------
    x_mm : (n,) position of the rod's centre plane along the crank axis (frame E)
    bank_deg : (n,) rotation about +x that takes +z to the bore axis; left bank positive
    pin_deg : (n,) angle of the crankpin about +x from +z at crank angle zero
    throw_mm : (n,) crank radius
    rod_mm : (n,) rod length between centres
    offset_mm : (n,) pin offset d along +y of the bore frame
    sense : +1 when the running rotation is positive about +x (clockwise seen from the front), else -1

    Raises
    ------
    GeometryError
        code ``rod_too_short`` when a rod is not longer than throw plus pin offset: the crank cannot turn.
    ValueError
        when the arrays differ in shape, a number is not finite, a throw is not above zero, or ``sense`` is
        neither +1 nor -1.
    """

    x_mm: Array
    bank_deg: Array
    pin_deg: Array
    throw_mm: Array
    rod_mm: Array
    offset_mm: Array
    sense: int

    def __post_init__(self) -> None:
        columns = (self.x_mm, self.bank_deg, self.pin_deg, self.throw_mm, self.rod_mm, self.offset_mm)
        if len({np.shape(column) for column in columns}) != 1 or np.ndim(self.x_mm) != 1:
            raise ValueError("a linkage needs one entry per bore in every array")
        if not np.isfinite(columns).all():
            raise ValueError("a linkage needs finite numbers")
        if self.sense not in (1, -1):
            raise ValueError(f"the sense of rotation is +1 or -1, not {self.sense}")
        if not (self.throw_mm > 0.0).all():
            raise ValueError("every throw must be longer than zero")
        self._refuse_short_rods()

    def _refuse_short_rods(self) -> None:
        reach_mm = self.throw_mm + np.abs(self.offset_mm)
        short = np.flatnonzero(self.rod_mm <= reach_mm)
        if short.size:
            first = short[0]
            raise GeometryError(
                "rod_too_short",
                "rod.length",
                f"a rod of {self.rod_mm[first]:g} mm between centres cannot pass a throw of "
                f"{self.throw_mm[first]:g} mm with a pin offset of {abs(self.offset_mm[first]):g} mm",
                f"it must be longer than {reach_mm[first]:g} mm",
            )


@dataclass(frozen=True, slots=True, eq=False)
class MotionState:
    """Where each piston and rod is, and how that changes per radian of crank angle.

    Every array has shape (..., n). Derivatives are taken along the running direction, so a piston that goes
    down as the engine turns has a negative velocity whichever way round the engine runs.

    Attributes
    ----------
    pin_height_mm : piston pin above the crank axis, along the bore
    rod_deg : rod's lean about +x from the bore's axis
    velocity_mm_per_rad, acceleration_mm_per_rad2, jerk_mm_per_rad3 : derivatives of ``pin_height_mm``
    rod_rate_per_rad, rod_acceleration_per_rad2 : derivatives of the rod's lean taken in radians
    """

    pin_height_mm: Array
    rod_deg: Array
    velocity_mm_per_rad: Array
    acceleration_mm_per_rad2: Array
    jerk_mm_per_rad3: Array
    rod_rate_per_rad: Array
    rod_acceleration_per_rad2: Array


@dataclass(frozen=True, slots=True, eq=False)
class SpeedState:
    """A motion state at one engine speed, in the units of forces and fasteners; each array (..., n).

    Attributes
    ----------
    velocity_m_s, acceleration_m_s2 : of the piston along its bore, away from the crank positive
    """

    velocity_m_s: Array
    acceleration_m_s2: Array


@dataclass(frozen=True, slots=True, eq=False)
class DeadCentres:
    """True dead centres of each bore, where throw and rod lie in one line; every array (n,).

    Attributes
    ----------
    top_deg, bottom_deg : crank angle of the highest and of the lowest piston position, from 0 to below 360
    down_stroke_deg : crank angle from top to bottom; 180 without a pin offset
    top_height_mm, bottom_height_mm : pin above the crank axis there
    stroke_mm : their difference; with a pin offset a little more than twice the throw
    """

    top_deg: Array
    bottom_deg: Array
    down_stroke_deg: Array
    top_height_mm: Array
    bottom_height_mm: Array
    stroke_mm: Array


@dataclass(frozen=True, slots=True, eq=False)
class Poses:
    """Poses of everything that moves, measured in the engine frame E.

    Attributes
    ----------
    X_EC : (..., 4, 4) crank; C and E agree at crank angle zero
    X_EP : (..., n, 4, 4) piston; origin on the bore's axis at pin height, +z to the crown
    X_ER : (..., n, 4, 4) rod; origin at the big-end centre, +z to the small end
    """

    X_EC: Array
    X_EP: Array
    X_ER: Array


def wrap_deg(angle_deg: ArrayLike) -> Array:
    """Angles brought into one turn, from 0 to below 360.

    What rounding left less than 1e-11 deg short of a full turn counts as zero, so that a piston standing at
    its own dead centre never reads 360.

    Parameters
    ----------
    angle_deg : (...) float, deg
    """
    wrapped = np.mod(np.asarray(angle_deg, dtype=float), 360.0)
    return np.where(wrapped > 360.0 - 1e-11, 0.0, wrapped)


def pin_throw_deg(linkage: Linkage, crank_deg: ArrayLike) -> Array:
    """Angle phi of each throw about +x from the axis of the bore it serves; continuous, not wrapped.

    Parameters
    ----------
    crank_deg : (...) float, deg in the running direction

    Returns
    -------
    (..., n) float, deg
    """
    turned_deg = linkage.sense * np.asarray(crank_deg, dtype=float)[..., None]
    return np.asarray(turned_deg + (linkage.pin_deg - linkage.bank_deg))


def rod_triangle(
    phi_rad: Array, throw_mm: Array, rod_mm: Array, offset_mm: Array
) -> tuple[Array, Array, Array, Array]:
    """The triangle that the rod closes, in the frame of the bore: the one place where the slider-crank is written.

    Parameters
    ----------
    phi_rad : angle of the throw from the bore axis, about +x; it and the lengths, mm, broadcast together
    throw_mm, rod_mm, offset_mm : r, l and d

    Returns
    -------
    across, along : ``r sin phi`` and ``r cos phi``: the crankpin stands at (-across, along)
    u : ``d + r sin phi``, how far the rod reaches across the bore, mm
    q : ``sqrt(l**2 - u**2)``, how far it reaches along it, mm; the piston pin stands at ``along + q``
    """
    across, along = throw_mm * np.sin(phi_rad), throw_mm * np.cos(phi_rad)
    u = offset_mm + across
    return across, along, u, np.sqrt((rod_mm - u) * (rod_mm + u))


def top_lean_deg(throw_mm: ArrayLike, rod_mm: ArrayLike, offset_mm: ArrayLike) -> Array:
    """How far before the bore axis, about +x, throw and rod lie stretched in one line at top dead centre.

    Parameters
    ----------
    throw_mm, rod_mm, offset_mm : (...) that broadcast together

    Returns
    -------
    (...) float, deg; below zero for an offset below zero
    """
    reach_mm = np.asarray(rod_mm, dtype=float) + np.asarray(throw_mm, dtype=float)
    return np.asarray(np.degrees(np.arcsin(np.asarray(offset_mm, dtype=float) / reach_mm)))


def throw_state(phi_rad: Array, throw_mm: Array, rod_mm: Array, offset_mm: Array) -> MotionState:
    """Motion of the bare linkage per radian of its own throw angle phi about +x.

    With b the rod's lean, ``l sin b = -u`` and ``l cos b = q``. Differentiating these, rather than the square
    root, keeps every derivative short: ``q b' = -u'``, ``q b'' = r sin phi - u b'**2``,
    ``q b''' = r cos phi + q b'**3 - 3 u b' b''``, and ``q' = u b'``.

    Parameters
    ----------
    phi_rad : (..., n) float, rad
    throw_mm, rod_mm, offset_mm : (n,) float, mm

    Returns
    -------
    MotionState : derivatives per radian of phi
    """
    across, along, u, q = rod_triangle(phi_rad, throw_mm, rod_mm, offset_mm)
    rate = -along / q
    rate_squared = rate * rate
    swing = (across - u * rate_squared) / q
    rate_times_swing = rate * swing
    swing_rate = (along - 3.0 * u * rate_times_swing) / q + rate * rate_squared
    return MotionState(
        pin_height_mm=along + q,
        rod_deg=np.degrees(np.arcsin(u / -rod_mm)),
        velocity_mm_per_rad=u * rate - across,
        acceleration_mm_per_rad2=u * swing - q * rate_squared - along,
        jerk_mm_per_rad3=across + u * (swing_rate - rate * rate_squared) - 3.0 * q * rate_times_swing,
        rod_rate_per_rad=rate,
        rod_acceleration_per_rad2=swing,
    )


def state(linkage: Linkage, crank_deg: ArrayLike) -> MotionState:
    """Position and derivatives of every piston and rod at the given crank angles.

    Parameters
    ----------
    crank_deg : (...) float, deg in the running direction; any number of turns

    Returns
    -------
    MotionState : arrays (..., n), derivatives per radian of crank angle in the running direction

    Examples
    --------
    At top dead centre the acceleration is r (1 + r / l), towards the crank:

    >>> one = Linkage(*(np.array([v]) for v in (0.0, 0.0, 0.0, 30.0, 120.0, 0.0)), sense=1)
    >>> state(one, 0.0).acceleration_mm_per_rad2.tolist()
    [-37.5]
    """
    phi_rad = np.radians(pin_throw_deg(linkage, crank_deg))
    turned = throw_state(phi_rad, linkage.throw_mm, linkage.rod_mm, linkage.offset_mm)
    if linkage.sense == 1:
        return turned
    return replace(
        turned,
        velocity_mm_per_rad=-turned.velocity_mm_per_rad,
        jerk_mm_per_rad3=-turned.jerk_mm_per_rad3,
        rod_rate_per_rad=-turned.rod_rate_per_rad,
    )


def at_speed(motion: MotionState, speed_rpm: float) -> SpeedState:
    """Velocities and accelerations of a motion state at a steady engine speed.

    Parameters
    ----------
    motion : as ``state`` gives it
    speed_rpm : turns of the crank per minute
    """
    omega_rad_s = speed_rpm * (2.0 * np.pi / 60.0)
    return SpeedState(
        velocity_m_s=motion.velocity_mm_per_rad * (omega_rad_s / 1000.0),
        acceleration_m_s2=motion.acceleration_mm_per_rad2 * (omega_rad_s**2 / 1000.0),
    )


def _crank_deg_of_throw(linkage: Linkage, phi_deg: Array) -> Array:
    """Crank angle from 0 to below 360 at which each throw stands at phi from its bore."""
    return wrap_deg(linkage.sense * (phi_deg - linkage.pin_deg + linkage.bank_deg))


def dead_centres(linkage: Linkage) -> DeadCentres:
    """True top and bottom dead centre of each bore, in closed form.

    At the top, throw and rod are stretched into one line of length ``l + r`` from the crank axis to the
    piston pin at ``(d, s)``, whose direction about +x is ``-asin(d / (l + r))``: that is phi. At the bottom
    the throw points the other way along a line of length ``l - r``, so phi is ``180 - asin(d / (l - r))``.

    Examples
    --------
    An offset of 8 mm on a rod of 70 and a throw of 30 makes the stroke a little longer than 60 mm:

    >>> one = Linkage(*(np.array([v]) for v in (0.0, 0.0, 0.0, 30.0, 70.0, 8.0)), sense=1)
    >>> (dead_centres(one).stroke_mm - (np.sqrt(100**2 - 8**2) - np.sqrt(40**2 - 8**2))).round(9)
    array([0.])
    """
    reach_mm, fold_mm = linkage.rod_mm + linkage.throw_mm, linkage.rod_mm - linkage.throw_mm
    offset_mm = linkage.offset_mm
    top_deg = top_lean_deg(linkage.throw_mm, linkage.rod_mm, offset_mm)
    bottom_lean_deg = np.degrees(np.arcsin(offset_mm / fold_mm))
    top_height_mm = np.sqrt((reach_mm - offset_mm) * (reach_mm + offset_mm))
    bottom_height_mm = np.sqrt((fold_mm - offset_mm) * (fold_mm + offset_mm))
    return DeadCentres(
        top_deg=_crank_deg_of_throw(linkage, -top_deg),
        bottom_deg=_crank_deg_of_throw(linkage, 180.0 - bottom_lean_deg),
        down_stroke_deg=180.0 + linkage.sense * (top_deg - bottom_lean_deg),
        top_height_mm=top_height_mm,
        bottom_height_mm=bottom_height_mm,
        stroke_mm=top_height_mm - bottom_height_mm,
    )


def after_own_top_dead_centre_deg(linkage: Linkage, crank_deg: ArrayLike) -> Array:
    """Crank angle counted from the true top dead centre of each bore, from 0 to below 360.

    Parameters
    ----------
    crank_deg : (...) float, deg

    Returns
    -------
    (..., n) float, deg
    """
    return wrap_deg(np.asarray(crank_deg, dtype=float)[..., None] - dead_centres(linkage).top_deg)


def crank_deg_at_height(linkage: Linkage, pin_height_mm: ArrayLike, stroke: Stroke) -> Array:
    """Crank angle at which each piston pin passes a height, on the way down or on the way up.

    The triangle of crank axis, crankpin and piston pin has three known sides, so the angle between throw and
    piston pin follows from the cosine law. The answers for both strokes lie evenly about top dead centre only
    without a pin offset, which is what a degree wheel and a positive stop show.

    Parameters
    ----------
    pin_height_mm : (..., n) float or anything that broadcasts to it, mm above the crank axis along the bore
    stroke : which way the piston is going

    Returns
    -------
    (..., n) float, deg from 0 to below 360; nan where the piston never stands at that height
    """
    height_mm = np.asarray(pin_height_mm, dtype=float)
    squared = height_mm**2 + linkage.offset_mm**2
    two_sides = 2.0 * linkage.throw_mm * np.sqrt(squared)
    with np.errstate(invalid="ignore", divide="ignore"):
        cosine = (squared + linkage.throw_mm**2 - linkage.rod_mm**2) / two_sides
    # Rounding may carry the cosine past one at a dead centre itself, which the piston does reach.
    reached = (np.abs(cosine) <= 1.0 + 1e-12) & (height_mm > 0.0)
    apart_deg = np.degrees(np.arccos(np.where(reached, np.clip(cosine, -1.0, 1.0), np.nan)))
    pin_direction_deg = np.degrees(np.arctan2(-linkage.offset_mm, height_mm))
    towards = linkage.sense if stroke == "down" else -linkage.sense
    return _crank_deg_of_throw(linkage, pin_direction_deg + towards * apart_deg)


def bore_frames(linkage: Linkage) -> Array:
    """Pose of each bore frame B: origin on the crank axis at the bore, +z along it to the deck, +x as E.

    Returns
    -------
    (n, 4, 4) float : ``X_EB``
    """
    X_EB = rot_x_deg(linkage.bank_deg)
    X_EB[..., 0, 3] = linkage.x_mm
    return X_EB


def poses(linkage: Linkage, crank_deg: ArrayLike) -> Poses:
    """Poses of crank, pistons and rods at the given crank angles.

    Parameters
    ----------
    crank_deg : (...) float, deg in the running direction
    """
    crank = np.asarray(crank_deg, dtype=float)
    motion = state(linkage, crank)
    crankpin_rad = np.radians(linkage.pin_deg + linkage.sense * crank[..., None])
    up_the_bore_mm = motion.pin_height_mm[..., None] * np.array([0.0, 0.0, 1.0])
    X_ER = rot_x_deg(linkage.bank_deg + motion.rod_deg)
    X_ER[..., 0, 3] = linkage.x_mm
    X_ER[..., 1, 3] = -linkage.throw_mm * np.sin(crankpin_rad)
    X_ER[..., 2, 3] = linkage.throw_mm * np.cos(crankpin_rad)
    return Poses(
        X_EC=rot_x_deg(linkage.sense * crank),
        X_EP=compose(bore_frames(linkage), translation(up_the_bore_mm)),
        X_ER=X_ER,
    )
