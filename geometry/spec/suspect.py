"""What to say of the value of an engine file that is most likely at fault."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from math import floor, log10
from typing import Final

from geometry.unit_text import NUMBER, pieces_of
from geometry.units import System, show

INCH: Final = 25.4
SLIPS: Final = (10.0, 100.0, 1000.0, INCH)
"""Factors of a slip of the pen: the decimal point, and inches for millimetres."""
_WORDS: Final = {
    10.0: ("ten times", "a tenth of"), 100.0: ("a hundred times", "a hundredth of"),
    1000.0: ("a thousand times", "a thousandth of"), INCH: ("25.4 times", "one 25.4th of"),
}  # fmt: skip
_NEAR: Final = 1.5
"""Two values that lie nearer than this are told by their difference, others by their ratio."""


@dataclass(frozen=True, slots=True)
class Suspect:
    """The value most likely at fault.

    Attributes
    ----------
    key : as the user writes it
    dimension : a key of ``units.DIMENSIONS``
    value, usual : what it is, and what its neighbours suggest, in the house unit
    neighbours : the keys that suggest it, the most telling first
    slip : the value over the usual one where that is a slip of the pen (10, 100, 1000 or 25.4, or one over these);
        0 for none
    alone : changing it alone would make everything usual
    """

    key: str
    dimension: str
    value: float
    usual: float
    neighbours: tuple[str, ...]
    slip: float
    alone: bool

    def what(self, system: System, written: str = "") -> str:
        """What is odd about it.

        Parameters
        ----------
        system : units for what is not written
        written : the value as it stands in the file, where that is known
        """
        value = pieces_of(written).value if written else _shown(self.value, self.dimension, system)
        *rest, last = self.neighbours or ("",)
        told = (
            f"what {', '.join(rest)} and {last} suggest"
            if rest
            else f"what {last} suggests"
            if last
            else "usual"
        )
        if self.slip:
            over = self.slip >= 1.0
            nearest = min(SLIPS, key=lambda one: abs(one - (self.slip if over else 1.0 / self.slip)))
            return f"{value} is {_WORDS[nearest][not over]} {told}"
        times = self.value / self.usual
        if 1.0 / _NEAR < times < _NEAR:
            apart = _shown(abs(self.value - self.usual), self.dimension, system)
            return f"{value} is {apart} {'more' if times > 1.0 else 'less'} than {told}"
        return f"{value} is {times:.2g} times {told}"

    def right(self, system: System, written: str = "") -> str:
        """What may have been meant; parameters as ``what``."""
        usual = _shown(self.usual, self.dimension, system)
        if not self.slip:
            return f"usual would be about {usual}"
        return f"did you mean {_put_right(pieces_of(written).value, self.slip) or usual}?"


def _put_right(written: str, slip: float) -> str:
    """The text as written, less a slip of the pen; empty where it is not a decimal number."""
    found = NUMBER.fullmatch(written)
    if found is None or "/" in found[1]:
        return ""
    unit = found[2].strip()
    if abs(slip - INCH) < 1e-9 or abs(slip * INCH - 1.0) < 1e-9:
        other = {"in": "mm", "mm": "in"}.get(unit, "")
        return f"{found[1]} {other}" if other == ("mm" if slip > 1.0 else "in") else ""
    number = Decimal(found[1]) / Decimal(repr(slip))
    return f"{number.normalize():f} {unit}"


def _shown(value: float, dimension: str, system: System) -> str:
    """With four figures or fewer."""
    in_unit = abs(value) / INCH if dimension == "length" and system == "in" else abs(value)
    digits = 3 - floor(log10(in_unit)) if in_unit > 0.0 else 3
    text = show(value, dimension, system, min(max(digits, 0), 6))
    number, _, unit = text.partition(" ")
    return f"{number.rstrip('0').rstrip('.') if '.' in number else number} {unit}".strip()
