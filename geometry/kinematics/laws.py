"""How a body moves with the crank: one closed form for everything that turns, slides or swings.

Every moving part of the assembly moves in planes square to the crank axis. With theta the crank angle in
radians, every law is one row of numbers in

    p_E = c(theta) + Rx(psi(theta)) p_A
    psi(theta) = psi0 + kappa theta + [rod] beta(theta)
    c(theta)   = c0 + [rod] r e(alpha) + [piston] s(phi) e(bank),     e(a) = (0, -sin a, cos a)
    alpha = pin + sense theta,  phi = alpha - bank,  q = (d + r sin phi) / l
    sin beta = -q,  s = r cos phi + l cos beta

so that a thousand poses of different bodies are one numpy expression. Source: the slider-crank with an offset
pin, derived from |wrist pin - crankpin| = l in the frame of the bore.

Bounds
------
The largest speed of a body's points is a Lipschitz constant of the signed distance to anything that stands still, and
the sum of both bodies' where both move: no point of either can go farther in an interval than its speed lets it, and
the distance changes by no more than the points do. The largest acceleration bounds how far a support along a fixed
direction leaves its chord, because n . p'' is never more than |p''|. Both are taken over whole intervals, so every
factor below is replaced by the largest it has anywhere in the interval, and a sum by the sum of the largest: each step
can only make a bound larger. Derivatives are per radian of crank angle. On an interval phi in [phi_m - h, phi_m + h]:
|cos phi| <= C = min(1, |cos phi_m| + h), |sin phi| <= S likewise (both have slope at most 1),
|q| <= Q = min((|d| + r S) / l, |q_m| + (r / l) h), |q'| = (r/l)|cos phi| <= (r/l) C, |q''| <= (r/l) S. With
w = 1 / sqrt(1 - Q^2), which is at least 1 / cos beta since |sin beta| = |q| <= Q, sin beta = -q and s differentiated
once and twice give

    beta'  = -q' / cos beta                         |beta'|  <= B1 = (r/l) C w
    beta'' = -q'' / cos beta - q q'^2 / cos^3 beta  |beta''| <= B2 = (r/l) S w + Q (r/l)^2 C^2 w^3
    s'  = -sense r sin phi + l q beta'              |s'|  <= r S + l Q B1
    s'' = -r cos phi + l (q' beta' + q beta'')      |s''| <= r C + l ((r/l) C B1 + Q B2)

A point of the rod at distance rho from the big-end centre (square to the crank axis) moves as
crankpin + Rx(bank + beta) p: speed <= r + rho B1, acceleration <= r + rho sqrt(B1^4 + B2^2), because the
centripetal part rho beta'^2 and the tangential part rho beta'' are square to each other. The same point at
distance rho_p from the wrist pin moves as wrist pin + Rx(bank + beta) p: <= |s'| + rho_p B1 and
<= |s''| + rho_p sqrt(B1^4 + B2^2). Both hold; the smaller is taken. A point of a spinning body at rho from its
axis: |kappa| rho and kappa^2 rho, exact. A point of a piston: |s'| and |s''|, wherever it is on the piston.

A valve slides along its bank by its lift, c(theta) = c0 - L e(bank), with the curve of ``valve_lift``:
y = A (cos psi - c), psi = k (theta - theta_full), and L = y above the ramp, (y + w)^2 / (4 w) within w of the seat,
zero below. With p = min(1, max(0, (y + w) / 2 w)), the slope of L against y,

    L' = p y',   L'' = p y'' + [|y| < w] y'^2 / (2 w),   y' = -k A sin psi,   y'' = -k^2 A cos psi

L is the parabola on the ramp and the cosine above it; its slope runs through where they meet without a step, and so a
bound of L'' on either side bounds it across (the chord's error needs L' to be Lipschitz, no more).
On an interval |sin psi| <= S and |cos psi| <= C as above with h k in place of h, y lies within k A S h of its middle
value, and p is greatest where y is: |L'| <= p k A S, |L''| <= p k^2 A C + [y meets the ramp] (k A S)^2 / (2 w).
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial

import numpy as np
from numpy.typing import ArrayLike

from geometry.arrays import Array, Index, Pick
from geometry.kinematics.lift_curve import LiftCurve, rounded
from geometry.kinematics.slider_crank import rod_triangle

MIN_COS_ROD = 0.2
"""Smallest cosine of the rod angle that the bounds accept; a rod leaning 78 degrees is not an engine."""


@dataclass(frozen=True, slots=True)
class Law:
    """The motion of one body, as the numbers of the closed form above. Made by the functions below.

    Lengths in mm, angles in degrees. ``kind`` is ``fixed``, ``spin``, ``piston``, ``rod`` or ``valve``.
    """

    kind: str
    x_mm: float = 0.0
    y_mm: float = 0.0
    z_mm: float = 0.0
    turn_deg: float = 0.0
    """psi0: angle of the body about +x at crank angle zero (fixed, spin), or the bank (piston, rod, valve)."""
    rate: float = 0.0
    """kappa: turns of the body about +x per turn of the crank; negative the other way."""
    sense: int = 1
    bank_deg: float = 0.0
    pin_deg: float = 0.0
    throw_mm: float = 0.0
    rod_mm: float = 1.0
    offset_mm: float = 0.0
    full_deg: float = 0.0
    """Crank angle at which a valve is fully open."""
    lift_scale_mm: float = 0.0
    lift_shut: float = 0.0
    lift_ramp_mm: float = 1.0
    lift_rate: float = 0.0
    """A, c, w and k of a valve's lift."""

    def __post_init__(self) -> None:
        if self.kind in ("piston", "rod"):
            lean = (abs(self.offset_mm) + self.throw_mm) / self.rod_mm if self.rod_mm > 0 else math.inf
            if lean >= math.sqrt(1.0 - MIN_COS_ROD**2):
                raise ValueError(
                    f"a rod of {self.rod_mm:g} mm on a throw of {self.throw_mm:g} mm with a pin offset of "
                    f"{self.offset_mm:g} mm cannot make a full turn: the rod must be longer"
                )

    def poses(self, crank_deg: ArrayLike) -> Array:
        """Poses X_EA (..., 4, 4) of the body's frame A at crank angles (...), deg in the running direction."""
        theta = np.radians(np.asarray(crank_deg, dtype=float))
        flat = theta.reshape(-1)
        pose = LawTable([self]).at(np.zeros(flat.size, dtype=np.intp), flat)
        X = np.zeros((flat.size, 4, 4))
        X[:, 0, 0] = X[:, 3, 3] = 1.0
        X[:, 1, 1] = X[:, 2, 2] = pose.cos
        X[:, 2, 1], X[:, 1, 2] = pose.sin, -pose.sin
        X[:, 0, 3], X[:, 1, 3], X[:, 2, 3] = pose.x, pose.y, pose.z
        return X.reshape(*theta.shape, 4, 4)


