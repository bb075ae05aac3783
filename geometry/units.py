"""Quantities as a builder writes them (``4.030 in``, ``18 thou``, ``45 lbf*ft``) and as numbers, both ways.

Every quantity has one house unit, the unit of the plain floats inside the program. Text is split into number
and unit here; what a unit is worth is worked out by pint from a registry that holds the trade's units and
nothing else, built when a spelling is met that is not among ``unit_ratios``. Arithmetic is in exact fractions
and rounds once, to the nearest float, so that ``18 thou`` is the same float as ``0.4572``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from functools import cache, lru_cache
from math import floor, log10
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from geometry.unit_ratios import RATIOS
from geometry.unit_text import LONGEST_TEXT, NUMBER, spelled

if TYPE_CHECKING:
    import pint

System: TypeAlias = Literal["in", "mm"]

INCH_MM: Final = 25.4
"""One inch in mm, exact; see the sources below."""

_DEFINITIONS: Final = f"""
mm = [length]
cm = 10 * mm
m = 1000 * mm
um = 0.001 * mm
inch = {INCH_MM} * mm = in = inches
foot = 12 * inch = ft = feet
thou = 0.001 * inch = _ = mil = mils
degree = [angle] = deg = degrees
radian = 57.29577951308232087679815481410517033240547246656432 * degree = rad
turn = 360 * degree = _ = turns
kg = [mass]
g = 0.001 * kg
lb = 0.45359237 * kg = _ = lbs
oz = lb / 16
s = [time]
min = 60 * s
kelvin = [temperature]; offset: 0 = K
celsius = kelvin; offset: 273.15 = degC = C
fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9 = degF = F
N = 1000 * kg * mm / s**2
kN = 1000 * N
lbf = 9806.65 * lb * mm / s**2
MPa = N / mm**2
GPa = 1000 * MPa
kPa = 0.001 * MPa
bar = 0.1 * MPa
psi = lbf / inch**2
ksi = 1000 * psi
rpm = turn / min
cc = cm**3
ml = cm**3 = mL
ci = inch**3
L = 1000 * cm**3 = litre
ppm = 0.000001
"""
"""Sources: inch, foot, pound and standard gravity are exact by definition (NIST SP 811, appendix B)."""

_NAMES: Final = frozenset(
    name.strip()
    for line in _DEFINITIONS.strip().splitlines()
    for place, name in enumerate(line.split("="))
    if place != 1
)
"""Every name of a unit as written; pint alone would take ``ms`` for the plural of ``m``."""


@dataclass(frozen=True, slots=True)
class Printed:
    """How one dimension is printed in one unit system: what stands after the number, and decimals."""

    label: str
    digits: int
    fine_digits: int


@dataclass(frozen=True, slots=True)
class Dimension:
    """One kind of quantity: its house unit, how it is printed, and what a good one looks like."""

    name: str
    """In words, with its article: ``a length``."""
    house: str
    imperial: Printed
    metric: Printed
    examples: tuple[str, str]
    words: tuple[str, ...]
    """The spellings of its unit that the published schema accepts."""


def _dimension(
    name: str,
    house: str,
    inch: tuple[str, int, int],
    mm: tuple[str, int, int],
    *examples: str,
    words: str,
    phrases: tuple[str, ...] = (),
) -> Dimension:
    spellings = (*words.split(), *phrases)
    return Dimension(name, house, Printed(*inch), Printed(*mm), (examples[0], examples[1]), spellings)


DIMENSIONS: Final[dict[str, Dimension]] = {
    "length": _dimension(
        "a length", "mm", (" in", 3, 4), (" mm", 2, 3), "4.030 in", "102.36 mm",
        words='mm cm m um µm in inch inches " ft thou mil mils',
    ),
    "angle": _dimension(
        "an angle", "deg", ("°", 1, 2), ("°", 1, 2), "90 deg", "1.5 deg",
        words="deg degree degrees ° rad turn turns",
    ),
    "mass": _dimension("a mass", "kg", (" g", 1, 2), (" g", 1, 2), "642 g", "1.4 lb", words="g kg lb lbs oz"),
    "force": _dimension("a force", "N", (" lbf", 0, 1), (" N", 0, 1), "120 lbf", "540 N", words="N kN lbf"),
    "torque": _dimension(
        "a torque", "N*m", (" lbf·ft", 1, 2), (" N·m", 1, 2), "45 lbf*ft", "60 N*m",
        words="N*m N·m Nm N.m N-m lbf*ft lbf·ft ft-lbf ft-lb ft-lbs lb-ft ftlb lbft ft.lb lbf*in lbf·in in-lb lb-in",
        phrases=("N m", "ft lb", "ft lbs", "lb ft", "ft lbf", "lbf ft", "in lb", "lbf in"),
    ),
    "pressure": _dimension(
        "a pressure or stress", "MPa", (" psi", 0, 1), (" MPa", 2, 3), "800 MPa", "116 ksi",
        words="MPa GPa kPa bar psi ksi",
    ),
    "rotation": _dimension(
        "a speed of rotation", "rpm", (" rpm", 0, 1), (" rpm", 0, 1), "6500 rpm", "750 rpm", words="rpm"
    ),
    "speed": _dimension(
        "a speed", "m/s", (" ft/min", 0, 1), (" m/s", 2, 3), "20 m/s", "3900 ft/min", words="m/s ft/min"
    ),
    "temperature": _dimension(
        "a temperature", "degC", (" °F", 1, 2), (" °C", 1, 2), "90 degC", "195 degF",
        words="degC C °C degF F °F K",
    ),
    "temperature_difference": _dimension(
        "a difference of temperature", "K", (" °F", 1, 2), (" °C", 1, 2), "70 degC", "126 degF",
        words="K degC C °C degF F °F",
    ),
    "expansion": _dimension(
        "a thermal expansion", "1/K", (" ppm/°F", 2, 3), (" ppm/°C", 2, 3), "21e-6/K", "11.7 ppm/degF",
        words="/K 1/K ppm/K 1e-6/K /degC ppm/degC ppm/°C /degF ppm/degF ppm/°F um/m/K",
    ),
    "area": _dimension(
        "an area", "mm^2", (" in²", 5, 6), (" mm²", 2, 3), "12 mm^2", "0.02 in^2",
        words="mm2 mm^2 mm² cm2 cm^2 cm² in2 in^2 in²",
    ),
    "volume": _dimension(
        "a volume", "cc", (" cc", 1, 2), (" cc", 1, 2), "64 cc", "3.9 in^3",
        words="cc cm3 cm^3 cm³ ml mL in3 in^3 in³ ci L",
    ),
    "density": _dimension(
        "a density", "kg/m^3", (" lb/in^3", 4, 5), (" kg/m^3", 0, 1), "7200 kg/m^3", "2.7 g/cm^3",
        words="kg/m3 kg/m^3 g/cm3 g/cm^3 g/cc lb/in3 lb/in^3",
    ),
}  # fmt: skip


class UnitError(ValueError):
    """A quantity that cannot be read; ``what`` is wrong with it and ``right`` is what to write instead."""

    def __init__(self, what: str, right: str) -> None:
        self.what = what
        self.right = right
        super().__init__(f"{what}; {right}")


@cache
def _registry() -> pint.UnitRegistry[Fraction]:
    """Build the registry of the trade's units; pint is imported here so that nobody pays for it unasked."""
    import pint

    registry: pint.UnitRegistry[Fraction] = pint.UnitRegistry(
        None, non_int_type=Fraction, on_redefinition="raise"
    )
    registry.load_definitions(_DEFINITIONS.strip().splitlines())
    return registry


