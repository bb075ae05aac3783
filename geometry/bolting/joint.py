"""A bolted joint: the stiffness of what is clamped, the share of a load that the bolt feels, and where it opens.

Source: R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th ed., chapter 8: tension in
bolt and members (eq. 8-24, 8-25), stiffness of members by 30 degree frusta (eq. 8-22).
"""

from __future__ import annotations

import math

from geometry.bolting.stretch import STEEL_MPA

PROOF_SHARE = 0.75
"""Preload of a joint that is taken apart again, as a share of the proof load (Shigley)."""


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
