"""Refusals of numbers that no ring, bore or groove can have."""

from __future__ import annotations

from math import isfinite

from geometry.errors import GeometryError


def finite(key: str, value: float) -> float:
    """Return the value, or refuse what is not a number."""
    if not isfinite(value):
        raise GeometryError(
            "not_finite", key, f"{value} is not a number that can be worked with", "a finite number"
        )
    return value


def positive(key: str, value: float) -> float:
    """Return the value, or refuse zero and less."""
    if finite(key, value) <= 0:
        raise GeometryError("not_positive", key, f"{value:g} is not above zero", "a value above zero")
    return value


def not_negative(key: str, value: float) -> float:
    """Return the value, or refuse less than zero."""
    if finite(key, value) < 0:
        raise GeometryError("negative", key, f"{value:g} is below zero", "zero or more")
    return value