def rest_class(law: Law) -> Hashable:
    """What bodies that never move against each other share: all that is fixed, that turns together, or one law."""
    if law.kind == "fixed":
        return "fixed"
    return (law.rate, law.y_mm, law.z_mm) if law.kind == "spin" else law


def at_rest(a: Law, b: Law) -> bool:
    """Whether two bodies never move against each other."""
    return rest_class(a) == rest_class(b)


def period_deg(*laws: Law) -> float:
    """Crank angle after which bodies stand as before: 360, or more where one turns slower than the crank.

    Raises
    ------
    ValueError
        When a body turns at a ratio that has no period within 12 turns of the crank.
    """
    return _period_deg(frozenset(rate for law in laws for rate in (law.rate, law.lift_rate)))


@lru_cache(maxsize=256)
def _period_deg(rates: frozenset[float]) -> float:
    for turns in range(1, 13):
        if all(abs(rate * turns - round(rate * turns)) < 1e-9 for rate in rates):
            return 360.0 * turns
    raise ValueError("a body turns at a ratio to the crank that does not repeat within 12 turns")


def fixed(x_mm: float = 0.0, y_mm: float = 0.0, z_mm: float = 0.0, turn_deg: float = 0.0) -> Law:
    """A body that stands still in E, turned by ``turn_deg`` about +x: block, head, pan, main caps."""
    return Law("fixed", x_mm, y_mm, z_mm, turn_deg)


