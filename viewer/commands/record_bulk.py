"""Many readings at once: a table out, a table in, and the last steps taken back."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from geometry.errors import InputError, refused
from geometry.files import read_whole
from geometry.spec.load import MOST_BYTES, as_text

if TYPE_CHECKING:
    from geometry.spec.engine import Engine
    from geometry.units import System

BOM = "\ufeff"
"""By which a spreadsheet knows that a table is in UTF-8."""


@dataclass(frozen=True, slots=True)
class How:
    """How a table is entered: initials for rows without any, without asking, or only looked at."""

    by: str | None
    yes: bool
    preview: bool


def text_of(record: Path) -> str | None:
    """The text of a record; None where there is none yet."""
    if not os.path.lexists(record):
        return None
    return as_text(read_whole(record, MOST_BYTES), os.fspath(record))


def export(
    record: Path, spec: Engine, system: System, out: Path | None, blank: bool, bore: int | None
) -> None:
    """Write a record as a table, or a form of what is still to do."""
    from geometry.record.load import data_of, load_record
    from geometry.record.table import blank_table, full_table
    from viewer.output import output_place, write_whole

    if out is not None:
        output_place(out, (".csv",), "cannot be written as a table")
    load_record(record, spec)  # what is wrong with it is told with its line
    data = data_of(text_of(record) or "", os.fspath(record))
    table = blank_table(spec, data, bore, system) if blank else full_table(spec, data, system)
    if out is None:
        click.echo(table, nl=False)
        return
    write_whole(out, BOM + table)
    count = len(table.splitlines()) - 1
    what = f"{count} still to do" if blank else f"{count} {'entry' if count == 1 else 'entries'}"
    click.echo(f"{out.name}: {what} of {record.name}")


def enter(record: Path, spec: Engine, system: System, words: Sequence[str], how: How) -> int:
    """Enter a table into a record, all of it or nothing, once its preview was agreed to; the exit code."""
    from geometry.record.importing import planned, save_import
    from viewer.reports.recorded import print_import

    if len(words) != 1:
        raise refused(
            "record import",
            " ".join(words),
            "names several tables" if words else "names no table",
            "write import readings.csv",
        )
    if how.yes and how.preview:
        raise refused("record", "--yes", "does not go with --preview", "leave one of them out")
    table = Path(words[0])
    text = as_text(read_whole(table, MOST_BYTES), os.fspath(table), "CSV")
    before = text_of(record)
    seen = planned(spec, before, text, os.fspath(table), how.by, system)
    print_import(seen, table.name, record.name)
    if seen.refused:
        raise InputError(seen.refused)
    if how.preview or seen.is_empty:
        return 0
    if not how.yes and not _agreed(f"Enter all of it in {record.name}? [y/N] "):
        click.echo("Nothing is entered.")
        return 1
    save_import(record, spec, seen, date.today())
    click.echo(f"Saved in {record.name}; `undo` takes all of it back.")
    return 0


def take_back(record: Path, spec: Engine, system: System, words: Sequence[str]) -> None:
    """Take back the last steps, and tell which."""
    from geometry.record.undo import undo, undoable
    from viewer.reports.recorded import undone_lines

    said = " ".join(words)
    if said and not (said.isdecimal() and len(said) < 4 and int(said)):
        raise refused("record undo", said, "is not a number of steps", "write undo, or undo 2")
    done = undo(record, spec, int(said or 1), system)
    left = len(undoable(record, text_of(record)))
    for line in undone_lines(done, record.name, left):
        click.echo(line)


def _agreed(question: str) -> bool:
    """Whether somebody says yes; nobody there is no."""
    try:
        said = input(question)
    except (EOFError, KeyboardInterrupt):
        click.echo("")
        return False
    if not sys.stdin.isatty():
        click.echo(said)  # what is piped in does not show by itself
    return said.strip().lower() in ("y", "yes")
