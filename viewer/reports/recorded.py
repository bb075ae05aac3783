"""What a build record holds, lacks and says, as tables and words in the terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from viewer.cautions import AS_ASSUMED, LINES
from viewer.reports.tables import SEVERITY_STYLE, print_findings
from viewer.terminal import Terminal

if TYPE_CHECKING:
    from geometry.checks.section import Finding
    from geometry.record.history import EntryChange
    from geometry.record.importing import Import
    from geometry.record.steps import Step, StepChange
    from geometry.record.undo import Undone
    from geometry.record.words import Written

COLUMNS = {
    "show": ("place", "what", "reading", "by", "on", "note"),
    "todo": ("step", "place", "what", "entry", "limit"),
    "verdict": ("place", "what", "reading", "limit", "verdict"),
    "history": ("undo", "by", "entered"),
}
HEADINGS = {"limit": "held against"}
SOURCES = {"todo": "source", "verdict": "limit_source"}
"""The source of each row's limit, which is told under the table by the number behind the limit."""
WHOLE = ("entry",)
"""Columns to be typed as they stand, so that no word in them is broken."""
NOTHING = {
    "show": "Nothing recorded yet.",
    "todo": "Everything is recorded.",
    "verdict": "Nothing recorded yet: nothing to judge.",
    "history": "Nothing to undo: nothing was entered here, or all of it is taken back.",
}
INDENT = "      "
MOST_LINES = 12
"""Lines of what was undone; the rest is counted."""
MOST_PATHS = 3
"""Kinds of entry of a step that are named; a step of more is told by its count."""


def print_rows(action: str, title: str, rows: Sequence[Mapping[str, Any]], bores: int, assumed: str) -> None:
    """One table of a record.

    Parameters
    ----------
    action : ``show``, ``todo`` or ``verdict``
    title : its first line
    bores : how many the engine has
    assumed : what verdicts rest on, empty where nothing is assumed
    """
    out = Terminal()
    if assumed:
        out.say(assumed)
    out.say(title, style="bold")
    if not rows:
        out.say(NOTHING[action])
        return
    sources: dict[str, int] = {}
    styled = []
    for row in alike(rows, bores) if action == "todo" else rows:
        cells = {key: "" if row.get(key) is None else str(row[key]) for key in COLUMNS[action]}
        if assumed and cells.get("verdict") == "within":
            cells["verdict"] += AS_ASSUMED
        source = row.get(SOURCES.get(action, ""))
        if source and cells["limit"]:
            cells["limit"] += f" [{sources.setdefault(str(source), len(sources) + 1)}]"
        styled.append((cells.values(), SEVERITY_STYLE.get(str(row.get("severity") or ""), "")))
    out.table([HEADINGS.get(key, key) for key in COLUMNS[action]], styled, whole=WHOLE)
    out.say(*(f"  [{number}] {source}" for source, number in sources.items()), style="dim")
    if action != "verdict":
        out.say(LINES[1], style="dim")


def print_faults(findings: Sequence[Finding], assumed: str, in_doubt: bool) -> None:
    """What is wrong with the engine as it was put together, as ``check --built`` ends.

    Parameters
    ----------
    assumed : what verdicts rest on, empty where nothing is assumed
    in_doubt : only the readings were asked, since values are in doubt
    """
    out = Terminal()
    if findings or not in_doubt:
        print_findings(out, findings, INDENT)
    else:
        out.say("", "Nothing outside its limit.", style="bold")
    if in_doubt:
        words = "Readings and ring clock only: values are in doubt, and `check --built` tells what they leave open."
        out.say(words, style="bold yellow")
    if assumed:
        words = "Limits that follow from the engine file rest on its values as they are assumed."
        out.say(words, style="dim")
    out.say("", LINES[1], style="dim")


def entered_lines(changes: Sequence[Written], record: str) -> list[str]:
    """What was entered, the places of one entry together."""
    found: dict[tuple[str, str], list[Written]] = {}
    for change in changes:
        content = change.content
        said = "taken out" if content is None else ", ".join(f"{k} = {v}" for k, v in content.items())
        found.setdefault((change.path, said), []).append(change)
    return [f"{_places(same)} {path}: {said}; saved in {record}" for (path, said), same in found.items()]


