"""What shakes an engine, and what its crank is balanced to, in a builder's words."""

from __future__ import annotations

from typing import Final

import numpy as np

from geometry.balance.bob import Balancing
from geometry.balance.factor import BobFactor
from geometry.balance.phasors import Phasor, couple_nm, force_n
from geometry.balance.shaking import Shaking
from geometry.balance.weights import PART_WORDS, PARTS, Weighed
from geometry.units import System, show

UPRIGHT_DEG: Final = 10.0
"""How far a line may lean and still be called up and down, or from side to side."""
TIMES: Final = {1: "once a turn", 2: "twice a turn"}
MACHINE: Final = "the balancing machine decides"
SOURCE_WORDS: Final[dict[Weighed, str]] = {
    "record": "weighed, the build record", "file": "your engine file", "solids": "from the modelled solids, assumed",
    "left out": "left out",
}  # fmt: skip


def turns_against(phasor: Phasor) -> bool:
    """Whether the larger half of it turns against the crank."""
    return abs(phasor.against_crank) > abs(phasor.with_crank)


def line_words(phasor: Phasor) -> str:
    """Where the line lies on which a force swings."""
    angle = phasor.most_deg
    if min(angle, 180.0 - angle) < UPRIGHT_DEG:
        return "up and down"
    if abs(angle - 90.0) < UPRIGHT_DEG:
        return "from side to side"
    side = "left" if angle < 90.0 else "right"
    return f"along a line that leans {min(angle, 180.0 - angle):.0f}° to the engine's {side}"


def shake_lines(shaking: Shaking, speed_rpm: float, system: System) -> tuple[str, ...]:
    """A line for each thing that is left to shake the engine, the first order first; one that says so for none."""
    found = []
    for order, is_couple, phasor in shaking.parts():
        path = shaking.path(phasor, is_couple)
        if path == "none":
            continue
        size = couple_nm(phasor.most, speed_rpm) if is_couple else force_n(phasor.most, speed_rpm)
        peak = show(size, "torque" if is_couple else "force", system, 0)
        verb = "rocks nose against tail" if is_couple else "shakes"
        if path == "line":
            way = line_words(phasor)
        elif path == "circle":
            way = f"round and round, {'against' if turns_against(phasor) else 'with'} the crank"
        else:
            way = f"most {line_words(phasor)}"
        found.append(f"{verb} {way} {TIMES[order]}, up to {peak}")
    return tuple(found) or ("nothing of the first and second order",)


def factor_words(own: BobFactor) -> str:
    """Why the layout asks for its factor."""
    if own.kind == "exact":
        if own.pin_values is not None and np.ptp(own.pin_values) < 0.01:
            return "exact, since two banks at 90° on one pin push evenly all round"
        return "exact, since all that the pistons leave of the first order turns with the crank"
    if own.kind == "free":
        return (
            "open, since the throws balance each other: it only relieves the main bearings; a half is common practice, "
            "no source"
        )
    return "what turns with the crank is balanced, what turns against it stays; any other factor makes the peak larger"


def weights_from(plan: Balancing) -> str:
    """Which weights come from where, over all bores: ``piston, pin: your engine file; ring set: modelled solids``."""
    said: dict[str, list[str]] = {}
    for part in PARTS:
        sources = {one.parts[part].source for one in plan.weights}
        for source, words in SOURCE_WORDS.items():
            if source in sources:
                said.setdefault(words, []).append(PART_WORDS[part])
    if list(said) == [SOURCE_WORDS["solids"], SOURCE_WORDS["left out"]]:
        return f"assumed, all from the modelled solids; {PART_WORDS['locks']} left out"
    if len(said) == 1:
        words = next(iter(said))
        return f"all by {words}" if words == SOURCE_WORDS["file"] else f"all {words}"
    return "; ".join(f"{', '.join(parts)}: {words}" for words, parts in said.items())
