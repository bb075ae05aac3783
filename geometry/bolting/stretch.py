"""A bolt as a spring: load from stretch, stretch from load, and the turn of its head that brings it there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

STEEL_MPA: Final = 205_000.0
HEAD_SHARE: Final = 0.4
THREAD_SHARE: Final = 0.5
"""How much of head, and of the thread in its nut or hole, stretches as if it were free, in bolt diameters: usual, 0.4
to 0.5 (VDI 2230, from memory)."""
YIELDED_MM: Final = 0.0254
"""Longer than this than when it was new, a bolt has yielded: a thousandth of an inch, common practice, no source."""


@dataclass(frozen=True, slots=True)
class Spring:
    """One length of a bolt of one area."""

    length_mm: float
    area_mm2: float


def compliance_mm_n(springs: Sequence[Spring], modulus_mpa: float = STEEL_MPA) -> float:
    """How much longer lengths one behind the other become for each newton: the sum of ``l / (A E)`` (Shigley 8-17)."""
    return sum(spring.length_mm / spring.area_mm2 for spring in springs) / modulus_mpa


def stretch_mm(load_n: float, compliance: float) -> float:
    """How much longer a bolt is under a load.

    Parameters
    ----------
    compliance : mm for each newton, as ``compliance_mm_n`` gives it
    """
    return load_n * compliance


def load_n(stretch: float, compliance: float) -> float:
    """The load that made a bolt so much longer, mm.

    Parameters
    ----------
    compliance : mm for each newton, as ``compliance_mm_n`` gives it
    """
    return stretch / compliance


def turn_deg(load_more_n: float, pitch_mm: float, compliance: float, members: float) -> float:
    """Turn of the head that adds so much to the load: the bolt gets longer, the parts give.

    Source: one turn moves the thread by its pitch, which both take up: ``360 F (1/kb + 1/km) / P``
    (Shigley section 8-8, turn of the nut).

    Parameters
    ----------
    load_more_n : above the load from which the turn is counted
    compliance, members : of the bolt and of the parts it clamps, mm for each newton
    """
    return 360.0 * load_more_n * (compliance + members) / pitch_mm


def load_of_turn_n(turn: float, pitch_mm: float, compliance: float, members: float) -> float:
    """What a turn in degrees adds to the load, below the bolt's yield; as ``turn_deg``, the other way."""
    return turn * pitch_mm / (360.0 * (compliance + members))
