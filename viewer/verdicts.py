"""What every picture says beside a verdict: whether it rests on assumed values, and where a limit comes from."""

from __future__ import annotations

import re
from typing import Final

from geometry.units import System, UnitError, parse, show
from viewer.cautions import AS_ASSUMED

_OWN_LENGTH: Final = re.compile(r"([\d.]+ (in|mm)),? ")


def as_assumed(words: str, assumed: str) -> str:
    """A verdict, with ``as assumed`` behind it where the engine has assumed values.

    Parameters
    ----------
    assumed : how many values of the engine are assumed, in words; empty where none is

    Examples
    --------
    >>> as_assumed("clear", "72 of 96 values are assumed"), as_assumed("clear", "")
    ('clear, as assumed', 'clear')
    """
    return f"{words}{AS_ASSUMED}" if assumed and words else words


def source_beside(source: str, limit_mm: float, system: System) -> str:
    """The source of a limit as it stands behind that limit: a number that has just been read is left out.

    Parameters
    ----------
    source : in words; the trade's begin with the limit as it is handed down
    limit_mm : the limit that stands before it
    system : in whose units it stands there

    Examples
    --------
    >>> source_beside("0.050 in, common practice, no source", 1.27, "in")
    'common practice, no source'
    >>> source_beside("0.050 in, common practice, no source", 1.27, "mm")
    '0.050 in, common practice, no source'
    """
    found = _OWN_LENGTH.match(source)
    if found is None or found[2] != system:
        return source
    try:
        own_mm = parse(found[1], "length")
    except UnitError:
        return source
    same = show(own_mm, "length", system, fine=True) == show(limit_mm, "length", system, fine=True)
    return source[found.end() :] if same else source
