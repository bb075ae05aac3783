"""What the rows about valves rest on: lift and timing of each valve, and which of it the engine file does not say."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from geometry.kinematics.valve_lift import Known, ValveTiming, valve_timings
from geometry.spec.engine import Engine
from geometry.spec.top import ROCKER
from geometry.units import System, show_fine

HOW: Final = (
    "Valves: gaps to the crown are along the bore, as clay tells them. Each lift is that of a flat follower on a lobe "
    "of two circles. Assumed: the valve stands parallel to the bore, its head is flat, the gear has no play."
)
NONE: Final = "No [[head.valves]] in the engine file: no piston is held against a valve."


def valve_notes(spec: Engine, system: System) -> tuple[str, ...]:
    """One line about all valves and one for each that differs."""
    lines = dict.fromkeys(_line(spec, timing, system) for timing in valve_timings(spec))
    return (HOW, *lines) if lines else (NONE,)


def assumed_words(spec: Engine, numbers: Sequence[int]) -> str:
    """Which of lift, duration and lobe centre is assumed for valves, by their numbers in the file; empty: none."""
    timings = [timing for timing in valve_timings(spec) if timing.number in numbers]
    found = {
        "lift": any(t.lift_from is Known.ASSUMED for t in timings),
        "duration": any(t.duration_from is Known.ASSUMED for t in timings),
        "lobe centre": any(t.centre_from is Known.ASSUMED for t in timings),
    }
    return ", ".join(words for words, assumed in found.items() if assumed)


def _line(spec: Engine, timing: ValveTiming, system: System) -> str:
    full = show_fine(timing.curve.full_mm, system)
    after, seat = timing.full_after_deg, timing.seat_below_mm
    where = f"{abs(after):g}° {'after' if after > 0 else 'before'} top dead centre"
    stands = f"{show_fine(abs(seat), system)} {'below' if seat > 0 else 'above'} the head's face"
    return (
        f"{timing.valve.valve.capitalize()} valve: lift {full} ({_lift(spec, timing)}), open for "
        f"{timing.curve.duration_deg:.0f}° ({_duration(timing)}), fully open {where} ({_centre(timing)}); on its seat "
        f"it stands {stands}."
    )


def _lift(spec: Engine, timing: ValveTiming) -> str:
    if timing.lift_from is Known.FILE:
        return "your engine file"
    if spec.cam is not None:
        return f"assumed: the lobe's times a rocker ratio of {ROCKER:g}, common practice, no source"
    return "assumed: a quarter of its diameter"


def _duration(timing: ValveTiming) -> str:
    return {
        Known.FILE: "your engine file",
        Known.LOBE: "your engine file: the lobe as drawn",
        Known.ASSUMED: "assumed: common practice, no source",
    }[timing.duration_from]


def _centre(timing: ValveTiming) -> str:
    known = timing.centre_from is Known.FILE
    return "your engine file" if known else "assumed: common practice, no source"
