"""The quantities of an engine file that can be tried: what each is, what it is now, and a step up or down."""

from __future__ import annotations

import math
from typing import Any, Final

from geometry.spec.described import Described, KnownValue
from geometry.spec.engine import Engine
from geometry.spec.known import look_up
from geometry.units import DIMENSIONS, System, show

STEPS: Final = (1.0, 2.0, 5.0)
SHARE: Final = 0.002
"""Of a value: about what a step is."""


def quantities_of(described: Described, system: System) -> list[dict[str, Any]]:
    """Every quantity that the file holds or that stands in for one it does not hold, in the order of the file."""
    return [_one(value, system) for value in described.values]


def _one(value: KnownValue, system: System) -> dict[str, Any]:
    field, _ = look_up(Engine, value.path)
    kind = DIMENSIONS[value.dimension]
    printed = kind.imperial if system == "in" else kind.metric
    fine = value.dimension in ("length", "angle")
    text = show(value.nominal, value.dimension, system, fine=fine)
    digits = printed.fine_digits if fine else printed.digits
    number = text.removesuffix(printed.label)
    said = "" if field is None or field.description is None else field.description
    known = "assumed" if value.assumed else "in doubt" if value.in_doubt else ""
    low, high = (show(end, value.dimension, system, fine=fine) for end in (value.lowest, value.highest))
    return {
        "key": value.key,
        "words": said.rstrip("."),
        "value": text,
        "number": float(number),
        "unit": printed.label.strip(),
        "digits": digits,
        "step": step_of(float(number), digits),
        "known": f"{known}, {low} to {high}" if known and value.in_doubt else known,
        "assumed": value.assumed,
    }


def step_of(number: float, digits: int) -> float:
    """A round step for a number: about ``SHARE`` of it, no finer than its last digit.

    >>> step_of(88.9, 3), step_of(0.018, 4), step_of(0.0, 1)
    (0.1, 0.0001, 0.1)
    """
    least = 10.0**-digits
    wanted = max(abs(number) * SHARE, least)
    power = 10.0 ** math.floor(math.log10(wanted))
    step = max((each * power for each in STEPS if each * power <= wanted * (1 + 1e-9)), default=power)
    return round(max(step, least), digits)
