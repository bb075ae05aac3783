"""The way that a film of a mistake takes: through the angles at which it shows, slowly where the trouble is."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from geometry.mistakes.mistake import CrankArc
from viewer.explained.case import MistakeCase

BEFORE_DEG, MARGIN_DEG, FAST_DEG, SLOW_DEG = 24.0, 4.0, 3.0, 0.75
"""How far before and after the trouble a film of a close-up begins and ends, where it slows down, and its steps: at 24
pictures a second seventy degrees a second, and eighteen in the trouble."""


def arc_of(case: MistakeCase, crank_deg: float) -> CrankArc:
    """Where something is met, in the stretch nearest to an angle; that angle alone where nothing is."""
    period = case.study.signature.period_deg
    arcs = case.study.signature.tight
    if not arcs:
        return CrankArc(crank_deg, crank_deg, 0.0)

    def away(arc: CrankArc) -> float:
        middle = (arc.start_deg + arc.end_deg) / 2
        return abs((crank_deg - middle + period / 2) % period - period / 2)

    return min(arcs, key=away)


def slow_through(arc: CrankArc, before_deg: float = BEFORE_DEG) -> Sequence[float]:
    """Crank angles from before a stretch to as far behind it."""
    start, end = arc.start_deg - MARGIN_DEG, arc.end_deg + MARGIN_DEG
    there = np.arange(arc.start_deg - before_deg, start, FAST_DEG)
    slow = np.linspace(start, end, max(2, round((end - start) / SLOW_DEG)) + 1)
    away = np.arange(end + FAST_DEG, arc.end_deg + before_deg, FAST_DEG)
    return [float(angle) for angle in np.concatenate([there, slow, away])]


def crank_said(case: MistakeCase, crank_deg: float) -> tuple[str, bool]:
    """The angle, and whether something is met there."""
    signature = case.study.signature
    period = signature.period_deg
    inside = any(
        (crank_deg - arc.start_deg) % period <= arc.end_deg - arc.start_deg for arc in signature.tight
    )
    where = f"crank {crank_deg % 720.0:.0f}°"
    return (
        f"{where}: {case.as_assumed('hits, wrong')}; a real crank stops here" if inside else where
    ), inside
