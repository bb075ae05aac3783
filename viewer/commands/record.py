"""`fullturn record ENGINE set|show|todo|verdict`: bench readings in, verdicts out, nothing lost."""

from __future__ import annotations

from collections.abc import Sequence
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
    rows, code = _rows(action, spec, record, bore, system)
    known, replaced = _with_readings(described, record)
    if json:
        head = {"engine": spec.engine.name, "record": str(path)} | assumed_as_json(known, replaced)
        click.echo(dumps({**head, action: rows}, ensure_ascii=False))
    else:
        title = f"{spec.engine.name}: {path.name}"
        _print(action, title, rows, len(bore_numbers(spec)), assumed_line(known, replaced))
    raise click.exceptions.Exit(code)


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
) -> tuple[list[dict[str, Any]], int]:
    """Rows of one answer and its exit code."""
    from dataclasses import asdict

    from geometry.record.todo import todo
    from geometry.record.verdicts import entries_shown, verdicts

    if action == "show":
        return list(entries_shown(spec, record, bore=bore, system=system)), 0
    if action == "todo":
        return [asdict(item) for item in todo(spec, record, bore=bore, system=system)], 0
    found = verdicts(spec, record, bore=bore, system=system)
    return [verdict.as_row() for verdict in found], int(any(v.severity == "stop" for v in found))


COLUMNS = {
    "show": ("place", "what", "reading", "by", "on", "note"),
    "todo": ("step", "place", "what", "entry", "limit", "source"),
    "verdict": ("place", "what", "reading", "limit", "verdict", "text", "remedy", "limit_source"),
}
HEADINGS = {"limit": "held against", "text": "means", "remedy": "do", "limit_source": "source"}
SOURCES = ("source", "limit_source")
NOTHING = {
    "show": "Nothing recorded yet.",
    "todo": "Everything is recorded.",
    "verdict": "Nothing recorded yet: nothing to judge.",
}


def _print(action: str, title: str, rows: list[dict[str, Any]], bores: int, assumed: str) -> None:
    from viewer.cautions import AS_ASSUMED, LINES
    from viewer.reports.tables import SEVERITY_STYLE
    from viewer.terminal import Terminal

    out = Terminal()
    if assumed:
        out.say(assumed)
    out.say(title, style="bold")
    if not rows:
        out.say(NOTHING[action])
        return
    sources: dict[str, int] = {}
    styled = []
    for row in _alike(rows, bores) if action == "todo" else rows:
        cells = {key: "" if row.get(key) is None else str(row[key]) for key in COLUMNS[action]}
        if assumed and cells.get("verdict") == "within":
            cells["verdict"] += AS_ASSUMED
        for key in SOURCES:
            if cells.get(key):
                cells[key] = f"[{sources.setdefault(cells[key], len(sources) + 1)}]"
        styled.append((cells.values(), SEVERITY_STYLE.get(str(row.get("severity") or ""), "")))
    out.table([HEADINGS.get(key, key) for key in COLUMNS[action]], styled)
    out.say(*(f"  [{number}] {source}" for source, number in sources.items()), style="dim")
    if action == "verdict":
        outside = sum(row.get("severity") == "stop" for row in rows)
        out.say(f"{outside} outside the limit." if outside else "Nothing outside its limit.", style="bold")
        if assumed:
            out.say(
                "Limits that follow from the engine file rest on its values as they are assumed.", style="dim"
            )
    out.say(LINES[1], style="dim")


def _alike(rows: list[dict[str, Any]], bores: int) -> list[dict[str, Any]]:
    """Rows that differ in the place only, as one row that names the places; ``bores`` is how many there are."""
    alike: dict[tuple[Any, ...], list[dict[str, Any]]] = {}
    for row in rows:
        key = tuple(value for name, value in row.items() if name not in ("place", "bore", "number"))
        alike.setdefault(key, []).append(row)
    found = []
    for first, *more in alike.values():
        place = ", ".join([first["place"], *(str(row["number"]) for row in more)])
        every = len(more) + 1 == bores > 1 and first["bore"] is not None
        found.append({**first, "place": "every bore" if every else place})
    return found