_UNIT: Final = re.compile(r"(?:1/)?[A-Za-z]+(?:\^-?[1-4])?(?:[*/][A-Za-z]+(?:\^-?[1-4])?){0,4}", re.ASCII)
_NEAREST_UNIT_RATIO: Final = 0.6


def parse(text: str, dimension: str) -> float:
    """Read a quantity written with its unit.

    Parameters
    ----------
    text : a decimal number or a simple fraction, then a unit: ``102.36 mm``, ``7/16 in``, ``45 lbf*ft``
    dimension : a key of ``DIMENSIONS``

    Returns
    -------
    The value in the house unit of the dimension (mm, deg, kg, N, N*m, MPa, rpm, m/s, degC, K, 1/K, cm3,
    kg/m3), the float nearest to the exact value.

    Raises
    ------
    UnitError : no unit, an unknown unit, a unit of another dimension, or no finite number

    Examples
    --------
    >>> parse("18 thou", "length"), parse("7/16 in", "length"), parse("212 degF", "temperature")
    (0.4572, 11.1125, 100.0)
    """
    digits, unit = _split(text, dimension)
    if not unit:
        ours = (f'"{digits}{_split(word, dimension)[1]}"' for word in DIMENSIONS[dimension].examples)
        raise UnitError(f"{_quoted(text)} has no unit", "write the unit, for example " + " or ".join(ours))
    scale, offset = _affine_or_refuse(text, digits, unit, dimension)
    try:
        return float(Fraction(digits) * scale + offset)
    except OverflowError:
        raise UnitError(f"{_quoted(text)} is too large to be real", _for_example(dimension)) from None


