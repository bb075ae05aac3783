"""Forces and couples of one order as two vectors, one that turns with the crank and one that turns against it.

A piston of mass m on a throw a pushes the engine along its bore with m a w^2 (cos phi + c2 cos 2 phi + ..), phi the
throw's angle from the bore. A vector that swings along a line is the sum of two of half its size that turn in
opposite ways: what turns with the crank a counterweight can take out, what turns against it none can.

Source: R. L. Norton, *Design of Machinery*, ch. 13 and 14 (contents seen); C. F. Taylor, *The Internal-Combustion
Engine in Theory and Practice*, vol. 2, ch. 8 (from memory). The second order counts with its exact size,
lambda + lambda^3 / 4 + 15 lambda^5 / 128 (Taylor, from memory; held against a Fourier transform of the exact motion).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from geometry.arrays import Array
from geometry.kinematics.layout import Layout
from geometry.kinematics.slider_crank import Linkage

Vectors: TypeAlias = NDArray[np.complex128]
"""Vectors across the crank, as ``geometry.balance`` has them."""
RPM: Final = math.pi / 30.0
"""Radians per second in one turn per minute."""


@dataclass(frozen=True, slots=True)
class Phasor:
    """A vector across the crank that turns ``order`` times as fast: the sum of two, at crank angle zero.

    Attributes
    ----------
    order : 1 or 2
    sense : way the crank turns about +x, as ``Layout.sense``
    with_crank, against_crank : as ``geometry.balance`` has vectors; kg mm for a force, kg mm^2 for a couple, which is
        the force that it puts on the rear end times its arm: over the square of rad/s that is a thousandth of a
        newton, a millionth of a newton metre
    """

    order: int
    sense: int
    with_crank: complex
    against_crank: complex

    @property
    def most(self) -> float:
        """Size at its largest over the turn."""
        return abs(self.with_crank) + abs(self.against_crank)

    @property
    def least(self) -> float:
        """Size at its smallest over the turn."""
        return abs(abs(self.with_crank) - abs(self.against_crank))

    @property
    def most_deg(self) -> float:
        """Where it points when it is largest, clockwise from up seen from the front, 0 to below 180; opposite too."""
        both = self.with_crank * self.against_crank
        return math.degrees(np.angle(both)) / 2.0 % 180.0 if both else 0.0

    def at(self, crank_deg: ArrayLike) -> Vectors:
        """The vector at crank angles of any shape."""
        turn = np.exp(1j * self.order * self.sense * np.radians(np.asarray(crank_deg, dtype=float)))
        found: Vectors = self.with_crank * turn + self.against_crank / turn
        return found

    def scaled(self, factor: float) -> Phasor:
        """The same, so many times as large."""
        return Phasor(self.order, self.sense, factor * self.with_crank, factor * self.against_crank)

    def less(self, turning: complex) -> Phasor:
        """What is left when a counterweight takes out a vector that turns with the crank; first order only."""
        return Phasor(self.order, self.sense, self.with_crank - turning, self.against_crank)


@dataclass(frozen=True, slots=True)
class OrderShake:
    """Force and couple of one order; the couple about a place along the crank."""

    force: Phasor
    couple: Phasor


def second_order(ratio: ArrayLike) -> Array:
    """Second-order share of the exact acceleration, for throw over rod length; nearly that ratio itself.

    >>> round(float(second_order(0.296552)), 5)  # 2.3 % over the ratio
    0.30334
    """
    share = np.asarray(ratio, dtype=float)
    found: Array = share + share**3 / 4.0 + 15.0 * share**5 / 128.0
    return found


def harmonic(linkage: Linkage, order: int) -> Vectors:
    """Complex size (n,) of one order of ``cos(order * phi)`` in each piston's push, in throws.

    A pin offset d adds ``-(d / rod) (1 + 3 lambda^2 / 8) sin phi`` to the first order, to the first power of it.
    """
    ratio = linkage.throw_mm / linkage.rod_mm
    found = np.ones(ratio.shape, dtype=complex)
    if order == 2:
        found.real = second_order(ratio)
    else:
        found.imag = linkage.offset_mm / linkage.rod_mm * (1.0 + 3.0 * ratio**2 / 8.0)
    return found


def shake(linkage: Linkage, mass_kg: ArrayLike, middle_mm: float, order: int) -> OrderShake:
    """Force and couple of all pistons in one order.

    Parameters
    ----------
    linkage : throws, banks and places along the crank
    mass_kg : (n,) or one number: what goes up and down in each bore
    middle_mm : place along the crank that couples are taken about
    order : 1 or 2
    """
    mass = np.broadcast_to(np.asarray(mass_kg, dtype=float), linkage.throw_mm.shape)
    bank, pin = np.radians(linkage.bank_deg), np.radians(linkage.pin_deg)
    push = mass * linkage.throw_mm * harmonic(linkage, order) / 2.0
    swing = np.exp(1j * order * (pin - bank))
    along = np.exp(1j * bank)
    turning, counter = push * swing * along, np.conj(push * swing) * along
    arm = linkage.x_mm - middle_mm
    return OrderShake(
        Phasor(order, linkage.sense, complex(turning.sum()), complex(counter.sum())),
        Phasor(order, linkage.sense, complex((turning * arm).sum()), complex((counter * arm).sum())),
    )


def middle_of_crank_mm(layout: Layout) -> float:
    """The middle between the first and the last main bearing, about which couples are taken."""
    return (layout.main_x_mm[0] + layout.main_x_mm[-1]) / 2.0


def force_n(size_kg_mm: float, speed_rpm: float) -> float:
    """A force at a speed, N."""
    return size_kg_mm * (speed_rpm * RPM) ** 2 / 1e3


def couple_nm(size_kg_mm2: float, speed_rpm: float) -> float:
    """A couple at a speed, N m."""
    return size_kg_mm2 * (speed_rpm * RPM) ** 2 / 1e6
