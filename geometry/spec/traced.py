"""Numbers that remember which values they were worked out from, so that a rule says by itself what it hangs on."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Final, TypeAlias

Slopes: TypeAlias = "Mapping[str, float]"
"""Change of a number by one unit of each value that it was worked out from, by key."""
_COMPARED: Final[ContextVar[list[Traced] | None]] = ContextVar("compared", default=None)


class Traced(float):
    """A float with its slopes; sums, differences, products, quotients and powers keep them.

    Whatever turns it into a plain float (``math.cos``, say) loses them.
    """

    slopes: Slopes

    def __new__(cls, value: float, slopes: Slopes) -> Traced:
        """Make one of a value and its slopes."""
        made = super().__new__(cls, value)
        made.slopes = slopes
        return made

    def __add__(self, other: float) -> Traced:
        return _joined(float(self) + float(other), (self, 1.0), (other, 1.0))

    __radd__ = __add__

    def __sub__(self, other: float) -> Traced:
        return _joined(float(self) - float(other), (self, 1.0), (other, -1.0))

    def __rsub__(self, other: float) -> Traced:
        return _joined(float(other) - float(self), (other, 1.0), (self, -1.0))

    def __mul__(self, other: float) -> Traced:
        return _joined(float(self) * float(other), (self, float(other)), (other, float(self)))

    __rmul__ = __mul__

    def __truediv__(self, other: float) -> Traced:
        whole, part = float(self), float(other)
        return _joined(whole / part, (self, 1.0 / part), (other, -whole / part**2))

    def __rtruediv__(self, other: float) -> Traced:
        whole, part = float(other), float(self)
        return _joined(whole / part, (other, 1.0 / part), (self, -whole / part**2))

    def __pow__(self, power: float, _modulus: None = None) -> Traced:
        base = float(self)
        slope = power * base ** (power - 1.0) if base else 0.0
        return _joined(base**power, (self, slope))

    def __neg__(self) -> Traced:
        return _joined(-float(self), (self, -1.0))

    def __abs__(self) -> Traced:
        return self if self >= 0.0 else -self

    def __lt__(self, other: float) -> bool:
        return _noted(self, other, float.__lt__)

    def __le__(self, other: float) -> bool:
        return _noted(self, other, float.__le__)

    def __gt__(self, other: float) -> bool:
        return _noted(self, other, float.__gt__)

    def __ge__(self, other: float) -> bool:
        return _noted(self, other, float.__ge__)


def _joined(value: float, *parts: tuple[float, float]) -> Traced:
    """A number whose slopes are those of its parts, each times its own slope."""
    slopes: dict[str, float] = {}
    for part, slope in parts:
        for key, inner in getattr(part, "slopes", {}).items():
            slopes[key] = slopes.get(key, 0.0) + slope * inner
    return Traced(value, slopes)


def _noted(one: Traced, other: float, compare: Callable[[float, float], bool]) -> bool:
    kept = _COMPARED.get()
    if kept is not None:
        kept.append(one - other)
    return compare(float(one), float(other))


@contextmanager
def comparisons() -> Iterator[list[Traced]]:
    """Keep the difference of every two numbers that are compared meanwhile, one of them traced."""
    kept: list[Traced] = []
    token = _COMPARED.set(kept)
    try:
        yield kept
    finally:
        _COMPARED.reset(token)
