"""`fullturn record ENGINE set|show|todo|verdict`: bench readings in, verdicts out, nothing lost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from json import dumps
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from geometry.errors import refused
from viewer.commands.common import FILE, engine_argument, json_option, units_option

if TYPE_CHECKING:
    from geometry.record.model import Record
    from geometry.spec.described import Described
    from geometry.spec.engine import Engine
    from geometry.units import System

ACTIONS = ("show", "set", "todo", "verdict")


@click.command("record", context_settings={"ignore_unknown_options": True})
@engine_argument
@click.argument("action", type=click.Choice(ACTIONS), default="show")
@click.argument("words", nargs=-1, type=click.UNPROCESSED)
@units_option
@click.option("--record", "file", type=FILE, help="Record file; default: beside the engine file.")
@click.option("--by", metavar="INITIALS", help="Who measured (set).")
@click.option("--bore", type=int, help="Only this bore.")
@json_option
def command(
    engine: Path,
    action: str,
    words: tuple[str, ...],
    units: str | None,
    file: Path | None,
    by: str | None,
    bore: int | None,
    json: bool,
) -> None:
    """Keep the record of one build.

    \b
    fullturn record tern.toml set bore 3 ring.top.gap go=18thou tight=19thou
    fullturn record tern.toml set bore 3 rod.way turned --by EH
    fullturn record tern.toml set crank end_play 5thou
    fullturn record tern.toml show | todo | verdict   [--bore 3]

    Exit: 0 nothing outside its limit, 1 something is (verdict), 2 bad input. A record is saved in one piece or not at
    all; what was there before stays beside it as `.previous`.
    """  # noqa: D301  # click reads the backspace
    from geometry.record.load import load_record, record_path
    from geometry.record.place import bore_numbers
    from geometry.spec.described import load_described
    from viewer.job import assumed_as_json, assumed_line, system_of

    described = load_described(engine)
    spec = described.spec
    system = system_of(engine, units)
    path = file or record_path(engine)
    if action == "set":
        _set(path, spec, words, by)
        return
    if words:
        raise refused(
            "record", " ".join(words), f"`{action}` takes no words", "use --bore N to choose a bore"
        )
    if bore is not None and bore not in bore_numbers(spec):
        raise refused(engine, "--bore", f"there is no bore {bore}", "a number of this engine")
    record = load_record(path, spec)
    known, replaced = _with_readings(described, record)
    head = {"engine": spec.engine.name, "record": str(path)} | assumed_as_json(known, replaced)
    told = _Told(action, f"{spec.engine.name}: {path.name}", assumed_line(known, replaced), head, json)
    rows = _rows(action, spec, record, bore, system)
    if action == "verdict" and rows:
        raise click.exceptions.Exit(_give_verdict(told, engine, units, path, bore, rows))
    more: dict[str, Any] = {"findings": []} if action == "verdict" else {}
    _give(told, rows, len(bore_numbers(spec)), more)


@dataclass(frozen=True, slots=True)
class _Told:
    """How an answer begins, and whether it is JSON."""

    action: str
    title: str
    assumed: str
    head: Mapping[str, Any]
    json: bool


def _give(told: _Told, rows: list[dict[str, Any]], bores: int, more: Mapping[str, Any]) -> None:
    from viewer.reports.recorded import print_rows

    if told.json:
        click.echo(dumps({**told.head, told.action: rows, **more}, ensure_ascii=False))
    else:
        print_rows(told.action, told.title, rows, bores, told.assumed)


def _give_verdict(
    told: _Told, engine: Path, units: str | None, path: Path, bore: int | None, rows: list[dict[str, Any]]
) -> int:
    """Every reading with its verdict, then the faults of the engine as ``check --built`` tells them; the exit code."""
    from viewer.job import read_job
    from viewer.reports.answered import answered, settled
    from viewer.reports.doubts import over_doubt
    from viewer.reports.recorded import print_faults
    from viewer.reports.tables import all_findings, findings_as_json

    job = read_job(engine, units, (), path)
    over = over_doubt(job)
    found = [
        finding
        for finding in all_findings(settled(job, answered(job, path), path, over))
        if bore is None or finding.bore == bore
    ]
    _give(told, rows, len(job.assembly.layout.bores), {"findings": findings_as_json(found, over)})
    if not told.json:
        print_faults(found, told.assumed)
    return int(any(finding.severity == "stop" for finding in found))


def _with_readings(described: Described, record: Record) -> tuple[Described, int]:
    """How well each value is known with the record, and how many assumed ones its readings stand in for."""
    if not described.assumed:
        return described, 0
    from geometry.doubts.readings import read_box

    found = read_box(described, record)
    return found.box.described, len(found.replaced)


def _set(path: Path, spec: Engine, words: Sequence[str], by: str | None) -> None:
    from geometry.record.entries import set_entries

    first = words[0] if words else ""
    alone = first.lower() == "crank" or first[-1:].isdigit()  # "bore 3" in quotes is one word
    place, rest = (first, words[1:]) if alone else (" ".join(words[:2]), words[2:])
    if not rest:
        right = "write a place, an entry and its values: bore 3 ring.top.gap go=18thou tight=19thou"
        raise refused("record set", " ".join(words), "says nothing to enter", right)
    for change in set_entries(path, spec, place, list(rest), by=by, on=date.today()):
        said = (
            "taken out"
            if change.content is None
            else ", ".join(f"{k} = {v}" for k, v in change.content.items())
        )
        click.echo(f"{change.place.words} {change.path}: {said}; saved in {path.name}")


def _rows(
    action: str, spec: Engine, record: Record, bore: int | None, system: System
) -> list[dict[str, Any]]:
    """Rows of one answer."""
    from dataclasses import asdict

    from geometry.record.todo import todo
    from geometry.record.verdicts import entries_shown, verdicts

    if action == "show":
        return list(entries_shown(spec, record, bore=bore, system=system))
    if action == "todo":
        return [asdict(item) for item in todo(spec, record, bore=bore, system=system)]
    return [verdict.as_row() for verdict in verdicts(spec, record, bore=bore, system=system)]
