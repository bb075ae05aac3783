"""What the text of a quantity is made of: its number, its unit, and what stands around them to say how sure it is.

Text only: what a unit is worth is for ``units`` to say, and what a doubt means for ``doubt``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

NUMBER: Final = re.compile(
    r"([+-]?(?:\d{1,40}/\d{1,40}|(?:\d{1,40}(?:\.\d{0,40})?|\.\d{1,40})(?:[eE][+-]?\d{1,3})?))(.*)",
    re.DOTALL | re.ASCII,
)
"""One plain number, and what follows it."""
LONGEST_TEXT: Final = 80
"""Of one quantity without its doubt."""

_SPELLING: Final = (
    ("µ", "u"), ("μ", "u"), ("″", "in"), ('"', "in"), ("°C", "degC"), ("°F", "degF"), ("°", "deg"),
    ("·", "*"), ("⋅", "*"), ("**", "^"), ("²", "^2"), ("³", "^3"), ("⁻", "-"), ("¹", "1"),
)  # fmt: skip


_SHOP_TORQUE: Final = (
    (re.compile(r"(ft|in)[\s.·⋅*-]*lb[sf]?|lb[sf]?[\s.·⋅*-]*(ft|in)"), "lbf*{}"),
    (re.compile(r"N[\s.·⋅*-]*(m)"), "N*{}"),
)
"""How the shop writes torque: a pound at the end of a lever is a force, whatever it is elsewhere."""


def is_shop_torque(unit: str) -> bool:
    """Whether this is a torque as the shop writes it: ``ft-lb``, ``ft lbs``, ``N.m``."""
    return any(pattern.fullmatch(unit) for pattern, _ in _SHOP_TORQUE)


@lru_cache(maxsize=512)
def spelled(unit: str, dimension: str) -> str:
    """One spelling for each unit: ``ft-lbf`` and ``ft lbs`` become ``lbf*ft``, ``cm3`` becomes ``cm^3``.

    Parameters
    ----------
    unit : what stands after the number
    dimension : a key of ``units.DIMENSIONS``; of a torque, ``lb`` is a force
    """
    plain = unit.strip()
    if dimension == "torque":
        for pattern, meant in _SHOP_TORQUE:
            if found := pattern.fullmatch(plain):
                return meant.format(next(filter(None, found.groups())))
    if plain.isascii() and plain.isalpha():
        return plain
    for written, meant in _SPELLING:
        plain = plain.replace(written, meant)
    plain = re.sub(r"\s*([*/^()])\s*", r"\1", plain)
    plain = re.sub(r"(?<=[A-Za-z])(?:\s+|-)(?=[A-Za-z])", "*", plain)
    plain = re.sub(r"(?<=[A-Za-z])(?=[23](?![0-9]))", "^", plain)
    plain = re.sub(r"/\(([A-Za-z]+)\*([A-Za-z]+)\)$", r"/\1/\2", plain)
    plain = re.sub(r"^1e-6/", "ppm/", plain)
    return f"1{plain}" if plain.startswith("/") else plain


_ABOUT: Final = re.compile(
    r"\s*(?:(?:about|approximately|approx\.?|circa|ca\.?)(?=[\s.\d+-])|[~≈])\s*", re.IGNORECASE
)
_SIGN: Final = re.compile(r"(?<![\d.][eE])(?<!\^)(±|\+\s*/?\s*-|[+-])\s*(?=\.?\d)", re.ASCII)
"""A sign before a number, not one that belongs to an exponent; at the start of a text it belongs to the number."""
_LONGEST_DOUBTFUL: Final = 4 * LONGEST_TEXT


@dataclass(frozen=True, slots=True)
class Pieces:
    """A quantity's text, parted.

    Attributes
    ----------
    about : it begins with ``about`` or a word like it
    value : the quantity itself, perhaps without its unit
    tolerances : sign (``+-``, ``+`` or ``-``) and amount of each tolerance after it, as written
    """

    about: bool
    value: str
    tolerances: tuple[tuple[str, str], ...]

    @property
    def plain(self) -> bool:
        """Nothing but a quantity."""
        return not self.about and not self.tolerances


def pieces_of(text: str) -> Pieces:
    """Part a quantity from the doubt that is written around it; nothing is refused here.

    >>> pieces_of("about 5.700 in +0/-3 thou")
    Pieces(about=True, value='5.700 in', tolerances=(('+', '0'), ('-', '3 thou')))
    """
    if len(text) > _LONGEST_DOUBTFUL:
        return Pieces(False, text, ())
    begun = _ABOUT.match(text)
    rest = text[begun.end() :] if begun else text
    lead = len(rest) - len(rest.lstrip(" \t+-±"))
    signs = list(_SIGN.finditer(rest, lead))
    if not signs:
        return Pieces(begun is not None, rest if begun else text, ())
    ends = [sign.start() for sign in signs[1:]] + [len(rest)]
    tolerances = tuple(
        (
            sign[1] if len(sign[1]) == 1 and sign[1] != "±" else "+-",
            rest[sign.end() : end].strip().rstrip("/,; "),
        )
        for sign, end in zip(signs, ends, strict=True)
    )
    return Pieces(begun is not None, rest[: signs[0].start()].strip().rstrip(",; "), tolerances)


_IMPERIAL_LENGTH: Final = re.compile(r'\s*(in|inch|inches|ft|foot|feet|thou|mils?|"|″)\s*')
_METRIC_LENGTH: Final = re.compile(r"\s*(mm|cm|m|um|µm|μm)\s*")


def units_of(text: str) -> Literal["in", "mm"] | None:
    """Which system a length was written in, or None when the text is not a length; needs no registry.

    >>> units_of("18 thou"), units_of("about 0.46 mm +- 0.1 mm"), units_of("90 deg")
    ('in', 'mm', None)
    """
    pieces = pieces_of(text)
    for part in (pieces.value, *(amount for _, amount in pieces.tolerances)):
        found = NUMBER.fullmatch(part.strip()) if len(part) <= LONGEST_TEXT else None
        if found is None:
            return None
        if _IMPERIAL_LENGTH.fullmatch(found[2]):
            return "in"
        if found[2].strip():
            return "mm" if _METRIC_LENGTH.fullmatch(found[2]) else None
    return None