def spin(
    sense: int = 1,
    ratio: float = 1.0,
    at_mm: tuple[float, float, float] = (0.0, 0.0, 0.0),
    phase_deg: float = 0.0,
) -> Law:
    """A body turning about an axis along x: crank (ratio 1), cam (1/2), each its own way round.

    Parameters
    ----------
    sense : the body's own direction about +x, 1 or -1
    ratio : turns of the body per turn of the crank
    at_mm : a point of its axis, in E; the frame's origin
    phase_deg : angle of the body about +x at crank angle zero

    Examples
    --------
    >>> spin(ratio=0.5, at_mm=(0.0, 0.0, 100.0)).poses(180.0).round(9)[1:3].tolist()
    [[0.0, 0.0, -1.0, 0.0], [0.0, 1.0, 0.0, 100.0]]
    """
    return Law("spin", *at_mm, turn_deg=phase_deg, rate=sense * ratio, sense=sense)


def _linked(
    kind: str,
    x_mm: float,
    bank_deg: float,
    pin_deg: float,
    throw_mm: float,
    rod_mm: float,
    offset_mm: float = 0.0,
    sense: int = 1,
) -> Law:
    """The law of a piston or a rod, in the frame that is said of each below.

    Parameters
    ----------
    x_mm : the bore from the front, along the crank
    bank_deg : turns +z to the bore's axis about +x, so the left bank is positive
    pin_deg : of the crankpin about +x from +z, at crank angle zero
    throw_mm, rod_mm : crank axis to crankpin, crankpin to wrist pin
    offset_mm : wrist pin from the bore's axis, along +y of the bore's frame
    sense : way the crank turns about +x, 1 or -1

    Raises
    ------
    ValueError
        When the rod is too short for a full turn.

    Examples
    --------
    A quarter turn after top dead centre the pin stands at sqrt(rod^2 - throw^2):

    >>> piston(0.0, 0.0, 0.0, throw_mm=30.0, rod_mm=50.0).poses([0.0, 90.0])[:, 2, 3].round(9).tolist()
    [80.0, 40.0]
    """
    return Law(
        kind, x_mm, turn_deg=bank_deg, sense=sense, bank_deg=bank_deg, pin_deg=pin_deg, throw_mm=throw_mm,
        rod_mm=rod_mm, offset_mm=offset_mm,
    )  # fmt: skip


piston = partial(_linked, "piston")
"""Frame P of one bore: origin on the bore axis at the height of the wrist pin."""
rod = partial(_linked, "rod")
"""Frame R of one bore: origin at the big-end centre, +z to the small end."""


def valve(x_mm: float, bank_deg: float, full_deg: float, curve: LiftCurve) -> Law:
    """Frame V of one valve: the bore's own frame, moved down the bore by the lift.

    Parameters
    ----------
    x_mm, bank_deg : as of ``piston``
    full_deg : crank angle at which it is fully open
    curve : its lift against crank angle
    """
    return Law(
        "valve",
        x_mm,
        turn_deg=bank_deg,
        bank_deg=bank_deg,
        full_deg=full_deg,
        lift_scale_mm=curve.scale_mm,
        lift_shut=curve.shut,
        lift_ramp_mm=curve.ramp_mm,
        lift_rate=curve.rate,
    )


