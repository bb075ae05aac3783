"""Taking back the last steps by which a record came to be what it is."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass

from geometry.errors import InputError, refused
from geometry.record.blank import Plain
from geometry.record.document import Content, Keys
from geometry.record.entries import entered
from geometry.record.head import HEAD, with_head
from geometry.record.history import EntryChange, changes_between
from geometry.record.load import data_of
from geometry.record.place import BenchPlace
from geometry.record.steps import Entered, Step, all_of, as_content, standing, steps_of, with_step
from geometry.record.store import edit, history_path, read_history
from geometry.spec.engine import Engine
from geometry.units import System


@dataclass(frozen=True, slots=True)
class Undone:
    """What was taken back: the steps, the last first, and what changed in the record by it."""

    steps: tuple[Step, ...]
    changes: tuple[EntryChange, ...]


def undo(
    path: str | os.PathLike[str], engine: Engine, count: int = 1, system: System | None = None
) -> Undone:
    """Take back the last steps; when this returns, the record without them is safely on the disk.

    What others entered elsewhere stays. Nothing is written over unseen: an entry that was changed since by hand, in an
    editor, is not touched, and nor is anything else then.

    Parameters
    ----------
    path, engine : as for ``set_entries``
    count : how many steps, from the last backwards
    system : units of the words

    Raises
    ------
    InputError : there are not so many, or an entry was changed by hand since; nothing was written
    """
    file, found = os.fspath(path), list[tuple[tuple[Step, ...], str, str]]()
    beside = os.fspath(history_path(path))

    def change(text: str | None) -> str:
        steps = steps_of(read_history(path), beside)
        data_of(text or "", file)  # what is no TOML is refused before anything else
        taken, entries, head = _taken(file, steps, all_of(text), count)
        before = text if text is None or not head else with_head(text, head, file)
        after = entered(before, file, engine, entries)
        found.append((taken, text or "", after))
        return after

    edit(
        path,
        change,
        lambda told, before, after: with_step(
            told, before, after, "undo", [step.number for step in found[-1][0]]
        ),
    )
    taken, before, after = found[-1]
    return Undone(taken, changes_between(engine, tomllib.loads(before), tomllib.loads(after), system))


def undoable(path: str | os.PathLike[str], text: str | None) -> tuple[Step, ...]:
    """The steps that can be taken back from a record as it stands, the last first.

    Parameters
    ----------
    path : the record
    text : its text, None where there is no file

    Raises
    ------
    InputError : the history or the record cannot be read
    """
    steps = steps_of(read_history(path), os.fspath(history_path(path)))
    now = all_of(text) if text and data_of(text, os.fspath(path)) else {}
    return tuple(step for step in standing(steps) if step.stands(now) or not step.never_was(now))


def _taken(
    file: str, steps: Sequence[Step], now: dict[tuple[BenchPlace, str], Plain], count: int
) -> tuple[tuple[Step, ...], dict[Keys, Content | None], dict[tuple[str, str], Plain | None]]:
    """The last steps and what stands again without them."""
    taken: list[Step] = []
    entries: dict[Keys, Content | None] = {}
    head: dict[tuple[str, str], Plain | None] = {}
    for step in standing(steps):
        if len(taken) == count:
            break
        if not step.stands(now):
            if step.never_was(now):
                continue
            raise _changed_since(file, step, now)
        taken.append(step)
        for one in step.changes:
            if one.place.kind in HEAD:
                head[one.place.kind, one.path] = one.before
            else:
                entries[(*one.place.keys, *one.path.split("."))] = as_content(one.before)
            if one.before is None:
                now.pop((one.place, one.path))
            else:
                now[one.place, one.path] = one.before
    if len(taken) < count:
        what = "there is nothing to undo" if not taken else f"only {len(taken)} can be undone, not {count}"
        right = "entries made by hand are taken out by hand" if not taken else f"write undo {len(taken)}"
        raise refused(file, "", what, right)
    return tuple(taken), entries, head


def _changed_since(file: str, step: Step, now: Entered) -> InputError:
    one = next(one for one in step.changes if now.get((one.place, one.path)) != one.after)
    what = "was changed by hand since it was entered: nothing is undone"
    return refused(file, f"{one.place.words} {one.path}", what, "put it right in an editor, or set it anew")
