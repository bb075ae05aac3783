"""What a build record holds, lacks and says, as tables and words in the terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from viewer.cautions import AS_ASSUMED, LINES
from viewer.reports.tables import SEVERITY_STYLE, print_findings
from viewer.terminal import Terminal

if TYPE_CHECKING:
    from geometry.checks.section import Finding

COLUMNS = {
    "show": ("place", "what", "reading", "by", "on", "note"),
    "todo": ("step", "place", "what", "entry", "limit"),
    "verdict": ("place", "what", "reading", "limit", "verdict"),
}
HEADINGS = {"limit": "held against"}
SOURCES = {"todo": "source", "verdict": "limit_source"}
"""The source of each row's limit, which is told under the table by the number behind the limit."""
NOTHING = {
    "show": "Nothing recorded yet.",
    "todo": "Everything is recorded.",
    "verdict": "Nothing recorded yet: nothing to judge.",
}
INDENT = "      "


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
    out.table([HEADINGS.get(key, key) for key in COLUMNS[action]], styled)
    out.say(*(f"  [{number}] {source}" for source, number in sources.items()), style="dim")
    if action != "verdict":
        out.say(LINES[1], style="dim")


def print_faults(findings: Sequence[Finding], assumed: str) -> None:
    """What is wrong with the engine as it was put together, as ``check --built`` ends."""
    out = Terminal()
    print_findings(out, findings, INDENT)
    if assumed:
        words = "Limits that follow from the engine file rest on its values as they are assumed."
        out.say(words, style="dim")
    out.say("", LINES[1], style="dim")


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