@dataclass(slots=True, eq=False)
class Pose:
    """Planar poses of m bodies: Rx with the given cosine and sine, then the shift (x, y, z)."""

    cos: Array
    sin: Array
    x: Array
    y: Array
    z: Array

    def into(self, n: Array) -> Array:
        """World directions (3, m) in the frames of the bodies."""
        out = np.empty_like(n)
        out[0] = n[0]
        out[1] = self.cos * n[1] + self.sin * n[2]
        out[2] = self.cos * n[2] - self.sin * n[1]
        return out

    def turned(self, n: Array) -> Array:
        """Directions (3, m) of the bodies in E."""
        return np.stack([n[0], self.cos * n[1] - self.sin * n[2], self.sin * n[1] + self.cos * n[2]])

    def out(self, p: Array) -> Array:
        """Points (3, m) of the bodies in E."""
        q = np.empty_like(p)
        q[0] = p[0] + self.x
        q[1] = self.cos * p[1] - self.sin * p[2] + self.y
        q[2] = self.sin * p[1] + self.cos * p[2] + self.z
        return q

    def shift(self, n: Array) -> Array:
        """Dot product of the origins of the bodies with directions (3, m)."""
        return np.asarray(self.x * n[0] + self.y * n[1] + self.z * n[2])

    def take(self, index: Pick) -> Pose:
        """The poses at an index or mask."""
        return Pose(self.cos[index], self.sin[index], self.x[index], self.y[index], self.z[index])