def undone_lines(done: Undone, record: str, left: int) -> list[str]:
    """What was taken back, the places of one entry together, and what can be taken back still."""
    found: dict[tuple[str, str], list[EntryChange]] = {}
    for change in done.changes:
        said = f"{change.was} taken out" if not change.now else f"back to {change.now}"
        said += f", was {change.was}" if change.now and change.was else ""
        found.setdefault((change.what, said), []).append(change)
    lines = [f"{_places(same)}, {what}: {said}" for (what, said), same in found.items()]
    more = [f"and {len(lines) - MOST_LINES} more"] if len(lines) > MOST_LINES else []
    steps = f"{len(done.steps)} steps" if len(done.steps) > 1 else "the last step"
    rest = f"{left} {'step' if left == 1 else 'steps'} more can be undone" if left else "nothing more to undo"
    return [
        f"Undone in {record}, {steps}:",
        *(f"  {line}" for line in [*lines[:MOST_LINES], *more]),
        f"{rest}.",
    ]


def history_rows(steps: Sequence[Step]) -> list[dict[str, Any]]:
    """What can be taken back, the last first."""
    return [
        {
            "undo": number,
            "by": step.by,
            "kind": step.kind,
            "entries": len(step.changes),
            "entered": _step_words(step),
        }
        for number, step in enumerate(steps, 1)
    ]


def _step_words(step: Step) -> str:
    """What a step entered, shortly."""
    paths: dict[str, list[StepChange]] = {}
    for change in step.changes:
        paths.setdefault(change.path, []).append(change)
    count = len(step.changes)
    if step.kind == "import" or len(paths) > MOST_PATHS:
        return f"{'import' if step.kind == 'import' else 'set'} of {count} {'entry' if count == 1 else 'entries'}"
    return "; ".join(f"{_places(same)} {path}{_content(same)}" for path, same in paths.items())


def _content(same: Sequence[StepChange]) -> str:
    """What was entered, where it is the same at every place, and what it was before at a single one."""
    told = {_plain_words(change.after) for change in same}
    if len(told) > 1:
        return ""
    was = f", was {_plain_words(same[0].before)}" if len(same) == 1 and same[0].before else ""
    return f": {told.pop()}{was}"


def _plain_words(entry: Mapping[str, Any] | None) -> str:
    if entry is None:
        return "taken out"
    values = {name: value for name, value in entry.items() if name not in ("by", "on", "note")}
    return ", ".join(str(value) if name == "value" else f"{name} {value}" for name, value in values.items())


def _places(same: Sequence[Written | EntryChange | StepChange]) -> str:
    """``bore 1, 2, 3``; places of several kinds one kind after another."""
    kinds: dict[str, list[str]] = {}
    for one in same:
        kinds.setdefault(one.place.kind, []).append("" if one.place.number is None else str(one.place.number))
    return " and ".join(f"{kind} {', '.join(numbers)}".strip() for kind, numbers in kinds.items())


def print_import(seen: Import, table: str, record: str) -> None:
    """What a table would enter, before anybody agrees to it."""
    out = Terminal()
    out.say(f"{table} into {record}", style="bold")
    if seen.changes:
        rows = [
            (
                (change.place.words, change.what, change.now or "taken out", change.was),
                "yellow" if change.was else "",
            )
            for change in seen.changes
        ]
        headings = ["place", "what", "to be entered", "in place of"]
        was = any(change.was for change in seen.changes)
        out.table(
            headings if was else headings[:-1],
            [(cells if was else cells[:-1], style) for cells, style in rows],
        )
    for (name, key), held in seen.head.items():
        out.say(f"{name} {key}: {_plain_words(held)}")
    changed = sum(bool(change.was) for change in seen.changes)
    new = len(seen.changes) - changed + len(seen.head)
    counts = [f"{new} new", f"{changed} changed", f"{seen.same} as they stand already"]
    if seen.refused:
        counts.append(f"{len(seen.refused)} refused: nothing is entered")
    out.say(f"{', '.join(counts)}.", style="bold red" if seen.refused else "bold")


def alike(rows: Sequence[Mapping[str, Any]], bores: int) -> list[dict[str, Any]]:
    """Rows that differ in the place only, as one row that names the places; ``bores`` is how many there are."""
    found: dict[tuple[Any, ...], list[Mapping[str, Any]]] = {}
    for row in rows:
        key = tuple(value for name, value in row.items() if name not in ("place", "bore", "number"))
        found.setdefault(key, []).append(row)
    told = []
    for first, *more in found.values():
        place = ", ".join([first["place"], *(str(row["number"]) for row in more)])
        every = len(more) + 1 == bores > 1 and first["bore"] is not None
        told.append({**first, "place": "every bore" if every else place})
    return told
