"""An assignment as entries of the build record: which parts were chosen, and the sizes that they were measured at."""

from __future__ import annotations

from datetime import date
from typing import Final

from geometry.matching.fits import Shelf
from geometry.matching.fragment import written_length
from geometry.matching.solve import Assignment
from geometry.record.document import Content, Keys
from geometry.units import System

SIZES: Final = {
    ("piston", "diameter"): ("piston", "skirt"),
    ("piston", "height"): ("piston", "height"),
    ("rod", "length"): ("rod", "length"),
}
"""Readings of the record that the sizes of a parts file are."""


def entries_of(
    shelf: Shelf, assignment: Assignment, system: System, by: str | None = None, on: date | None = None
) -> dict[Keys, Content | None]:
    """The entries of every bore, by their path in the record.

    A size with a tolerance is written with it as the step of its instrument. Clearances are not written: nobody
    measured them in that bore.
    """
    stamp = {name: value for name, value in (("by", by), ("on", on)) if value is not None}
    found: dict[Keys, Content | None] = {}
    for at, number in enumerate(shelf.numbers):
        here = {
            kind: shelf.parts[kind][place]
            for kind, places in assignment.places.items()
            if (place := places[at]) is not None
        }
        names = {kind.replace(" ", "_"): part.name for kind, part in here.items()}
        found["bore", str(number), "parts"] = {**names, **stamp}
        for (kind, column), path in SIZES.items():
            if kind in here and column in here[kind].sizes:
                size = here[kind].sizes[column]
                content: dict[str, str | int | bool | date] = {"value": written_length(size.value, system)}
                if size.minus or size.plus:
                    content["resolution"] = written_length(size.minus + size.plus, system)
                content |= {**stamp, "note": f"{kind} {here[kind].name}"}
                found["bore", str(number), *path] = content
    return found
