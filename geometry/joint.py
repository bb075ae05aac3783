"""A bolted joint: preload from torque, stiffness, and the load at which it opens.

Source: R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th ed., chapter 8: tension in
bolt and members (eq. 8-24, 8-25), stiffness of members by 30 degree frusta (eq. 8-22), torque (eq. 8-27 and table
8-15).
"""

from __future__ import annotations

import math

TORQUE_FACTOR = 0.18
"""Lubricated bolts, Shigley table 8-15."""
STEEL_MPA = 205_000.0
TORQUE_SCATTER = 0.20
"""How far the tension that a torque leaves may be out, either way: usual, from memory. Ten lubricated bolts in
Shigley's table 8-14 lie within 19 percent of their mean."""
PROOF_SHARE = 0.75
"""Preload of a joint that is taken apart again, as a share of the proof load (Shigley)."""


def is_inch_thread(diameter_mm: float, pitch_mm: float | None) -> bool:
    """Whether a thread counts whole turns to the inch, which no metric pitch does.

    Without a pitch: whether the shank is in sixteenths of an inch.

    >>> is_inch_thread(9.525, 25.4 / 24), is_inch_thread(10.0, 1.25), is_inch_thread(11.1125, None)
    (True, False, True)
    """
    return _whole(25.4 / pitch_mm if pitch_mm is not None else diameter_mm / 25.4 * 16)


def _whole(number: float) -> bool:
    return abs(number - round(number)) < 1e-6


def tensile_area_mm2(diameter_mm: float, pitch_mm: float | None) -> float:
    """Area in which a thread breaks. Without a pitch: a usual fine thread, pitch an eighth of the diameter.

    Source: ISO 898-1, ``pi/4 (d - 0.9382 P)^2``; ASME B1.1 for inch threads, ``pi/4 (d - 0.9743 / n)^2``, taken where
    the pitch is a whole number of threads per inch, which no metric pitch is.
    """
    pitch = diameter_mm / 8 if pitch_mm is None else pitch_mm
    factor = 0.9743 if _whole(25.4 / pitch) else 0.9382
    return math.pi / 4 * (diameter_mm - factor * pitch) ** 2


def preload_n(torque_nm: float, diameter_mm: float, factor: float = TORQUE_FACTOR) -> float:
    """Tension that a torque in N*m leaves in a bolt, ``T / (K d)``. Scatter of 20 % either way is usual.

    >>> preload_n(60.0, diameter_mm=10.0, factor=0.2)
    30000.0
    """
    return torque_nm * 1000.0 / (factor * diameter_mm)


def torque_nm(preload: float, diameter_mm: float, factor: float = TORQUE_FACTOR) -> float:
    """Torque that leaves a tension in N in a bolt, ``K F d``."""
    return preload * factor * diameter_mm / 1000.0


def bolt_stiffness_n_mm(diameter_mm: float, grip_mm: float, modulus_mpa: float = STEEL_MPA) -> float:
    """Stiffness of a full shank, ``A E / l``, N/mm."""
    return math.pi / 4 * diameter_mm**2 * modulus_mpa / grip_mm


def member_stiffness_n_mm(diameter_mm: float, grip_mm: float, modulus_mpa: float = STEEL_MPA) -> float:
    """Stiffness of the parts that are clamped, two 30 degree frusta under a head 1.5 diameters wide, N/mm."""
    spread = 0.5774 * grip_mm
    inner = 5.0 * (spread + 0.5 * diameter_mm) / (spread + 2.5 * diameter_mm)
    return 0.5774 * math.pi * modulus_mpa * diameter_mm / (2.0 * math.log(inner))


def bolt_share(bolt_n_mm: float, member_n_mm: float) -> float:
    """Share C of an outside load that the bolt feels while the joint is closed."""
    return bolt_n_mm / (bolt_n_mm + member_n_mm)


def opening_load_n(preload: float, share: float) -> float:
    """Outside load per bolt, N, at which the joint opens: ``F_i - (1 - C) P = 0``.

    Parameters
    ----------
    preload : F_i, N
    share : C, as ``bolt_share`` gives it
    """
    return preload / (1.0 - share)


def opening_speed_rpm(load_n: float, load_per_speed2_n: float) -> float:
    """Speed at which an inertia load reaches a given load.

    Parameters
    ----------
    load_n : load at which the joint opens, N
    load_per_speed2_n : inertia load at 1 rad/s, N
    """
    return math.sqrt(load_n / load_per_speed2_n) * 60.0 / (2.0 * math.pi)
