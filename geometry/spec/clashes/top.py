"""Rules of gasket, head, cam and pan."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, radians
from typing import TYPE_CHECKING, Final

from geometry.spec.base import Rule
from geometry.spec.clashes.rule import away_mm
from geometry.spec.top import full_lift_mm

if TYPE_CHECKING:
    from geometry.spec.engine import Engine
    from geometry.spec.top import Cam, Pan, Valve

SHORTEST_OPEN: Final = 0.1
LONGEST_OPEN: Final = 0.6
"""Duration of a valve as a share of the working cycle; what lies outside is a slip of the pen."""
SLOWEST_SHUT: Final = -0.5
"""Least cosine of the cam angle between full lift and seat: a lobe that is open for two thirds of its turn."""


def rules(spec: Engine) -> Iterator[Rule]:
    """All that stands over and under the block."""
    yield from _gasket_rules(spec)
    yield from _head_rules(spec)
    if spec.cam is not None:
        yield from _cam_rules(spec, spec.cam)
    if spec.pan is not None:
        yield from _pan_rules(spec, spec.pan)


def _gasket_rules(spec: Engine) -> Iterator[Rule]:
    gasket, bore = spec.gasket, spec.block.bore
    yield ("gasket.bore", gasket.bore_mm < bore.diameter_mm,
           "the gasket's opening is smaller than the bore", "an opening larger than block.bore.diameter")  # fmt: skip
    apart = 2 * bore.diameter_mm if bore.spacing_mm is None else bore.spacing_mm
    yield ("gasket.bore", gasket.bore_mm >= apart,
           "the gasket's openings run into each other", "an opening smaller than block.bore.spacing")  # fmt: skip
    yield ("gasket.thickness", gasket.thickness_mm > bore.diameter_mm / 5,
           "the gasket is thicker than a fifth of the bore",
           'the thickness tightened down, such as "0.040 in"')  # fmt: skip


def _head_rules(spec: Engine) -> Iterator[Rule]:
    radius = spec.block.bore.diameter_mm / 2
    yield ("head.chamber", spec.head.chamber_cm3 < 0,
           "the chamber has less than no volume",
           'the volume by burette, such as "64 cc"; 0 for a flat head')  # fmt: skip
    for index, valve in enumerate(spec.head.valves):
        key = f"head.valves[{index}]"
        yield (f"{key}.forward", away_mm(valve.forward_mm, valve.inward_mm) >= radius,
               "the middle of the valve lies outside the bore",
               "forward and inward counted from the bore's axis")  # fmt: skip
        yield (f"{key}.diameter", valve.diameter_mm >= 2 * radius,
               "the valve is as wide as the bore", "the diameter of the valve's head")  # fmt: skip
        yield from _timing_rules(spec, valve, key)


def _timing_rules(spec: Engine, valve: Valve, key: str) -> Iterator[Rule]:
    cam, cycle = spec.cam, 180.0 * spec.engine.strokes
    yield (f"{key}.lift", cam is not None and cam.rocker is not None and valve.lift_mm is not None,
           "lift and cam.rocker both say how far the valve opens", "one of the two")  # fmt: skip
    yield (f"{key}.lift", valve.lift_mm is not None and valve.lift_mm > valve.diameter_mm / 2,
           "the valve opens by more than half its diameter",
           'the full lift at the valve, such as "10.5 mm"')  # fmt: skip
    yield (f"{key}.centre", cam is not None and valve.centre_deg is not None,
           "the lobe centre is that of the [cam] table", f"cam.{valve.valve}_centre in place of it")  # fmt: skip
    yield (f"{key}.centre", valve.centre_deg is not None and valve.centre_deg > 180.0,
           "the valve is fully open on another stroke than its own",
           "the lobe centre from top dead centre")  # fmt: skip
    duration, at = valve.duration_deg, valve.duration_at_mm
    yield (f"{key}.duration", duration is not None and not SHORTEST_OPEN <= duration / cycle <= LONGEST_OPEN,
           "no valve is open for so short or so long a time",
           f"degrees of crank, {SHORTEST_OPEN * cycle:.0f} to {LONGEST_OPEN * cycle:.0f}")  # fmt: skip
    yield (f"{key}.duration_at", at is not None and duration is None,
           "a lift at which the duration is counted, and no duration", "duration beside it")  # fmt: skip
    if duration is not None and at is not None:
        full = full_lift_mm(cam, valve)
        cosine = cos(radians(duration) * 180.0 / cycle)
        yield (f"{key}.duration_at", at >= full / 2 or full * cosine - at < SLOWEST_SHUT * (full - at),
               "a valve of this lift is not open so long at so much of it",
               "the lift at which the card counts duration")  # fmt: skip


def _cam_rules(spec: Engine, cam: Cam) -> Iterator[Rule]:
    yield ("cam.up", away_mm(cam.across_mm, cam.up_mm) <= spec.crank.stroke_mm / 2,
           "the cam lies within the circle of the crankpins", "its height above the crank axis")  # fmt: skip
    yield ("cam.nose", cam.nose_mm >= cam.base_mm / 2,
           "the nose is as round as the base circle", "a radius smaller than half of cam.base")  # fmt: skip
    yield ("cam.lift", cam.lift_mm > cam.base_mm,
           "the lift is more than the base circle's diameter", "the lift at the lobe")  # fmt: skip
    yield ("cam.core", cam.core_mm >= cam.base_mm + 2 * cam.lift_mm,
           "the lobes do not stand out of the shaft", "the diameter of the shaft between lobes")  # fmt: skip
    yield ("cam.core", cam.core_mm > cam.journal_mm,
           "the shaft is thicker than its journals", "a diameter of at most cam.journal")  # fmt: skip
    yield ("cam.lobe_gap", cam.lobe_gap_mm <= cam.lobe_width_mm,
           "intake and exhaust lobe run into each other", "a distance greater than cam.lobe_width")  # fmt: skip
    yield ("cam.ratio", not 0.05 <= cam.ratio <= 4,
           "no cam turns so fast or so slowly", "turns per turn of the crank: 0.5 in a four-stroke engine")  # fmt: skip
    yield ("cam.rocker", cam.rocker is not None and not 0.8 <= cam.rocker <= 2.5,
           "no rocker has such a ratio", "lift at the valve over lift at the lobe, such as 1.5")  # fmt: skip


def _pan_rules(spec: Engine, pan: Pan) -> Iterator[Rule]:
    yield ("pan.floor", pan.floor_mm >= spec.block.pan_rail.height_mm,
           "the pan's floor lies above the rail it is bolted to", "a floor below block.pan_rail.height")  # fmt: skip
    yield ("pan.tray", pan.tray_mm is not None and not pan.floor_mm < pan.tray_mm < 0,
           "the tray lies neither above the floor nor below the crank axis",
           "a height between pan.floor and zero")  # fmt: skip
