"""What the window was given to show."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.assembly import Assembly


@dataclass(slots=True)
class Loaded:
    """The engine as designed, and as built where there is a record."""

    designed: Assembly
    built: Assembly | None = None
