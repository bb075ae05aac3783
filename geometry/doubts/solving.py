"""One value found by root search: the nearest to what it is now at which an answer becomes what is wanted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from geometry.errors import GeometryError, InputError

AnswerAt: TypeAlias = Callable[[float], float]
"""An answer at one value; raises ``ValueError`` where there is no such engine, as all refusals of the house do."""

FIRST_STEP: Final = 0.02
"""First step away from the present value, as a share of it; each step is twice the one before."""
FARTHEST: Final = 10.0
"""How far the search goes, as a multiple of the present value: beyond that it is another engine."""
EDGE_HALVINGS: Final = 12
"""How often the way to a value at which there is no engine is halved."""
SHARE_CLOSE: Final = 1e-10
"""How closely a root is found, as a share of the value."""


@dataclass(frozen=True, slots=True)
class Reached:
    """One end of the range that was searched.

    Attributes
    ----------
    value, answer : the last value at which there is an engine, and the answer there
    why : why it goes no farther
    """

    value: float
    answer: float
    why: str


@dataclass(frozen=True, slots=True)
class Root:
    """The value at which the answer is what is wanted."""

    value: float


@dataclass(frozen=True, slots=True)
class NoRoot:
    """There is none in the range that was searched."""

    low: Reached
    high: Reached

    @property
    def idle(self) -> bool:
        """Whether the answer is the same at both ends: it does not follow from this value."""
        return abs(self.low.answer - self.high.answer) <= 1e-9 * max(1.0, abs(self.low.answer))


@dataclass(slots=True)
class _Side:
    """The search on one side of the present value."""

    way: Literal[-1, 1]
    at: float
    short: float
    """The answer less what is wanted, at the last value at which there is an engine."""
    why: str = ""


def solve(
    answer: AnswerAt, wanted: float, start: float, limits: tuple[float, float], least_step: float
) -> Root | NoRoot:
    """Search the nearest value to the present one, outwards in growing steps either way, then by Brent's method.

    A value at which there is no engine ends a side; how far it goes is then found by halving.

    Parameters
    ----------
    answer : the answer at a value
    wanted : what it is to be
    start : the present value, at which there is an engine
    limits : least and most that the value may be
    least_step : least first step, for a value near zero

    Raises
    ------
    ValueError : there is no answer at the present value
    """
    short = answer(start) - wanted
    if short == 0.0:
        return Root(start)
    farthest = max(FARTHEST * abs(start), 1000.0 * least_step)
    ends = (max(limits[0], start - farthest), min(limits[1], start + farthest))
    sides = (_Side(-1, start, short), _Side(1, start, short))
    step = max(FIRST_STEP * abs(start), least_step)
    while not all(side.why for side in sides):
        found = [
            bracket
            for side in sides
            if not side.why
            for bracket in _advance(side, step, answer, wanted, ends)
        ]
        if found:
            return Root(min((_brent(answer, wanted, *pair) for pair in found), key=lambda x: abs(x - start)))
        step *= 2.0
    low, high = (Reached(side.at, side.short + wanted, side.why) for side in sides)
    return NoRoot(low, high)


def _advance(
    side: _Side, step: float, answer: AnswerAt, wanted: float, ends: tuple[float, float]
) -> list[tuple[float, float]]:
    """Go one step on; gives the two values between which the answer becomes what is wanted, if it does."""
    end = ends[side.way > 0]
    ahead = side.at + side.way * step
    if side.way * (ahead - end) >= 0.0:
        ahead, side.why = end, "the search ends here"
    refused, beyond = False, ahead
    for _ in range(1 + EDGE_HALVINGS):
        try:
            there = answer(ahead) - wanted
        except (ValueError, ArithmeticError) as bad:
            side.why, refused, beyond = _reason(bad), True, ahead
        else:
            behind, before = side.at, side.short
            side.at, side.short = ahead, there
            if before * there <= 0.0:
                return [(min(behind, ahead), max(behind, ahead))]
            if not refused:
                break
        ahead = (side.at + beyond) / 2.0
    return []


def _reason(bad: ValueError | ArithmeticError) -> str:
    """What was refused, without the place in a file, where no user wrote the value."""
    if isinstance(bad, InputError):
        return bad.problems[0].what
    return bad.what if isinstance(bad, GeometryError) else str(bad) or "there is no such engine"


def _brent(answer: AnswerAt, wanted: float, low: float, high: float) -> float:
    from scipy.optimize import brentq  # slow to import, and every check would pay for it

    close = SHARE_CLOSE * max(abs(low), abs(high))
    return float(brentq(lambda value: answer(value) - wanted, low, high, xtol=max(close, 1e-15)))
