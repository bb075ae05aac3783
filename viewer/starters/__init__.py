"""Starter engine files: one for each usual layout, with a comment at every number, that pass their checks.

The starters are written in millimetres and share one set of rods, pistons and rings. In inches each is the same
engine at 25.4/25 of the size, because 25 mm to the inch keeps round numbers round and every fit in proportion.
"""

from __future__ import annotations

import re
from importlib.resources import files
from typing import Final

_SHARED: Final = "rotating_parts"
_PLACE: Final = "#: rotating parts\n"
_MM_FOR_AN_INCH: Final = 25.0
_CONVERSIONS: Final = (
    ("mm", "in", 1 / _MM_FOR_AN_INCH, None),
    ("cc", "cc", (25.4 / _MM_FOR_AN_INCH) ** 3, 1),
    (r"N\*m", "lbf*ft", 1 / 1.3558, 0),
    ("MPa", "ksi", 1 / 6.8948, 0),
)
"""Unit as written, unit wanted, factor, digits behind the point; None: as many as the number as written asks for."""


def names() -> tuple[str, ...]:
    """The layouts there is a starter for."""
    found = (entry.name for entry in files(__name__).iterdir())
    return tuple(
        sorted(name.removesuffix(".toml") for name in found if name.endswith(".toml") and _SHARED not in name)
    )


def text(name: str, units: str = "mm") -> str:
    """A starter as TOML.

    Parameters
    ----------
    name : one of ``names()``
    units : what lengths are written in, ``mm`` or ``in``

    Raises
    ------
    KeyError
        When there is no such starter.
    """
    if name not in names():
        raise KeyError(name)
    whole = _read(name).replace(_PLACE, _read(_SHARED))
    return whole if units == "mm" else _in_inches(whole)


def _read(name: str) -> str:
    return files(__name__).joinpath(f"{name}.toml").read_text(encoding="utf-8")


def _in_inches(metric: str) -> str:
    return "".join(_line_in_inches(line) + "\n" for line in metric.splitlines())


def _line_in_inches(line: str) -> str:
    """One line with every quantity converted and its remark kept where it stood."""
    code, mark, remark = line.partition("#")
    column = len(code)
    for pattern, unit, factor, digits in _CONVERSIONS:
        code, remark = (_converted(part, pattern, unit, factor, digits) for part in (code, remark))
    if not mark:
        return code
    return f"{code.rstrip():<{column - 1}} {mark}{remark}" if column else mark + remark


def _converted(part: str, pattern: str, unit: str, factor: float, digits: int | None) -> str:
    def number(found: re.Match[str]) -> str:
        value, decimals = float(found[1]) * factor, len(found[1].partition(".")[2])
        keep = (
            digits
            if digits is not None
            else decimals + (1 if abs(round(value, decimals + 1) - value) < 1e-9 else 2)
        )
        return f"{value:.{keep}f} {unit}"

    return re.sub(rf"(?<![\w.])(-?\d+(?:\.\d+)?) {pattern}(?!\w)", number, part)
