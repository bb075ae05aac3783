"""Starter engine files: one for each usual layout, every value of the size that is asked for, with how it is measured.

The starters are templates that share one set of rods, pistons and rings. What nobody gave is worked out by the rules of
proportion (``geometry.spec.proportions``) and written as "about" so much.
"""

from __future__ import annotations

from collections.abc import Mapping
from importlib.resources import files
from typing import Final

from geometry.units import System
from viewer.starters.scaled import scaled

_SHARED: Final = "rotating_parts"
_PLACE: Final = "#: rotating parts\n"


def names() -> tuple[str, ...]:
    """The layouts there is a starter for."""
    found = (entry.name for entry in files(__name__).iterdir())
    return tuple(
        sorted(name.removesuffix(".toml") for name in found if name.endswith(".toml") and _SHARED not in name)
    )


def text(name: str, units: System = "mm", given: Mapping[str, str] | None = None) -> str:
    """A starter as TOML.

    Parameters
    ----------
    name : one of ``names()``
    units : what lengths are written in
    given : what is known, by key, as text with its unit; it stands in the file as it is given

    Raises
    ------
    KeyError
        When there is no such starter.
    """
    if name not in names():
        raise KeyError(name)
    return scaled(_read(name).replace(_PLACE, _read(_SHARED)), units, given or {})


def _read(name: str) -> str:
    return files(__name__).joinpath(f"{name}.toml").read_text(encoding="utf-8")
