"""`fullturn record ENGINE ACTION`: bench readings in, one by one or in bulk; what they say out; nothing lost."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from json import dumps
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from geometry.errors import refused
from viewer.commands.common import FILE, engine_argument, json_option, units_option

if TYPE_CHECKING:
    from geometry.record.model import Record
    from geometry.spec.described import Described
    from geometry.spec.engine import Engine
    from geometry.units import System

ACTIONS: Final = ("show", "set", "ask", "todo", "verdict", "undo", "history", "export", "import")
TABLES: Final = ("show", "todo", "verdict", "history")
WITH_WORDS: Final = ("set", "undo", "import")
ONLY_FOR: Final = {
    "--bore": ("show", "todo", "verdict", "ask", "export"), "--step": ("ask",), "--by": ("set", "ask", "import"),
    "-o": ("export",), "--blank": ("export",), "--yes": ("import",), "--preview": ("import",),
}  # fmt: skip
"""The actions that an option belongs to; with the others it is refused rather than left out without a word."""
OF_READINGS: Final = ("clocks",)
"""Checks whose answers follow from readings alone."""
_SIGN: Final = "\0"
"""Before a word with a sign while the options are told from the words."""


class _WithSigns(click.Command):
    """A command whose words may be below zero: ``deck -5thou`` is no bundle of options."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """The rest of the words; called by click."""
        return super().parse_args(ctx, [f"{_SIGN}{arg}" if re.match(r"-[\d.]", arg) else arg for arg in args])


@click.command("record", cls=_WithSigns, context_settings={"ignore_unknown_options": True})
@engine_argument
@click.argument("action", type=click.Choice(ACTIONS), default="show", metavar="ACTION")
@click.argument("words", nargs=-1, type=click.UNPROCESSED)
@units_option
@click.option("--record", "file", type=FILE, help="Record file; default: beside the engine file.")
@click.option("--by", metavar="INITIALS", help="Who measured (set, ask, import).")
@click.option("--bore", type=int, help="Only this bore (show, todo, verdict, ask, export --blank).")
@click.option("--step", metavar="STEP", help="Only this step of the job, as `todo` names it (ask).")
@click.option(
    "-o", "out", type=FILE, help="The table to write, readings.csv; default: the terminal (export)."
)
@click.option("--blank", is_flag=True, help="A form of all that is still to do, to fill in (export).")
@click.option("--yes", is_flag=True, help="Enter it without asking (import).")
@click.option("--preview", is_flag=True, help="Only show what would be entered (import).")
@json_option
def command(
    engine: Path, action: str, words: tuple[str, ...], units: str | None, file: Path | None, json: bool, **given: Any
) -> None:  # fmt: skip
    """Keep the record of one build.

    \b
    fullturn record tern.toml set bore 3 ring.top.gap go=18thou tight=19thou
    fullturn record tern.toml set bore 3 rod.way turned --by EH
    fullturn record tern.toml set bore 1-8 deck 10thou      (or 1,3,5,7, or all)
    fullturn record tern.toml ask [--bore 3] [--step "ring gaps"] [--by EH]
    fullturn record tern.toml show | todo | verdict         [--bore 3]
    fullturn record tern.toml export --blank -o form.csv    (without --blank: all)
    fullturn record tern.toml import form.csv               [--preview | --yes]
    fullturn record tern.toml undo [2]                      (history lists what can)

    Exit: 0 nothing outside its limit, 1 something is (verdict) or it was not entered (import), 2 bad input. What is
    saved is saved in one piece or not at all. Beside the record stay the state before, `.previous`, and the steps that
    `undo` takes back, `.history`.
    """  # noqa: D301  # click reads the backspace
    from geometry.record.load import record_path
    from geometry.record.place import bore_numbers
    from geometry.spec.described import load_described
    from viewer.job import system_of

    words = tuple(word.removeprefix(_SIGN) for word in words)
    _require(action, words, given)
    described = load_described(engine)
    if given["bore"] is not None and given["bore"] not in bore_numbers(described.spec):
        raise refused(engine, "--bore", f"there is no bore {given['bore']}", "a number of this engine")
    asked = _Asked(engine, described, system_of(engine, units), file or record_path(engine), units, json)
    if action == "set":
        _set(asked, words, given["by"])
    elif action == "ask":
        from viewer.commands.asking import ask

        ask(asked.path, asked.spec, asked.system, given["bore"], given["step"], given["by"])
    elif action in TABLES:
        raise click.exceptions.Exit(_table(asked, action, given["bore"]))
    else:
        from viewer.commands import record_bulk as bulk

        if action == "undo":
            bulk.take_back(asked.path, asked.spec, asked.system, words)
        elif action == "export":
            bulk.export(asked.path, asked.spec, asked.system, given["out"], given["blank"], given["bore"])
        else:
            how = bulk.How(given["by"], given["yes"], given["preview"])
            raise click.exceptions.Exit(bulk.enter(asked.path, asked.spec, asked.system, words, how))


@dataclass(frozen=True, slots=True)
class _Asked:
    """The engine, its record file, and how to answer."""

    engine: Path
    described: Described
    system: System
    path: Path
    units: str | None
    json: bool

    @property
    def spec(self) -> Engine:
        return self.described.spec


def _require(action: str, words: Sequence[str], given: Mapping[str, Any]) -> None:
    """Refuse words and options that the action does not take."""
    if words and action not in WITH_WORDS:
        right = "use --bore N to choose a bore"
        raise refused("record", " ".join(words), f"`{action}` takes no words", right)
    names = {"-o": "out"}
    for option, actions in ONLY_FOR.items():
        if given[names.get(option, option.lstrip("-"))] not in (None, False) and action not in actions:
            right = f"it belongs to {' and '.join(f'`{one}`' for one in actions)}"
            raise refused("record", option, f"`{action}` has no use for it", right)
    if given["bore"] is not None and action == "export" and not given["blank"]:
        raise refused(
            "record", "--bore", "a table of one bore only is not a whole record", "add --blank for a form"
        )


def _set(asked: _Asked, words: Sequence[str], by: str | None) -> None:
    from geometry.record.entries import set_entries
    from viewer.reports.recorded import entered_lines

    place, rest = _place_and_rest(words)
    if not rest:
        right = "write a place, an entry and its values: bore 3 ring.top.gap go=18thou tight=19thou"
        raise refused("record set", " ".join(words), "says nothing to enter", right)
    changes = set_entries(asked.path, asked.spec, place, rest, by=by, on=date.today())
    for line in entered_lines(changes, asked.path.name):
        click.echo(line)


def _place_and_rest(words: Sequence[str]) -> tuple[str, list[str]]:
    """The words that say where, however the shell has cut them, and the others."""
    from geometry.record.place import is_of_place

    first = words[0] if words else ""
    count = 1
    while first.lower() != "crank" and count < len(words) and is_of_place(words[count]):
        count += 1
    return " ".join(words[:count]), list(words[count:])


def _table(asked: _Asked, action: str, bore: int | None) -> int:
    """Print one table of the record, or its JSON; the exit code."""
    from geometry.record.load import load_record
    from viewer.job import assumed_as_json, assumed_line

    spec = asked.spec
    record = load_record(asked.path, spec)
    known, replaced = _with_readings(asked.described, record)
    head = {"engine": spec.engine.name, "record": str(asked.path)} | assumed_as_json(known, replaced)
    title = f"{spec.engine.name}: {asked.path.name}"
    told = _Told(action, title, assumed_line(known, replaced), head, asked.json)
    rows = _rows(asked, action, record, bore)
    if action == "verdict" and rows:
        return _give_verdict(told, asked, bore, rows)
    more: dict[str, Any] = {"findings": []} if action == "verdict" else {}
    _give(told, rows, spec, more)
    return 0


@dataclass(frozen=True, slots=True)
class _Told:
    """How an answer begins, and whether it is JSON."""

    action: str
    title: str
    assumed: str
    head: Mapping[str, Any]
    json: bool


def _give(told: _Told, rows: list[dict[str, Any]], spec: Engine, more: Mapping[str, Any]) -> None:
    from geometry.record.place import bore_numbers
    from viewer.reports.recorded import print_rows

    if told.json:
        click.echo(dumps({**told.head, told.action: rows, **more}, ensure_ascii=False))
    else:
        print_rows(told.action, told.title, rows, len(bore_numbers(spec)), told.assumed)


def _give_verdict(told: _Told, asked: _Asked, bore: int | None, rows: list[dict[str, Any]]) -> int:
    """Every reading with its verdict, then the faults of the engine as ``check --built`` tells them; the exit code.

    Where values are in doubt, what the checks say besides takes a study of all that they may be: that is left to
    ``check``, and the faults are those that the readings tell of by themselves.
    """
    from viewer.job import read_job
    from viewer.reports.answered import answered, settled
    from viewer.reports.recorded import print_faults
    from viewer.reports.tables import all_findings, findings_as_json

    job = read_job(asked.engine, asked.units, (), asked.path)
    in_doubt = job.in_doubt or bool(job.assumed)
    sections = answered(job, asked.path, only=OF_READINGS if in_doubt else None)
    found = [
        finding
        for finding in all_findings(settled(job, sections, asked.path))
        if bore is None or finding.bore == bore
    ]
    more = {"in_doubt": True} if in_doubt else {}
    _give(told, rows, asked.spec, {"findings": findings_as_json(found), **more})
    if not told.json:
        print_faults(found, told.assumed, in_doubt)
    return int(any(finding.severity == "stop" for finding in found))


def _with_readings(described: Described, record: Record) -> tuple[Described, int]:
    """How well each value is known with the record, and how many assumed ones its readings stand in for."""
    if not described.assumed:
        return described, 0
    from geometry.doubts.readings import read_box

    found = read_box(described, record)
    return found.box.described, len(found.replaced)


def _rows(asked: _Asked, action: str, record: Record, bore: int | None) -> list[dict[str, Any]]:
    """Rows of one answer."""
    from dataclasses import asdict

    from geometry.record.todo import todo
    from geometry.record.verdicts import entries_shown, verdicts

    spec, system = asked.spec, asked.system
    if action == "show":
        return list(entries_shown(spec, record, bore=bore, system=system))
    if action == "todo":
        return [asdict(item) for item in todo(spec, record, bore=bore, system=system)]
    if action == "history":
        from geometry.record.undo import undoable
        from viewer.commands.record_bulk import text_of
        from viewer.reports.recorded import history_rows

        return history_rows(undoable(asked.path, text_of(asked.path)))
    return [verdict.as_row() for verdict in verdicts(spec, record, bore=bore, system=system)]
