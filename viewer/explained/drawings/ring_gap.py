"""The top ring's gap close up: with a feeler blade of the wanted thickness, and what heat or gas then does in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.mistakes.rings.ring_words import ring_fit
from geometry.rings.fitted import RingFit
from geometry.units import show
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing
from viewer.explained.pen import INK, PAPER, RIGHT, WRONG, Ground, Pen, Xy

SPLIT: Final = 0.60
"""Share of the half's height that the lower picture has; the blade in the cold gap has the rest."""
FAR: Final = 60.0
TIMES_RIGHT, TIMES_WRONG = 5.0, 2.2
"""Least width of the frame by the gap of each half."""


@dataclass(frozen=True, slots=True)
class _Close:
    """What is drawn: the frame, mm; the gap cold and hot; the blade."""

    wide: float
    tall: float
    cold: float
    hot: float
    blade: float

    @property
    def split(self) -> float:
        return SPLIT * self.tall


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """Above: the cold gap seen from the deck, blade in it. Below: the same hot, or the gas that goes through it."""
    fits = [ring_fit(case.side(half), case.place, "top") for half in (False, True)]
    fit, tight = fits[wrong], too_tight(case)
    wide_in, high_in = pen.size_in
    wide = max(TIMES_RIGHT * fits[0].gap_mm, TIMES_WRONG * fits[1].gap_mm, TIMES_WRONG * blade_mm(case))
    close = _Close(wide, wide * high_in / wide_in, fit.gap_mm, fit.hot.hot_gap_mm, blade_mm(case))
    pen.frame(-wide / 2, wide / 2, 0.0, close.tall)
    _cold(pen, close, wrong)
    (_heat if tight else _gas)(pen, close, case, wrong)
    pen.line(np.array([[-FAR, close.split], [FAR, close.split]]), colour=PAPER, width=7.0, level=8.0)
    _words(pen, case, close, fit, wrong)
    return (0.0, 0.42 * close.tall)


def too_tight(case: MistakeCase) -> bool:
    """Whether the mistake is a gap that is smaller than it was; else it is wider."""
    right, wrong = (ring_fit(case.side(half), case.place, "top").gap_mm for half in (False, True))
    return wrong < right


def blade_mm(case: MistakeCase) -> float:
    """Thickness of the feeler blade: the least gap, which must go in."""
    return ring_fit(case.right, case.place, "top").verdict.target.min_mm


def _box(x0: float, x1: float, y0: float, y1: float) -> Array:
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])


def _ends(pen: Pen, gap: float, low: float, high: float, ground: Ground) -> None:
    """Both ends of the ring, the gap between them; where it is below zero they would share what is red."""
    for way in (-1.0, 1.0):
        pen.fill(_box(way * max(gap, 0.0) / 2, way * FAR, low, high), ground, accent=True, level=3.0)
    if gap < 0:
        pen.bite(_box(gap / 2, -gap / 2, low, high), level=3.5)


def _cold(pen: Pen, close: _Close, wrong: bool) -> None:
    low, wall = close.split, close.split + 0.74 * (close.tall - close.split)
    pen.fill(_box(-FAR, FAR, wall, FAR), "block", level=1.0)
    _ends(pen, close.cold, low, wall, "ring")
    blade = _box(-close.blade / 2, close.blade / 2, low, wall - 0.10 * (wall - low))
    pen.fill(blade, "tool", level=4.0)
    over = (close.blade - close.cold) / 2
    if over > 0:  # the blade does not go in: what it would share with each end
        for way in (-1.0, 1.0):
            edge = way * close.cold / 2
            pen.bite(_box(edge, edge + way * over, low, wall - 0.10 * (wall - low)), level=4.5)


def _heat(pen: Pen, close: _Close, case: MistakeCase, wrong: bool) -> None:
    """The same gap at running temperature; ends that have met push the ring out against the wall."""
    wall = 0.86 * close.split
    pen.fill(_box(-FAR, FAR, wall, close.split), "block", level=1.0)
    _ends(pen, close.hot, -1.0, wall, "hot")
    if close.hot < 0:
        for x in (-0.455, 0.455):
            pen.arrow((x * close.wide, 0.5 * wall), (x * close.wide, 1.03 * wall), colour=WRONG, width=4.0)
        for way in (-1.0, 1.0):
            pen.arrow(
                (way * 0.28 * close.wide, 0.25 * wall),
                (way * 0.06 * close.wide, 0.25 * wall),
                colour=WRONG,
                width=4.0,
            )