class LawTable:
    """Many laws as columns, evaluated for any mix of bodies and angles at once. Angles in radians."""

    def __init__(self, laws: Sequence[Law]) -> None:
        def column(name: str) -> Array:
            return np.array([getattr(law, name) for law in laws], dtype=float)

        self.x, self.y, self.z = column("x_mm"), column("y_mm"), column("z_mm")
        self.turn, self.rate = np.radians(column("turn_deg")), column("rate")
        self.bank, self.sense = np.radians(column("bank_deg")), column("sense")
        self.phase = np.radians(column("pin_deg")) - self.bank
        self.r, self.len, self.d = column("throw_mm"), column("rod_mm"), column("offset_mm")
        self.is_rod = np.array([law.kind == "rod" for law in laws], dtype=float)
        self.is_piston = np.array([law.kind == "piston" for law in laws], dtype=float)
        self.links = (self.is_rod + self.is_piston) > 0
        self.turning = (self.is_rod > 0) | (self.rate != 0)
        self.valves = np.array([law.kind == "valve" for law in laws], dtype=bool)
        self.full, self.lift_rate = np.radians(column("full_deg")), column("lift_rate")
        self.lift_scale, self.shut, self.ramp = (column(f"lift_{n}") for n in ("scale_mm", "shut", "ramp_mm"))
        self.sin_bank, self.cos_bank = np.sin(self.bank), np.cos(self.bank)

    def at(self, law: Index, theta: Array) -> Pose:
        """Poses (m,) of bodies at crank angles.

        Parameters
        ----------
        law : (m,) indices of laws
        theta : (m,) rad
        """
        psi = self.turn[law] + self.rate[law] * theta
        x, y, z = self.x[law].copy(), self.y[law].copy(), self.z[law].copy()
        (linked,) = np.nonzero(self.links[law])
        if linked.size:
            k = law[linked]
            phi = self.phase[k] + self.sense[k] * theta[linked]
            pin_across, pin_along, u, reach = rod_triangle(phi, self.r[k], self.len[k], self.d[k])
            rod_, piston_ = self.is_rod[k], self.is_piston[k]
            psi[linked] -= rod_ * np.arcsin(u / self.len[k])
            # in the frame of the bore the origin is at the crankpin or at the piston pin
            across = -rod_ * pin_across
            along = pin_along + piston_ * reach
            sin_b, cos_b = self.sin_bank[k], self.cos_bank[k]
            y[linked] += cos_b * across - sin_b * along
            z[linked] += sin_b * across + cos_b * along
        (sliding,) = np.nonzero(self.valves[law])
        if sliding.size:
            k = law[sliding]
            cosine = np.cos(self.lift_rate[k] * (theta[sliding] - self.full[k]))
            lift = rounded(self.lift_scale[k] * (cosine - self.shut[k]), self.ramp[k])
            y[sliding] += self.sin_bank[k] * lift
            z[sliding] -= self.cos_bank[k] * lift
        return Pose(np.cos(psi), np.sin(psi), x, y, z)

    def bounds(
        self, law: Index, theta: Array, half: Array, rho: Array, rho_pin: Array
    ) -> tuple[Array, Array]:
        """Largest speed and acceleration of any point of each body on an interval, as derived above.

        Parameters
        ----------
        law : (m,) indices of laws
        theta, half : (m,) middle and half-width of the interval, rad
        rho : (m,) largest distance of a point from the frame's origin, square to x, mm
        rho_pin : (m,) the same from the wrist pin (0, 0, l); used for rods only

        Returns
        -------
        speed : (m,) mm per rad of crank angle
        acceleration : (m,) mm per rad squared
        """
        rate = np.abs(self.rate[law])
        speed, accel = rate * rho, rate * rate * rho
        (linked,) = np.nonzero(self.links[law])
        if linked.size:
            k, h = law[linked], half[linked]
            r, length, ratio = self.r[k], self.len[k], self.r[k] / self.len[k]
            phi = self.phase[k] + self.sense[k] * theta[linked]
            sin_m, cos_m = np.sin(phi), np.cos(phi)
            c, s = np.minimum(1.0, np.abs(cos_m) + h), np.minimum(1.0, np.abs(sin_m) + h)
            q_mid = np.abs(self.d[k] + r * sin_m) / length
            q = np.minimum((np.abs(self.d[k]) + r * s) / length, q_mid + ratio * h)
            w = 1.0 / np.sqrt(1.0 - q * q)
            b1 = ratio * c * w
            b2 = ratio * s * w + q * (ratio * c) ** 2 * w**3
            slide1 = r * s + length * q * b1
            slide2 = r * c + length * (ratio * c * b1 + q * b2)
            swing = np.sqrt(b1**4 + b2 * b2)
            rod_ = self.is_rod[k] > 0
            big, small = rho[linked], rho_pin[linked]
            speed[linked] = np.where(rod_, np.minimum(r + big * b1, slide1 + small * b1), slide1)
            accel[linked] = np.where(rod_, np.minimum(r + big * swing, slide2 + small * swing), slide2)
        (sliding,) = np.nonzero(self.valves[law])
        if sliding.size:
            speed[sliding], accel[sliding] = self._lift_bounds(law[sliding], theta[sliding], half[sliding])
        return speed, accel

    def _lift_bounds(self, k: Index, theta: Array, half: Array) -> tuple[Array, Array]:
        """Largest speed and acceleration of valves on intervals."""
        psi, h = self.lift_rate[k] * (theta - self.full[k]), self.lift_rate[k] * half
        sin_m, cos_m = np.sin(psi), np.cos(psi)
        s, c = np.minimum(1.0, np.abs(sin_m) + h), np.minimum(1.0, np.abs(cos_m) + h)
        speed = self.lift_rate[k] * self.lift_scale[k] * s
        y, reach, ramp = self.lift_scale[k] * (cos_m - self.shut[k]), speed * half, self.ramp[k]
        share = np.clip((y + reach + ramp) / (2.0 * ramp), 0.0, 1.0)
        on_ramp = (y + reach > -ramp) & (y - reach < ramp)
        bend = np.where(on_ramp, speed * speed / (2.0 * ramp), 0.0)
        return share * speed, share * self.lift_rate[k] ** 2 * self.lift_scale[k] * c + bend
