"""Sections of a check as tables and words in the terminal, or as one JSON object."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from geometry.checks.section import SEVERITY_WORDS, Amount, Cell, Column, Finding, Row, Section
from geometry.units import System
from viewer.cautions import LINES
from viewer.terminal import Terminal

SEVERITY_STYLE = {"stop": "bold red", "look": "yellow", "note": "dim"}
SEVERITY_ORDER = ("stop", "look", "note")


def all_findings(sections: Sequence[Section]) -> list[Finding]:
    """Findings of every section, the gravest first."""
    found = [finding for section in sections for finding in section.findings]
    return sorted(found, key=lambda finding: SEVERITY_ORDER.index(finding.severity))


def verdict_code(sections: Sequence[Section]) -> int:
    """Exit code: 1 when something is outside its limit."""
    return int(any(finding.severity == "stop" for finding in all_findings(sections)))


def answer(sections: Sequence[Section]) -> dict[str, Any]:
    """What ``check --json`` answers: one key per section, and the findings."""
    findings = [
        {
            "id": f.id,
            "severity": f.severity,
            "bore": f.bore,
            "text": f.text,
            "remedy": f.remedy,
            "remedies": [{"set": dict(r.settings), "leaves_mm": round(r.leaves_mm, 6)} for r in f.remedies],
        }
        for f in all_findings(sections)
    ]
    return {section.key: section.as_json() for section in sections} | {"findings": findings}


def cell_text(cell: Cell, system: System) -> str:
    """One cell as the builder reads it."""
    if isinstance(cell, Amount):
        return cell.text(system)
    if cell is None:
        return "-"
    return f"{cell:g}" if isinstance(cell, float) else str(cell)


def merged(rows: Sequence[Row], columns: Sequence[Column], system: System) -> list[tuple[list[str], str]]:
    """Rows that read alike but for the bore become one row that names their bores; text and severity of each."""
    place = next((i for i, column in enumerate(columns) if column.key == "bore"), None)
    found: dict[tuple[str, ...], tuple[list[str], str, list[str]]] = {}
    for row in rows:
        cells = [cell_text(row.get(column.key), system) for column in columns]
        rest = tuple(cell for i, cell in enumerate(cells) if i != place)
        kept = found.setdefault(rest, (cells, str(row.get("severity") or ""), []))
        if place is not None and cells[place] not in kept[2]:
            kept[2].append(cells[place])
    out = []
    total = len({str(row.get("bore")) for row in rows})
    for cells, severity, bores in found.values():
        if place is not None:
            cells[place] = "all" if len(bores) == total > 1 else ", ".join(bores)
        out.append((cells, severity))
    return out


def print_report(title: str, sections: Sequence[Section], system: System, everything: bool = False) -> None:
    """Tables, notes, findings, cautions; plain text where the output is no terminal."""
    out = Terminal()
    out.say(title, style="bold")
    for section in sections:
        out.say("")
        if section.single and section.rows:
            _print_single(out, section, system)
        elif section.rows:
            rows = section.rows if everything or section.shown is None else section.shown
            found = merged(rows, section.columns, system)
            styled = [(cells, SEVERITY_STYLE.get(severity, "")) for cells, severity in found]
            out.table([column.heading for column in section.columns], styled, section.title)
        out.say(*(f"  {note}" for note in section.notes), style="dim")
    _print_findings(out, all_findings(sections))
    out.say("")
    out.say(*LINES, style="dim")


def _print_single(out: Terminal, section: Section, system: System) -> None:
    """The one row of a section, a line for each of its cells."""
    from rich.table import Table
    from rich.text import Text

    look: dict[str, Any] = {"title_justify": "left", "title_style": "bold", "box": None, "pad_edge": False}
    table = Table(title=section.title, show_header=False, **look)
    for column in section.columns:
        said = cell_text(section.rows[0].get(column.key), system)
        table.add_row(Text(column.heading, style="dim"), Text(said))
    out.console.print(table)


def _print_findings(out: Terminal, findings: Sequence[Finding]) -> None:
    out.say("")
    if not findings:
        out.say("All within limits.", style="bold green")
        return
    counted = {name: sum(f.severity == name for f in findings) for name in SEVERITY_ORDER}
    head = "Nothing outside its limit." if not counted["stop"] else f"{counted['stop']} outside the limit."
    out.say(head, style="bold red" if counted["stop"] else "bold green")
    said: set[str] = set()
    for finding in findings:
        bore = f"bore {finding.bore}: " if finding.bore is not None else ""
        word, style = SEVERITY_WORDS[finding.severity], SEVERITY_STYLE[finding.severity]
        out.say(f"{word:4}  {bore}{finding.text}", style=style)
        if finding.remedy:
            again = finding.remedy in said and bool(finding.remedies)
            out.say(f"      -> {'as above' if again else finding.remedy}")
            said.add(finding.remedy)