def _gas(pen: Pen, close: _Close, case: MistakeCase, wrong: bool) -> None:
    """Seen from the wall: chamber above, the ring on edge, the gas that goes through its gap."""
    ring = case.design.rings.top
    scale = min(1.0, 0.34 * close.split / ring.height_mm)
    low = 0.34 * close.split
    high, gap = low + scale * ring.height_mm, scale * close.cold
    pen.fill(_box(-FAR, FAR, high, close.split), "gas", level=1.0, edge=False)
    pen.fill(_box(-FAR, FAR, -1.0, low), "piston", level=1.0, hatch=False)
    for way in (-1.0, 1.0):
        pen.fill(_box(way * gap / 2, way * FAR, low, high), "ring", accent=True, level=3.0)
    spread = 1.5 * gap
    jet = [
        [-gap / 2, high],
        [-gap / 2, low],
        [-spread, -1.0],
        [spread, -1.0],
        [gap / 2, low],
        [gap / 2, high],
    ]
    pen.fill(np.array(jet), "gas", level=2.0, edge=False)
    for x in (-0.3, 0.0, 0.3) if wrong else (0.0,):
        tip = (1.6 * x * gap, 0.04 * close.split)
        pen.arrow(
            (x * gap, high + 0.5 * (close.split - high)),
            tip,
            colour=WRONG if wrong else INK,
            width=4.0 if wrong else 1.6,
        )


def _words(pen: Pen, case: MistakeCase, close: _Close, fit: RingFit, wrong: bool) -> None:
    (left, right), colour = pen.axis.get_xlim(), WRONG if wrong else RIGHT
    wide, room = right - left, close.tall - close.split
    tight = too_tight(case)
    pen.label("bore wall, cold", (left + 0.15 * wide, close.tall - 0.12 * room), small=True)
    pen.label("top ring", (left + 0.1 * wide, close.split + 0.55 * room), small=True)
    at = (0.0, close.split + 0.55 * room)
    text = f"feeler blade {case.length(close.blade)}\n(the least gap)"
    pen.label(text, at, (right - 0.17 * wide, close.split + 0.2 * room), colour=INK, small=True)
    level = close.split + 0.69 * room
    place = (0.18 * wide, close.tall - 0.12 * room)
    goes = "the blade goes in" if close.cold >= close.blade else "the blade does not"
    if close.cold > 2 * close.blade:
        goes = "the blade has room"
    state = case.as_assumed(_state(fit))
    said = f"gap {case.length(close.cold)} ({_limits(case, fit)})\n{state}: {goes}"
    pen.dimension((-close.cold / 2, level), (close.cold / 2, level), said, place, colour=colour)
    (_hot_words if tight else _gas_words)(pen, case, close, fit, wrong)


def _limits(case: MistakeCase, fit: RingFit) -> str:
    target = fit.verdict.target
    least = case.length(target.min_mm)
    return f"at least {least}" if target.max_mm is None else f"{least} to {case.length(target.max_mm)}"


def _state(fit: RingFit) -> str:
    """The verdict on the gap; where nobody gives a greatest gap, how often the least goes into it."""
    target = fit.verdict.target
    if fit.verdict.state == "within" and target.max_mm is None and fit.gap_mm > 2 * target.min_mm:
        return f"{fit.gap_mm / target.min_mm:.0f} times the least"
    return {"below": "too small", "above": "too wide"}.get(fit.verdict.state, fit.verdict.state)


def _hot_words(pen: Pen, case: MistakeCase, close: _Close, fit: RingFit, wrong: bool) -> None:
    (left, right), colour = pen.axis.get_xlim(), WRONG if close.hot < 0 else RIGHT
    wide, wall = right - left, 0.86 * close.split
    assumed = "" if fit.hot.heat.source.certainty == "stated" else " (assumed)"
    heat = show(fit.hot.heat.ring_c, "temperature", case.system, 0)
    pen.label(f"hot: ring {heat}{assumed}", (left + 0.2 * wide, 0.93 * close.split), small=True)
    level, place = 0.78 * wall, (left + 0.2 * wide, 0.62 * wall)
    half = abs(close.hot) / 2
    if close.hot < 0:
        text = f"ends meet and\npush: {case.length(-close.hot)}\ntoo long"
        meets = show(fit.hot.butts_at_ring_c, "temperature", case.system, 0)
        pen.label(f"they meet at {meets}", (left + 0.22 * wide, 0.1 * wall), colour=colour, bold=True)
    else:
        text = f"{case.length(close.hot)} left open\n(must stay above zero)"
    pen.dimension((-half, level), (half, level), text, place, colour=colour)


def _gas_words(pen: Pen, case: MistakeCase, close: _Close, fit: RingFit, wrong: bool) -> None:
    (left, right), colour = pen.axis.get_xlim(), WRONG if wrong else INK
    wide = right - left
    pen.label("chamber: gas under pressure", (left + 0.25 * wide, 0.9 * close.split), small=True)
    pen.label("piston land, seen from the wall", (left + 0.22 * wide, 0.06 * close.split), small=True)
    text = f"open to the gas\n{show(fit.area_mm2, 'area', case.system, fine=True)}"
    pen.label(
        text, (0.0, 0.5 * close.split), (right - 0.15 * wide, 0.5 * close.split), colour=colour, bold=True
    )


def said(case: MistakeCase) -> str:
    """What is seen above and below."""
    if too_tight(case):
        return "The gap seen from the deck, cold and hot, to scale with the blade, greatly enlarged; curves left out."
    return (
        "Above: the gap seen from the deck, to scale with the blade, greatly enlarged. Below: the ring on edge seen "
        "from the wall, at a scale of its own, and the gas that goes through; curves left out."
    )


DRAWING = Drawing("ring_gap", draw, said)
