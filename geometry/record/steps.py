"""What was entered, step by step, so that it can be taken back: the history that is kept beside a record.

A step is what was saved in one piece: one entry, a set of several places, an import. A line of the history is one step
in JSON, the oldest first. Whoever saves entries adds to it, the command line and the page alike; taking back is a step
too, which names those that it takes back.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final, Literal, TypeAlias, get_args

from geometry.errors import InputError, refused
from geometry.record.blank import Plain, plain
from geometry.record.document import Content
from geometry.record.head import head_of
from geometry.record.history import entries_of
from geometry.record.place import BenchPlace

Kind: TypeAlias = Literal["set", "import", "undo"]
Entered: TypeAlias = Mapping[tuple[BenchPlace, str], Plain]
MOST_STEPS: Final = 200
_MOST_CHARACTERS: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class StepChange:
    """One entry that a step changed: its content before and after, None where there was none."""

    place: BenchPlace
    path: str
    before: Plain | None
    after: Plain | None


@dataclass(frozen=True, slots=True)
class Step:
    """What was saved in one piece.

    Attributes
    ----------
    number : counted from 1
    kind : ``undo`` takes earlier steps back
    changes : every entry that became another
    takes_back : numbers of those steps
    """

    number: int
    kind: Kind
    changes: tuple[StepChange, ...]
    takes_back: tuple[int, ...] = ()

    @property
    def by(self) -> str:
        """Initials that its entries bear; empty where they bear none, or several."""
        found = {str(one.after.get("by", "")) for one in self.changes if one.after is not None}
        return found.pop() if len(found) == 1 else ""

    def stands(self, now: Entered) -> bool:
        """Whether all that it entered stands as it did."""
        return all(now.get((one.place, one.path)) == one.after for one in self.changes)

    def never_was(self, now: Entered) -> bool:
        """Whether all stands as it did before: whoever took it was stopped on the way."""
        return all(now.get((one.place, one.path)) == one.before for one in self.changes)


def steps_of(told: str | None, file: str = "") -> tuple[Step, ...]:
    """Read a history.

    Raises
    ------
    InputError : it holds a line that is no step
    """
    found = []
    for number, line in enumerate((told or "").splitlines(), 1):
        try:
            found.append(_step(json.loads(line)))
        except (ValueError, KeyError, TypeError, AttributeError):
            right = "take this file away; what was entered before cannot be undone then"
            raise refused(file, "", "is not a step of a history", right, number) from None
    return tuple(found)


def with_step(
    told: str | None, before: str | None, after: str, kind: Kind, takes_back: Sequence[int] = ()
) -> str | None:
    """The history with one more step; None where no entry changed.

    Parameters
    ----------
    told : the history as it stands; one that cannot be read is begun anew
    before, after : the record's text, None where there was no file
    kind, takes_back : of the step; an undo that names no steps takes back the last that it undoes entirely
    """
    old, new = (all_of(text) for text in (before, after))
    if before is None:  # whose build it is stays when its first entries are taken back
        old = {key: held for key, held in new.items() if key[0].kind == "record"}
    keys = [key for key in (*new, *(key for key in old if key not in new)) if old.get(key) != new.get(key)]
    if not keys:
        return None
    changes = tuple(StepChange(*key, old.get(key), new.get(key)) for key in keys)
    try:
        steps = steps_of(told)
    except InputError:
        steps = ()
    back = tuple(takes_back)
    if kind == "undo" and not back:
        undone = {(one.place, one.path): (one.after, one.before) for one in changes}
        same = (
            step.number
            for step in standing(steps)
            if undone == {(one.place, one.path): (one.before, one.after) for one in step.changes}
        )
        back = tuple(number for number in (next(same, None),) if number is not None)
    number = steps[-1].number + 1 if steps else 1
    written = Step(number, kind if back or kind != "undo" else "set", changes, back)
    lines = [json.dumps(_plain(step), ensure_ascii=False) for step in (*steps[1 - MOST_STEPS :], written)]
    while len(lines) > 1 and sum(map(len, lines)) > _MOST_CHARACTERS:
        del lines[0]
    return "".join(f"{line}\n" for line in lines)


def all_of(text: str | None) -> dict[tuple[BenchPlace, str], Plain]:
    """Everything that a record's text says: its entries, and the lines that are about no place."""
    data = tomllib.loads(text) if text else {}
    return head_of(data) | entries_of(data)


def standing(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps that can be taken back, the last first."""
    gone = {number for step in steps for number in step.takes_back}
    return tuple(step for step in reversed(steps) if step.kind != "undo" and step.number not in gone)


def as_content(entry: Plain | None) -> Content | None:
    """An entry of a step as it is written into a record."""
    if entry is None:
        return None
    return {
        name: date.fromisoformat(value) if name == "on" and isinstance(value, str) else value
        for name, value in entry.items()
    }


def _plain(step: Step) -> dict[str, Any]:
    return {
        "number": step.number,
        "kind": step.kind,
        "takes_back": list(step.takes_back),
        "changes": [
            {"place": one.place.words, "path": one.path, "before": one.before, "after": one.after}
            for one in step.changes
        ],
    }


def _step(data: Any) -> Step:
    changes = tuple(
        StepChange(_place(one["place"]), str(one["path"]), _entry(one["before"]), _entry(one["after"]))
        for one in data["changes"]
    )
    if data["kind"] not in get_args(Kind) or not changes:
        raise ValueError(data["kind"])
    return Step(int(data["number"]), data["kind"], changes, tuple(map(int, data["takes_back"])))


def _entry(data: Any) -> Plain | None:
    if data is None:
        return None
    found = plain(data)
    if not all(isinstance(value, (str, int)) for value in found.values()):
        raise ValueError(data)
    return found


def _place(words: str) -> BenchPlace:
    kind, _, number = words.partition(" ")
    return BenchPlace(kind, int(number) if number else None)
