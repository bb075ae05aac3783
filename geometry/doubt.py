"""How well a quantity is known, as the trade writes it: ``5.700 in +- 2 thou``, ``about 1.30 in``, or plain."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal, TypeAlias

from geometry.unit_text import NUMBER, Pieces, pieces_of, units_of
from geometry.units import DIMENSIONS, UnitError, parse

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
    about : the text says ``about``; where it says no more, the share by kind of dimension holds
    """

    nominal: float
    minus: float = 0.0
    plus: float = 0.0
    about: bool = False

    @property
    def lowest(self) -> float:
        """The least that the text allows; of a plain ``about`` the nominal."""
        return exact_sum(self.nominal, -self.minus) if self.minus else self.nominal

    @property
    def highest(self) -> float:
        """The most that the text allows; of a plain ``about`` the nominal."""
        return exact_sum(self.nominal, self.plus) if self.plus else self.nominal

    @property
    def own(self) -> bool:
        """The text itself says how far the value may be out."""
        return self.minus > 0.0 or self.plus > 0.0


def exact_sum(nominal: float, step: float) -> float:
    """The sum of two numbers as their shortest decimals say, so that 144.78 less 0.0508 is 144.7292."""
    return float(Fraction(repr(nominal)) + Fraction(repr(step)))


def read_doubtful(text: str, dimension: str) -> Doubt:
    """Read a quantity with or without its doubt.

    A number without a unit takes that of the next number after it: ``5.700 +- 0.002 in``, ``5.700 in +0 -3 thou``.
    A tolerance of temperature is a difference of temperature.

    Parameters
    ----------
    text : a quantity, perhaps after ``about``, ``ca.`` or ``~``, perhaps before ``+- 2 thou``, ``± 2 thou``,
        ``+0 -3 thou`` or ``+3/-0 thou``
    dimension : a key of ``units.DIMENSIONS``

    Raises
    ------
    UnitError : as ``units.parse``; a tolerance without a unit, below zero, on one side alone or written twice

    Examples
    --------
    >>> read_doubtful("100 mm +0 -0.2 mm", "length"), read_doubtful("about 90 degC", "temperature")
    (Doubt(nominal=100.0, minus=0.2, plus=0.0, about=False), Doubt(nominal=90.0, minus=0.0, plus=0.0, about=True))
    """
    pieces = pieces_of(text)
    if pieces.plain or _is_no_tolerance(pieces):
        return Doubt(parse(text, dimension))
    _refuse_stray_sign(text, pieces)
    value, *amounts = _with_units(text, pieces)
    nominal = parse(value, dimension)
    step = "temperature_difference" if dimension == "temperature" else dimension
    by_sign = _by_sign(text, pieces, [parse(amount, step) for amount in amounts])
    if pieces.about and by_sign and not any(by_sign.values()):
        raise UnitError(
            f"{_quoted(text)} is about so much, and in no doubt", f'write "{value}" or "about {value}"'
        )
    return Doubt(nominal, by_sign.get("-", 0.0), by_sign.get("+", 0.0), pieces.about)


def write_doubtful(doubt: Doubt, dimension: str) -> str:
    """Write a quantity and its doubt in house units, so that ``read_doubtful`` gives the same back, to the last bit."""
    house = DIMENSIONS[dimension].house
    step = DIMENSIONS["temperature_difference"].house if dimension == "temperature" else house
    text = f"{'about ' * doubt.about}{doubt.nominal!r} {house}"
    if doubt.minus == doubt.plus:
        return f"{text} +- {doubt.plus!r} {step}" if doubt.plus else text
    return f"{text} +{doubt.plus!r} {step} -{doubt.minus!r} {step}"


_BOTH: Final = "+-"


def _is_no_tolerance(pieces: Pieces) -> bool:
    """``1-1/8 in``: a number, a sign and a number, of which nobody said that they are value and tolerance."""
    found = NUMBER.fullmatch(pieces.value)
    signs = [sign for sign, _ in pieces.tolerances]
    return not pieces.about and (found is None or not found[2].strip()) and signs in (["+"], ["-"])


def _refuse_stray_sign(text: str, pieces: Pieces) -> None:
    """Refuse a sign that is followed by another sign or by nothing."""
    for part in (pieces.value, *(amount for _, amount in pieces.tolerances)):
        if re.search(r"[+\-±]\s*/?\s*$", part):
            raise UnitError(
                f"{_quoted(text)} has a tolerance below zero, or a sign without a number",
                f"write {_example(pieces)}",
            )


def _with_units(text: str, pieces: Pieces) -> list[str]:
    """Value and amounts, each with its unit: its own, or that of the next number."""
    unit, complete = "", []
    for part in reversed([pieces.value, *(amount for _, amount in pieces.tolerances)]):
        found = NUMBER.fullmatch(part)
        own = "" if found is None else found[2].strip()
        if found is not None and not own and pieces.tolerances and not unit:
            raise UnitError(f"the tolerance in {_quoted(text)} has no unit", f"write {_example(pieces)}")
        complete.append(part if own or found is None or not unit else f"{part} {unit}")
        unit = own or unit
    return complete[::-1]


def _by_sign(text: str, pieces: Pieces, amounts: list[float]) -> dict[str, float]:
    """How far below (``-``) and above (``+``), in the house unit; empty without a tolerance."""
    signs = [sign for sign, _ in pieces.tolerances]
    if not signs or signs == [_BOTH]:
        return dict.fromkeys(("+", "-"), amounts[0]) if signs else {}
    if len(signs) == 1:
        said, unsaid = ("above", "below") if signs == ["+"] else ("below", "above")
        amount = pieces.tolerances[0][1]
        other = f"+{amount} -0 {_unit(amount)}" if signs == ["+"] else f"+0 -{amount}"
        raise UnitError(
            f"{_quoted(text)} says how far {said} it may be and not how far {unsaid}",
            f'write "{pieces.value} {other}" or "{pieces.value} +- {amount}"',
        )
    if sorted(signs) != ["+", "-"]:
        raise UnitError(f"{_quoted(text)} says twice how far it may be out", f"write {_example(pieces)}")
    return dict(zip(signs, amounts, strict=True))


def _example(pieces: Pieces) -> str:
    """The same value with a tolerance as it should be written."""
    value = pieces.value.rstrip("+-±/ ")
    found = NUMBER.fullmatch(value)
    unit = found[2].strip() if found else ""
    if not unit:
        return 'one such as "5.700 in +- 2 thou" or "5.700 in +0 -3 thou"'
    amounts = (NUMBER.fullmatch(part) for _, part in reversed(pieces.tolerances))
    amount = next((amount[1] for amount in amounts if amount), "2")
    thou = units_of(value) == "in" and "/" not in amount and float(amount) >= _LEAST_THOU
    fine = "thou" if thou else unit
    return f'"{value} +- {amount} {fine}" or "{value} +0 -{amount} {fine}"'


_LEAST_THOU: Final = 0.1
"""A tolerance beside inches of at least so much is one in thousandths: nobody is a tenth of an inch out."""


def _unit(amount: str) -> str:
    found = NUMBER.fullmatch(amount)
    return found[2].strip() if found else ""


def _quoted(text: str) -> str:
    """The text between quotation marks, on one line."""
    shown = text if len(text) <= 60 else text[:57] + "..."
    shown = "".join(letter if letter.isprintable() else "?" for letter in shown)
    return f"'{shown}'" if '"' in shown else f'"{shown}"'
