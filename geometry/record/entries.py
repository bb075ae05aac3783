"""Entering findings: words in, entries safely on the disk."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from datetime import date

from geometry.errors import InputError, refused
from geometry.record.document import CannotPlace, Content, Keys, line_for, new_text, with_entries
from geometry.record.load import record_of
from geometry.record.steps import Kind, with_step
from geometry.record.store import edit
from geometry.record.words import Written, read_words
from geometry.spec.engine import Engine


def set_entries(
    path: str | os.PathLike[str],
    engine: Engine,
    place: str,
    words: Sequence[str],
    *,
    by: str | None = None,
    on: date | None = None,
) -> tuple[Written, ...]:
    """Enter one or more findings about one place or several; when this returns, all are safely on the disk, or none.

    An entry that was there is replaced as a whole; what others have entered in the meantime stays.

    Parameters
    ----------
    path : the record file; made when it is not there yet
    engine : the engine that it belongs to
    place : ``bore 3``, ``bore 1-8``, ``bore 1,3,5``, ``main all`` or ``crank``
    words : the path of an entry, then its values, then perhaps the next path: ``["ring.top.gap", "go=18thou",
        "tight=19thou"]``, ``["rod.way", "turned"]``; the value ``none`` takes an entry out
    by, on : initials and day for entries that do not say so themselves

    Returns
    -------
    What was entered.

    Raises
    ------
    InputError : words that cannot be read, a record with errors in it (which is left as it is), or a file that
        cannot be saved
    """
    changes = read_words(engine, place, words, by=by, on=on)
    save_entries(path, engine, {change.keys: change.content for change in changes}, on)
    return changes


def save_entries(
    path: str | os.PathLike[str],
    engine: Engine,
    entries: Mapping[Keys, Content | None],
    on: date | None = None,
    kind: Kind = "set",
) -> None:
    """Save entries in one piece; when this returns, they are safely on the disk.

    It is one step of the record's history: undoing takes all of them back.

    Parameters
    ----------
    path, engine : as for ``set_entries``
    entries : content by path from the top of the file; None takes an entry out
    on : the day on which a record that is not there yet is started
    kind : what kind of step it is

    Raises
    ------
    InputError : as for ``set_entries``
    """
    file = os.fspath(path)
    edit(
        path,
        lambda text: entered(text, file, engine, entries, on),
        lambda told, before, after: with_step(told, before, after, kind),
    )


def entered(
    text: str | None,
    file: str,
    engine: Engine,
    entries: Mapping[Keys, Content | None],
    on: date | None = None,
) -> str:
    """A record's text with entries put into it; nothing is saved.

    Parameters
    ----------
    text : the record as it stands, None where there is none yet
    file : its name, for messages
    engine, entries, on : as for ``save_entries``

    Raises
    ------
    InputError : the record has errors in it, without or with them
    """
    before = new_text(engine.engine.name, on) if text is None else text
    record_of(before, file, engine)
    try:
        after = with_entries(before, entries)
    except CannotPlace as error:
        raise _cannot_place(file, error.args[0], entries[error.args[0]]) from None
    record_of(after, file, engine)
    return after


def _cannot_place(file: str, keys: Keys, content: Content | None) -> InputError:
    """Ask for the editor where the program would have to rearrange what a person wrote."""
    what = "the layout of this file leaves no room for this entry"
    right = f"write {line_for(keys, content)} by hand" if content else "take it out by hand"
    return refused(file, ".".join(keys), what, right)
