"""What a build record holds. Every entry is one finding with who made it and when.

An entry is written on one line under its bore, ``ring.top.gap = { go = "18 thou", tight = "19 thou" }``, or as
a table of its own; the program reads both and keeps what a person wrote. The tables of bores, mains and crank are those
of ``form``, which follow from the kinds of reading.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from typing import Annotated, Any

from pydantic import Field, model_validator

from geometry.record.entry import Entry
from geometry.record.instruments import Instruments
from geometry.record.place import BenchPlace
from geometry.spec.base import Broken, Refused, SpecModel, said


class About(SpecModel):
    """Whose build this is."""

    engine: Annotated[str, Field(min_length=1, max_length=80)] | None = said(
        "The engine's name; refused beside an engine file of another name.", default=None
    )
    started: date | None = said("The day, year first.", date(2026, 3, 14), default=None)
    note: Annotated[str, Field(min_length=1, max_length=2000)] | None = said(
        "Anything worth knowing about this build.", default=None
    )


class Record(SpecModel):
    """A build record: what was found on the bench, written by the program and by hand."""

    record: About = said("Whose build this is.", default=About())
    instruments: Instruments = said("What each instrument can tell apart.", default=Instruments())
    limits: SpecModel = said("Makers' figures in place of the trade's.", default=SpecModel())
    bore: dict[str, SpecModel] = said("By the builder's bore number.", default={})
    main: dict[str, SpecModel] = said("By main bearing, counted from the front, from 1.", default={})
    crank: SpecModel = said("The crank as a whole.", default=SpecModel())

    @model_validator(mode="after")
    def _numbered(self) -> Record:
        wrong = [
            Broken((kind, key), f"{key} is not a number between 1 and 99", f"write [{kind}.3], for example")
            for kind, places in (("bore", self.bore), ("main", self.main))
            for key in places
            if not re.fullmatch(r"[1-9][0-9]?", key)
        ]
        if wrong:
            raise Refused(wrong)
        return self

    def places(self) -> Iterator[BenchPlace]:
        """The bores and mains of which something is recorded, in the order of the file."""
        for kind, places in (("bore", self.bore), ("main", self.main)):
            yield from (BenchPlace(kind, int(number)) for number in places)

    def entry(self, place: BenchPlace, path: str) -> Entry | None:
        """The entry at a path, or None."""
        found: Any = getattr(self, place.kind)
        if place.number is not None:
            found = found.get(str(place.number))
        for key in path.split("."):
            found = getattr(found, key, None)
        return found if isinstance(found, Entry) else None
