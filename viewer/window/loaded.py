"""What the window was given to show."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.assembly import Assembly
from geometry.units import System


@dataclass(slots=True)
class Loaded:
    """The engine as designed, as built where there is a record, units of all that is written, what is assumed."""

    designed: Assembly
    built: Assembly | None = None
    units: System = "mm"
    assumed: str = ""
