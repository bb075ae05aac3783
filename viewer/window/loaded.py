"""What the window was given to show."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from geometry.assembly import Assembly
from geometry.units import System

if TYPE_CHECKING:
    from geometry.record.model import Record


@dataclass(slots=True)
class Loaded:
    """The engine as designed, as built where there is a record, units of all that is written, what is assumed.

    ``record`` is what it was built by; ``waiting`` are sections, and (section, figure), that wait for values.
    """

    designed: Assembly
    built: Assembly | None = None
    units: System = "mm"
    assumed: str = ""
    record: Record | None = None
    waiting: tuple[object, ...] = ()
