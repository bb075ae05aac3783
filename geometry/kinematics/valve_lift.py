"""How far each valve is open at every crank angle: the engine file's lift and timing, or stated assumptions.

The curve is ``lift_curve``'s, that of a flat follower on the lobe that the file describes.

A valve's place is known where the file measures it, at top dead centre between exhaust and intake (``below_deck``);
its seat follows from the lift that the curve has there.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from geometry.arrays import Array
from geometry.kinematics.layout import Layout
from geometry.kinematics.lift_curve import LiftCurve
from geometry.spec.engine import Engine
from geometry.spec.top import EXHAUST_CENTRE_DEG, INTAKE_CENTRE_DEG, Cam, Valve, full_lift_mm

GAS_EXCHANGE_DEG: Final = 360.0
"""From the firing top dead centre to the one between exhaust and intake."""
RAMP_SHARE: Final = 0.01
"""Height of the opening ramp as a share of full lift: an assumption, no source."""
DURATION_DEG: Final = 240.0
"""Crank angle from seat to seat where neither file nor lobe tell: common practice, no source."""


class Known(Enum):
    """Where a number of the valve gear comes from."""

    FILE = "file"
    LOBE = "lobe"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True)
class ValveTiming:
    """One valve of a bore, the same in every bore.

    Attributes
    ----------
    number : its place in the file's list of valves, from 1
    valve : the file's own table
    curve : its lift
    full_after_deg : full lift, counted from top dead centre between exhaust and intake; negative before it
    lift_from, duration_from, centre_from : where the three numbers come from
    """

    number: int
    valve: Valve
    curve: LiftCurve
    full_after_deg: float
    lift_from: Known
    duration_from: Known
    centre_from: Known

    def lift_mm(self, after_overlap_deg: ArrayLike) -> Array:
        """Lift (...), mm, at crank angles (...), deg, counted from top dead centre between exhaust and intake."""
        return self.curve.lift_mm(np.asarray(after_overlap_deg, dtype=float) - self.full_after_deg)

    @property
    def seat_below_mm(self) -> float:
        """How far the valve on its seat stands below the head's face; negative when above."""
        return self.valve.below_deck_mm - float(self.lift_mm(0.0))


def valve_timings(spec: Engine) -> tuple[ValveTiming, ...]:
    """Every valve of the head in the order of the file."""
    return tuple(_timing(spec, number, valve) for number, valve in enumerate(spec.head.valves, start=1))


def overlap_deg(layout: Layout, bore: int) -> float:
    """Crank angle of a bore's top dead centre between exhaust and intake, 0 to below 720 (360 in a two-stroke)."""
    firing = layout.firing
    fires = firing.at_deg[firing.order.index(bore)]
    return float((fires + GAS_EXCHANGE_DEG) % firing.cycle_deg)


def full_after_deg(kind: str, centre_deg: float) -> float:
    """Full lift, counted from top dead centre between exhaust and intake; an exhaust valve's lies before it.

    Parameters
    ----------
    kind : ``intake`` or ``exhaust``
    centre_deg : lobe centre as the file writes it, without sign
    """
    return centre_deg if kind == "intake" else -centre_deg


def _timing(spec: Engine, number: int, valve: Valve) -> ValveTiming:
    rate = 2.0 / spec.engine.strokes
    full = full_lift_mm(spec.cam, valve)
    shut, duration_from = _shut(spec.cam, valve, full, rate)
    centre, centre_from = _centre(spec.cam, valve)
    curve = LiftCurve(full / (1.0 - shut), shut, RAMP_SHARE * full, rate)
    after = full_after_deg(valve.valve, centre)
    return ValveTiming(number, valve, curve, after, _lift_from(spec.cam, valve), duration_from, centre_from)


def _lift_from(cam: Cam | None, valve: Valve) -> Known:
    if valve.lift_mm is not None or (cam is not None and cam.rocker is not None):
        return Known.FILE
    return Known.ASSUMED


def _shut(cam: Cam | None, valve: Valve, full_mm: float, rate: float) -> tuple[float, Known]:
    """c, from the duration or the lobe."""
    if valve.duration_deg is None and cam is not None:
        step = cam.base_mm / 2 - cam.nose_mm
        return step / (cam.lift_mm + step), Known.LOBE
    duration = DURATION_DEG * 0.5 / rate if valve.duration_deg is None else valve.duration_deg
    at = valve.duration_at_mm or 0.0
    cosine = float(np.cos(rate * np.radians(duration) / 2))
    known = Known.ASSUMED if valve.duration_deg is None else Known.FILE
    return (full_mm * cosine - at) / (full_mm - at), known


def _centre(cam: Cam | None, valve: Valve) -> tuple[float, Known]:
    intake = valve.valve == "intake"
    if cam is not None:
        name = "intake_centre_deg" if intake else "exhaust_centre_deg"
        known = Known.FILE if name in cam.model_fields_set else Known.ASSUMED
        return (cam.intake_centre_deg if intake else cam.exhaust_centre_deg), known
    if valve.centre_deg is not None:
        return valve.centre_deg, Known.FILE
    return (INTAKE_CENTRE_DEG if intake else EXHAUST_CENTRE_DEG), Known.ASSUMED


def frame_name(bore: int, number: int) -> str:
    """The frame of one valve: the bore's own, moved down the bore by the valve's lift."""
    return f"V{bore}.{number}"


def valve_of(frame: str) -> tuple[int, int]:
    """Bore and number of the valve that a frame carries.

    >>> valve_of(frame_name(3, 1))
    (3, 1)
    """
    bore, number = frame.removeprefix("V").split(".")
    return int(bore), int(number)
