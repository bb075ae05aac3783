"""How well a quantity is known, as the trade writes it: ``5.700 in +- 2 thou``, ``about 1.30 in``, or plain."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from geometry.units import parse

Origin: TypeAlias = Literal["measured", "read", "about", "filled"]
"""Where a value comes from: written as measured (plain, or with its tolerance), read in a build record, written as
``about``, or not written at all and filled by proportion. The last two are assumed."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """What one text says of a quantity, in the house unit of its dimension.

    Attributes
    ----------
    nominal : the value that is counted with
    minus, plus : how far the true value may lie below and above, zero or more; zero where the text is plain or
        says only ``about``
    about : the text says ``about`` and no more, so that the share by kind of dimension holds
    """

    nominal: float
    minus: float = 0.0
    plus: float = 0.0
    about: bool = False


def read_doubtful(text: str, dimension: str) -> Doubt:
    """Read a quantity with or without its doubt.

    Raises
    ------
    UnitError : as ``units.parse``
    """
    return Doubt(parse(text, dimension))
