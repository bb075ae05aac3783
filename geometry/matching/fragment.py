"""An assignment as tables to paste into the engine file: `[bore.3.rod]` and so on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from geometry.matching.columns import MeasuredPart
from geometry.matching.fits import Shelf
from geometry.matching.outcome import fits_at
from geometry.matching.solve import Assignment
from geometry.units import INCH_MM, System

DIGITS: Final = 6
"""Decimals, more than any instrument tells apart, so that sums stay what they were."""


def fragment(shelf: Shelf, assignment: Assignment, system: System) -> str:
    """The tables, for a complete assignment.

    Parameters
    ----------
    shelf, assignment : the parts and what goes where
    system : units that they are written in
    """
    lines = ["# Sizes and parts bore by bore, as matched; paste them at the end of the engine file."]
    lines += [f"# {line}" for line in _left_out(shelf)]
    for at, number in enumerate(shelf.numbers):
        here = {
            kind: shelf.parts[kind][place]
            for kind, places in assignment.places.items()
            if (place := places[at]) is not None
        }
        here["bore"] = shelf.parts["bore"][at]
        said = ", ".join(f"{kind} {part.name}" for kind, part in here.items() if kind != "bore")
        keys = [f"{key} = {value}" for key, value in _keys(shelf, assignment, at, here, system)]
        if keys:
            lines += ["", f"[bore.{number}]  # {said}", *keys]
    return "\n".join(lines) + "\n"


def _left_out(shelf: Shelf) -> Iterator[str]:
    """What was measured for which the engine file has no key bore by bore."""
    bore = shelf.parts["bore"][0].sizes
    for column in ("deck height", "crankpin"):
        if column in bore:
            yield f"Left out: {column} of each bore; the engine file has one for all."
    if any(name in shelf.parts for name in ("pin",)):
        yield "Left out: piston pins; the engine file has one size for all."


def _keys(
    shelf: Shelf, assignment: Assignment, at: int, here: dict[str, MeasuredPart], system: System
) -> Iterator[tuple[str, str]]:
    """Keys of one bore's table and their values."""

    def size(kind: str, column: str) -> float | None:
        part = here.get(kind)
        return part.sizes[column].value if part is not None and column in part.sizes else None

    values = {fit.name: fit.value_mm for fit in fits_at(shelf, assignment, at)}
    lengths = {
        "diameter": size("bore", "diameter"),
        "piston.compression_height": size("piston", "height"),
        "piston.skirt.clearance": values.get("piston to wall") if size("piston", "diameter") else None,
        "rod.length": size("rod", "length"),
        "rod.big_end.bore": size("rod", "housing"),
        "rod.bearing.wall": size("shells", "wall"),
        "rings.top.gap": values.get("top ring gap"),
        "rings.second.gap": values.get("second ring gap"),
    }
    masses = {"piston.mass": size("piston", "mass"), "rod.mass_small": size("rod", "small mass")}
    for key, value in lengths.items():
        if value is not None:
            yield key, f'"{written_length(value, system)}"'
    for key, value in masses.items():
        if value is not None:
            yield key, f'"{_plain(value * 1000)} g"'


def written_length(value_mm: float, system: System) -> str:
    """A length with its unit, to more decimals than any instrument tells apart."""
    return f"{_plain(value_mm / INCH_MM if system == 'in' else value_mm)} {system}"


def _plain(value: float) -> str:
    return f"{value:.{DIGITS}f}".rstrip("0").rstrip(".")
