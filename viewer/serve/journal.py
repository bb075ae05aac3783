"""Who changed what in the record since the program was started, from any browser, the command line or an editor.

Each state of the file that is seen is set beside the one before it; what was changed twice between two looks, by others
than the browsers, counts once.
"""

from __future__ import annotations

import secrets
import threading
import time
from dataclasses import dataclass
from typing import Any, Final

from geometry.record.history import EntryChange, changes_between
from geometry.spec.engine import Engine
from geometry.units import System

MOST: Final = 1000
"""Changes that are remembered."""


@dataclass(frozen=True, slots=True)
class Noted:
    """One change, with its number, when it was noticed (seconds since 1970) and by whom it was made.

    Attributes
    ----------
    by : initials; empty where nobody said so
    page : mark of the browser's page that it came from; empty where it came from elsewhere
    """

    number: int
    at_s: float
    change: EntryChange
    by: str
    page: str

    def as_json(self) -> dict[str, Any]:
        """Plain values."""
        change = self.change
        return {
            "number": self.number, "at": self.at_s, "by": self.by, "page": self.page, "place": change.place.words,
            "path": change.path, "what": change.what, "was": change.was, "now": change.now,
            "before": change.before, "after": change.after,
        }  # fmt: skip


class ChangeJournal:
    """What is remembered.

    Attributes
    ----------
    run : another one for each run of the program; numbers begin at 1 in each
    turn : to be held while the record is read or saved and what was seen is noted: states come in their order
    """

    def __init__(self) -> None:
        self.run = secrets.token_hex(6)
        self.turn = threading.RLock()
        self._known: dict[str, Any] | None = None
        self._noted: list[Noted] = []
        self._count = 0

    def seen(
        self, engine: Engine, data: dict[str, Any], system: System, by: str = "", page: str = ""
    ) -> tuple[Noted, ...]:
        """Note what changed since the state that was seen last; the first state is where it begins.

        Parameters
        ----------
        data : a good record as a TOML reader gives it; the caller has the turn
        by, page : who made the change, where that is known

        Raises
        ------
        InputError : the record belongs to another engine by now
        """
        before, self._known = self._known, data
        if before is None or before == data:
            return ()
        new = tuple(
            self._note(change, by or str((change.after or {}).get("by", "")), page)
            for change in changes_between(engine, before, data, system)
        )
        self._noted = [*self._noted, *new][-MOST:]
        return new

    def since(self, number: int) -> tuple[Noted, ...]:
        """The changes after a number, the oldest first."""
        with self.turn:
            return tuple(noted for noted in self._noted if noted.number > number)

    @property
    def last(self) -> int:
        """Number of the last change."""
        return self._count

    def _note(self, change: EntryChange, by: str, page: str) -> Noted:
        self._count += 1
        return Noted(self._count, time.time(), change, by, page)
