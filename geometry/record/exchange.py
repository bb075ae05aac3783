"""One entry exchanged for another by somebody who has seen the one that goes: nothing is written over unseen."""

from __future__ import annotations

import os
from dataclasses import dataclass
from datetime import date

from geometry.record.blank import Plain, plain
from geometry.record.entries import entered
from geometry.record.history import entries_of
from geometry.record.load import data_of
from geometry.record.steps import Kind, with_step
from geometry.record.store import edit
from geometry.record.words import Written
from geometry.spec.engine import Engine


class EntryChanged(Exception):
    """The entry is no longer the one that was seen; ``now`` is what stands there, None where nothing does."""

    def __init__(self, now: Plain | None) -> None:
        super().__init__("the entry was changed by somebody else")
        self.now = now


@dataclass(frozen=True, slots=True)
class Exchanged:
    """The record's text before the exchange, None where there was no file, and after it."""

    before: str | None
    after: str


def exchange(
    path: str | os.PathLike[str],
    engine: Engine,
    written: Written,
    seen: Plain | None,
    on: date | None = None,
    kind: Kind = "set",
) -> Exchanged:
    """Save one entry in place of the one that was seen; when this returns, it is safely on the disk.

    Whoever sends the same again because the answer was lost gets the same answer.

    Parameters
    ----------
    path, engine : as for ``set_entries``
    written : the entry
    seen : content of the entry that it takes the place of, None for none
    on : the day on which a record that is not there yet is started
    kind : what kind of step of the record's history it is: ``undo`` puts back what a step before took away

    Raises
    ------
    EntryChanged : something else stands there; nothing was written
    InputError : as for ``set_entries``
    """
    file, wanted = os.fspath(path), None if written.content is None else plain(written.content)
    states: list[tuple[str | None, str]] = []

    def change_text(text: str | None) -> str:
        now = entries_of(data_of(text, file)).get((written.place, written.path)) if text else None
        if now != seen and not _alike(now, wanted):
            raise EntryChanged(now)
        changes = {} if _alike(now, wanted) else {written.keys: written.content}
        after = entered(text, file, engine, changes, on)
        states.append((text, after))
        return after

    edit(path, change_text, lambda told, before, after: with_step(told, before, after, kind))
    return Exchanged(*states[-1])


def _alike(one: Plain | None, other: Plain | None) -> bool:
    """The same finding by the same hand, whatever day it was sent on."""
    if one is None or other is None:
        return one is other
    return {k: v for k, v in one.items() if k != "on"} == {k: v for k, v in other.items() if k != "on"}
