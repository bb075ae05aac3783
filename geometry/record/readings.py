"""What a reading proves: an interval, because every instrument has a step below which it is blind."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isinf
from typing import Final, Literal, TypeAlias

from geometry.record.entry import (
    AngleReading,
    BoreReading,
    ClearanceReading,
    DepthReading,
    Entry,
    GapReading,
    MassReading,
    PartsChosen,
    SizeReading,
    TorqueReading,
)
from geometry.record.instruments import Instruments
from geometry.units import System, show, show_thou

State: TypeAlias = Literal["below", "within", "above", "cannot tell"]
Reading: TypeAlias = (
    ClearanceReading | DepthReading | SizeReading | TorqueReading | AngleReading | MassReading
)

_ROUNDING: Final = 1e-9
SMALL_MM: Final = 6.0
"""Lengths below this are spoken of in thou by a builder who works in inches."""


@dataclass(frozen=True, slots=True)
class Interval:
    """A value known to lie between two ends, in the house unit of its dimension.

    Attributes
    ----------
    low, high : the ends; the upper one may be infinite
    below_high : True when the value is known to be less than ``high``: a tight blade
    """

    low: float
    high: float
    below_high: bool = False

    @property
    def middle(self) -> float:
        """The best single figure: the middle, or the lower end where nothing is known above it."""
        return self.low if isinf(self.high) else (self.low + self.high) / 2

    def minus(self, other: Interval) -> Interval:
        """The difference of two values known to lie in two intervals."""
        return Interval(self.low - other.high, self.high - other.low, self.below_high)

    def judged(self, least: float | None, most: float | None) -> State:
        """Compare with limits, which themselves are allowed.

        Returns
        -------
        A word that holds for every value in the interval, or ``cannot tell``.
        """
        low, high = self.low, self.high
        floor = -inf if least is None else least
        ceiling = inf if most is None else most
        slack = _ROUNDING * max(1.0, abs(low))
        if high < floor - slack or (self.below_high and high <= floor + slack):
            return "below"
        if low > ceiling + slack:
            return "above"
        return "within" if low >= floor - slack and high <= ceiling + slack else "cannot tell"


def around(value: float, resolution: float, floor: float | None = None) -> Interval:
    """Interval of a value read off to the nearest step: half a step either way, not below ``floor``."""
    low, high = value - resolution / 2, value + resolution / 2
    return Interval(low if floor is None else max(low, floor), high)


def interval_of(reading: Reading, instruments: Instruments, instrument: str) -> Interval:
    """Work out all that a reading proves.

    Parameters
    ----------
    reading : the entry
    instruments : the record's instruments
    instrument : the field of ``instruments`` that holds the usual one for this reading

    Returns
    -------
    In mm, N m, kg or degrees.
    """
    usual = float(getattr(instruments, instrument))
    if isinstance(reading, TorqueReading):
        return around(reading.value_nm, reading.resolution_nm or usual, 0.0)
    if isinstance(reading, MassReading):
        return around(reading.value_kg, reading.resolution_kg or usual, 0.0)
    if isinstance(reading, AngleReading):
        return around(reading.value_deg, reading.resolution_deg or usual)
    if isinstance(reading, ClearanceReading):
        if reading.go_mm is not None:
            step = (
                reading.resolution_mm or instruments.feeler_mm or inf
            )  # with one figure the next blade was tight
            tight = reading.go_mm + step if reading.tight_mm is None else reading.tight_mm
            return Interval(reading.go_mm, tight, below_high=True)
        return around(reading.value_mm or 0.0, reading.resolution_mm or usual, 0.0)
    floor = None if isinstance(reading, DepthReading) else 0.0
    return around(reading.value_mm, reading.resolution_mm or usual, floor)


def length_text(value_mm: float, system: System, *, small: bool = True) -> str:
    """A length as it is spoken of at the bench: thou when small and in inches, else with its unit."""
    if small and system == "in" and abs(value_mm) < SMALL_MM:
        return show_thou(value_mm, 1)
    return show(value_mm, "length", system, fine=True)


def value_text(value: float, dimension: str, system: System) -> str:
    """A value in the house unit of its dimension, as the builder reads it."""
    return length_text(value, system) if dimension == "length" else show(value, dimension, system)


def reading_text(entry: Entry, system: System) -> str:
    """An entry as it would be spoken: ``18.0 thou goes, 19.0 thou is tight``."""
    match entry:
        case TorqueReading():
            return show(entry.value_nm, "torque", system)
        case MassReading():
            return show(entry.value_kg, "mass", system)
        case AngleReading():
            datum = " from thrust side" if entry.datum == "thrust" else ""
            return show(entry.value_deg, "angle", system, 0) + datum
        case BoreReading():
            sizes = (length_text(size, system, small=False) for size in (entry.along_mm, entry.across_mm))
            return f"{' x '.join(sizes)} at {length_text(entry.depth_mm, system, small=False)}"
        case ClearanceReading():
            depth_mm = entry.depth_mm if isinstance(entry, GapReading) else None
            where = f" at {show(depth_mm, 'length', system)} below the deck" if depth_mm is not None else ""
            if entry.go_mm is None:
                return length_text(entry.value_mm or 0.0, system) + where
            tight = f", {length_text(entry.tight_mm, system)} is tight" if entry.tight_mm is not None else ""
            return f"{length_text(entry.go_mm, system)} goes{tight}{where}"
        case DepthReading() | SizeReading():
            return length_text(entry.value_mm, system)
        case PartsChosen():
            return ", ".join(f"{kind} {name}" for kind, name in entry.chosen().items())
    return str(getattr(entry, "value", "")).replace("_", " ")


def interval_text(known: Interval, dimension: str, system: System) -> str:
    """An interval in words: ``11.0 thou to 12.0 thou``."""
    low = value_text(known.low, dimension, system)
    if isinf(known.high):
        return f"at least {low}"
    high = value_text(known.high, dimension, system)
    return low if low == high else f"{low} to {high}"