def _quoted(text: str) -> str:
    """The text between quotation marks, short enough for one line, without anything unprintable."""
    shown = text if len(text) <= 40 else text[:37] + "..."
    shown = "".join(letter if letter.isprintable() else "?" for letter in shown)
    return f"'{shown}'" if '"' in shown else f'"{shown}"'


def _for_example(dimension: str) -> str:
    first, second = DIMENSIONS[dimension].examples
    return f'write {DIMENSIONS[dimension].name} such as "{first}" or "{second}"'


def _split(text: str, dimension: str) -> tuple[str, str]:
    """Part the number from what follows it, and refuse every number that would have to be guessed."""
    stripped = text.strip()
    if not stripped:
        raise UnitError("the text is empty", _for_example(dimension))
    found = NUMBER.fullmatch(stripped) if len(stripped) <= LONGEST_TEXT else None
    if found is None:
        finite = "a finite number" if re.match(r"[+-]?(nan|inf)", stripped, re.IGNORECASE) else "a number"
        raise UnitError(f"{_quoted(text)} does not begin with {finite}", _for_example(dimension))
    digits, unit = found[1], found[2]
    mixed = re.fullmatch(r"\s+(\d{1,9})/(\d{1,9})\s*([^\d\s/].*)", unit, re.ASCII)
    if mixed and digits.lstrip("+-").isdecimal() and int(mixed[2]):
        part = int(mixed[1]) / int(mixed[2])
        decimal = f"{float(digits) + (-part if digits.startswith('-') else part):.10g}"
        raise UnitError(
            f"{_quoted(text)} is a whole number and a fraction",
            f'write it as a decimal, "{decimal} {mixed[3]}"',
        )
    if re.match(r"\s*[\d.,_](?!/[A-Za-z]|e-6/)", unit):
        raise UnitError(
            f"{_quoted(text)} does not begin with one plain number",
            f"write digits and one decimal point, nothing between them; {_for_example(dimension)}",
        )
    if re.search(r"/0*$", digits):
        raise UnitError(f"{_quoted(text)} divides by zero", _for_example(dimension))
    return digits, unit.rstrip()


@lru_cache(maxsize=512)
def _affine(unit: str, dimension: str) -> tuple[Fraction, Fraction]:
    """Scale and offset of ``house = scale * number + offset``, exact.

    Raises
    ------
    LookupError : the unit does not exist
    TypeError : the unit measures something else; the message names what, where it has a name
    """
    known = RATIOS[dimension].get(unit)
    if known is not None:
        scale, offset = (known if " " in known else f"{known} 0").split()
        return Fraction(scale), Fraction(offset)
    return _worked_out(unit, dimension)


def _worked_out(unit: str, dimension: str) -> tuple[Fraction, Fraction]:
    """The same from the units library."""
    if not _UNIT.fullmatch(unit) or not set(re.findall("[A-Za-z]+", unit)) <= _NAMES:
        raise LookupError(unit)
    registry = _registry()
    source = registry.parse_units(unit)
    house = registry.parse_units(DIMENSIONS[dimension].house)
    if source.dimensionality != house.dimensionality:
        names = (kind.name for kind in DIMENSIONS.values() if _same_kind(source, kind.house))
        raise TypeError(next(names, ""))
    zero, one = (Fraction(registry.convert(Fraction(number), source, house)) for number in (0, 1))
    return one - zero, zero if dimension == "temperature" else Fraction(0)


def _same_kind(source: pint.Unit, house: str) -> bool:
    return bool(source.dimensionality == _registry().parse_units(house).dimensionality)


def _affine_or_refuse(text: str, digits: str, unit: str, dimension: str) -> tuple[Fraction, Fraction]:
    """Scale and offset of a unit, or an error that names the nearest thing that would be right."""
    plain = spelled(unit, dimension)
    try:
        return _affine(plain, dimension)
    except LookupError:
        near = _nearest_unit(unit.strip(), dimension)
        if near in _THOU and "/" not in digits and abs(float(digits)) < _LEAST_THOU:
            near = "in"
        right = f'write "{digits} {near}"' if near else _for_example(dimension)
        raise UnitError(
            f"{_quoted(unit.strip())} in {_quoted(text)} is not a unit known here", right
        ) from None
    except TypeError as other:
        right = _for_example(dimension)
        if dimension == "force" and re.search(r"\blbs?\b", plain):
            meant = re.sub(r"\blbs?\b", "lbf", plain)
            right = f'lb is a mass here; write "{digits} {meant}"'
        needed = DIMENSIONS[dimension].name
        what = f"is {other}, not {needed}" if str(other) else f"is not {needed}"
        raise UnitError(f"{_quoted(text)} {what}", right) from None


_THOU: Final = ("thou", "mil", "mils")
_LEAST_THOU: Final = 0.1
"""Nobody measures in hundredths of a thousandth of an inch: a smaller number is one of inches."""


def _nearest_unit(unit: str, dimension: str) -> str:
    """The unit of this dimension that was probably meant, or nothing."""
    words = DIMENSIONS[dimension].words
    for word in words:
        if word.lower() == unit.lower():
            return word
    return next(iter(get_close_matches(unit, words, 1, _NEAREST_UNIT_RATIO)), "")


def show(
    value: float,
    dimension: str,
    system: System,
    digits: int | None = None,
    *,
    fine: bool = False,
    about: int = 0,
) -> str:
    """Write a quantity with its unit, rounded; ``parse`` reads it back to the same last digit.

    Parameters
    ----------
    value : in the house unit of the dimension, finite
    dimension : a key of ``DIMENSIONS``
    system : ``in`` or ``mm``
    digits : decimals; by default what the trade reads off for this dimension
    fine : one decimal more than usual, for clearances, fits and readings
    about : so many digits that count and no more, for what nobody knows better; 0: by decimals

    Raises
    ------
    ValueError : the value is not finite

    Examples
    --------
    >>> show(0.4572, "length", "in", fine=True), show(0.4572, "length", "mm")
    ('0.0180 in', '0.46 mm')
    >>> show(11963.0, "rotation", "mm", about=2)
    '12000 rpm'
    """
    shown = _shown(dimension, system)
    exact = _exactly_shown(value, dimension, system)
    decimals = digits if digits is not None else shown.fine_digits if fine else shown.digits
    return _fixed(exact, _decimals(exact, about) if about else decimals) + shown.label


def _decimals(exact: Fraction, count: int) -> int:
    """Decimals with which so many digits of a number count; below zero where it is rounded to tens and more."""
    return count - 1 - floor(log10(abs(exact))) if exact else 0


def show_fine(value_mm: float, system: System) -> str:
    """Write a length with the decimal more that clearances, fits and readings are told with."""
    return show(float(value_mm), "length", system, fine=True)


def show_thou(value_mm: float, digits: int = 1) -> str:
    """Write a small length in thousandths of an inch: ``18.0 thou``."""
    scale, _ = _affine("thou", "length")
    return f"{_fixed(Fraction(value_mm) / scale, digits)} thou"


def _shown(dimension: str, system: System) -> Printed:
    return DIMENSIONS[dimension].imperial if system == "in" else DIMENSIONS[dimension].metric


def _exactly_shown(value: float, dimension: str, system: System) -> Fraction:
    try:
        exact = Fraction(value)
    except (OverflowError, ValueError):
        raise ValueError(f"{value} is not a finite number") from None
    scale, offset = _affine(spelled(_shown(dimension, system).label, dimension), dimension)
    return (exact - offset) / scale


def _fixed(value: Fraction, digits: int) -> str:
    """Decimal text of an exact fraction, correctly rounded, without a minus sign on zero."""
    whole = round(value * Fraction(10) ** digits)
    if digits < 0:
        whole *= 10**-digits
    text = f"{abs(whole):0{max(digits, 0) + 1}d}"
    if digits > 0:
        text = f"{text[:-digits]}.{text[-digits:]}"
    return f"-{text}" if whole < 0 else text
