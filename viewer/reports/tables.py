"""Sections of a check as tables and words in the terminal, or as one JSON object."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from geometry.checks.section import SEVERITY_WORDS, Amount, Cell, Column, Finding, Row, Section
from geometry.units import System
from viewer.cautions import LINES
from viewer.reports import doubts, ending, standing
from viewer.reports.doubts import OverDoubt
from viewer.reports.measure import wrapped
from viewer.terminal import Terminal

SEVERITY_STYLE = {"stop": "bold red", "look": "yellow", "note": "dim"}
SEVERITY_ORDER = ("stop", "look", "note")
WITH_IT = "with it:"
"""Before what follows from a fault, or shows it too."""


def all_findings(sections: Sequence[Section]) -> list[Finding]:
    """Findings of every section, the gravest first."""
    found = [finding for section in sections for finding in section.findings]
    return sorted(found, key=lambda finding: SEVERITY_ORDER.index(finding.severity))


def verdict_code(sections: Sequence[Section], over: OverDoubt | None = None) -> int:
    """Exit code: 1 when something is outside its limit, or may be within the doubt."""
    if over is not None:
        return standing.code(over, all_findings(sections))
    return int(any(finding.severity == "stop" for finding in all_findings(sections)))


def answer(sections: Sequence[Section], over: OverDoubt | None = None) -> dict[str, Any]:
    """What ``check --json`` answers: one key per section, and the findings; over doubt its intervals too.

    Parameters
    ----------
    sections : with their verdicts over the doubt, where there is any
    """
    told = all_findings(sections) + list(over.clashes if over is not None else ())
    said = {section.key: section.as_json() for section in sections}
    said |= {"findings": findings_as_json(told, over)}
    return said if over is None else said | standing.as_plain(over)


def findings_as_json(told: Sequence[Finding], over: OverDoubt | None = None) -> list[dict[str, Any]]:
    """Findings as ``--json`` holds them."""
    return [
        {
            "id": f.id,
            "severity": f.severity,
            "bore": f.bore,
            "text": f.text,
            "remedy": f.remedy,
            "remedies": [
                {
                    "set": dict(r.settings),
                    "puts_right": [list(one) for one in r.puts_right],
                    "leaves_mm": round(r.leaves_mm, 6),
                }
                for r in f.remedies
            ],
            "main": f.main,
            "fault": f.group or None,
            "also": list(f.also),
        }
        | ({} if over is None else {"open": f.open_to is not None})
        for f in told
    ]


def cell_text(cell: Cell, system: System) -> str:
    """One cell as the builder reads it."""
    if isinstance(cell, Amount):
        return cell.text(system)
    if cell is None:
        return "-"
    return f"{cell:g}" if isinstance(cell, float) else str(cell)


def merged(rows: Sequence[Row], columns: Sequence[Column], system: System) -> list[tuple[list[str], str]]:
    """Rows that read alike but for where become one row that names their bores or mains; text and severity of each."""
    place = next((i for i, column in enumerate(columns) if column.key in ("bore", "place")), None)
    found: dict[tuple[str, ...], tuple[list[str], str, list[str]]] = {}
    for row in rows:
        cells = [cell_text(row.get(column.key), system) for column in columns]
        rest = tuple(cell for i, cell in enumerate(cells) if i != place)
        kept = found.setdefault(rest, (cells, str(row.get("severity") or ""), []))
        if place is not None and cells[place] not in kept[2]:
            kept[2].append(cells[place])
    out = []
    total = len({row.get("bore") for row in rows} - {None})
    for cells, severity, bores in found.values():
        if place is not None and columns[place].key == "place":
            cells[place] = _places(bores, {str(row.get("place")) for row in rows})
        elif place is not None:
            cells[place] = "all" if len(bores) == total > 1 else ", ".join(bores)
        out.append((cells, severity))
    return out


def _places(places: Sequence[str], every: Collection[str]) -> str:
    """``bore 1`` and ``bore 3`` as one: ``bores 1, 3``, or ``all bores``."""
    kind, _, number = places[0].partition(" ")
    alike = sum(place.startswith(f"{kind} ") for place in every)
    if not number or len(places) == 1:
        return places[0]
    numbers = ", ".join(place.partition(" ")[2] for place in places)
    return f"all {kind}s" if len(places) == alike else f"{kind}s {numbers}"


def print_report(
    title: str,
    sections: Sequence[Section],
    system: System,
    everything: bool = False,
    over: OverDoubt | None = None,
    limited: bool = True,
) -> None:
    """Tables, notes, findings, cautions; plain text where the output is no terminal.

    Parameters
    ----------
    sections : with their verdicts over the doubt, where there is any
    over : what is in doubt; None: nothing
    limited : whether the tables are held to limits, so that it can be said that all keep them
    """
    out = Terminal()
    if over is not None and over.line:
        out.say(over.line, style="bold yellow")
    out.say(title, style="bold")
    for section in sections:
        if over is not None and not section.rows and not section.notes:
            continue
        out.say("")
        if section.single and section.rows:
            _print_single(out, section, system, over)
        elif section.rows:
            rows = section.rows if everything or section.shown is None else section.shown
            if over is not None and out.console.width < doubts.NARROW and "place_a" in rows[0]:
                _print_places(out, rows, section, system)
            else:
                _print_rows(out, rows, section.columns, section.title, system)
        if over is not None:
            _print_intervals(out, section, over, system)
        out.say(*(f"  {note}" for note in section.notes), style="dim")
    if over is None and (limited or all_findings(sections)):
        print_findings(out, all_findings(sections))
    elif over is not None:
        _print_waiting(out, over)
        _print_over_doubt(out, sections, over, system, everything)
    out.say("")
    out.say(*LINES, style="dim")


def _print_rows(
    out: Terminal, rows: Sequence[Row], columns: Sequence[Column], title: str, system: System
) -> None:
    width = out.console.width
    wanted = doubts.fitting(columns, width)
    fitting = doubts.with_room(wanted, rows, width, system)
    styled = [(cells, SEVERITY_STYLE.get(severity, "")) for cells, severity in merged(rows, fitting, system)]
    whole = [column.heading for column in fitting if column.key in doubts.WHOLE]
    out.table([column.heading for column in fitting], styled, title, whole)
    left = ", ".join(column.heading for column in wanted if column not in fitting)
    if left:
        words = f"  No room for: {left}. A wider terminal shows them, and --json."
        out.say(*wrapped(words, width, "  "), style="dim")


def _print_places(out: Terminal, rows: Sequence[Row], section: Section, system: System) -> None:
    """Pairs of places over the doubt where there is no room for a table: two lines each."""
    out.say(section.title, style="bold")
    for row in rows:
        style = SEVERITY_STYLE.get(str(row.get("severity") or ""), "")
        named = "all bores" if row["bore"] == "all" else f"bore {row['bore']}"
        bores = f"{named}: " if row["bore"] is not None else ""
        out.say(
            f"{bores}{row['place_a']} against {row['place_b']}", f"  {doubts.told(row, system)}", style=style
        )


def _print_intervals(out: Terminal, section: Section, over: OverDoubt, system: System) -> None:
    """Lowest and highest of what a table has several to a row of, and what its words mean."""
    rows = doubts.intervals(section, over.answers, system)
    if rows:
        whole = all(row["bore"] is None for row in rows)
        columns = [column for column in doubts.INTERVALS if not (whole and column.key == "bore")]
        _print_rows(out, rows, columns, f"{section.title}: lowest and highest within the doubt", system)
    words = "" if section.single else doubts.legend([*section.rows, *rows])
    out.say(*(f"  {line}" for line in [words] if line), style="dim")


def _print_waiting(out: Terminal, over: OverDoubt) -> None:
    if over.waiting_lines:
        lines = [part for line in over.waiting_lines for part in wrapped(line, out.console.width, "  ")]
        out.say("", *lines, style="yellow")


def _print_single(out: Terminal, section: Section, system: System, over: OverDoubt | None) -> None:
    """The one row of a section, a line for each of its cells; over doubt with what stands behind it."""
    from rich.table import Table
    from rich.text import Text

    look: dict[str, Any] = {"title_justify": "left", "title_style": "bold", "box": None, "pad_edge": False}
    table = Table(title=section.title, show_header=False, **look)
    for column in section.columns:
        said = cell_text(section.rows[0].get(column.key), system)
        said = said if over is None else doubts.with_doubt(said, section, column, over, system)
        table.add_row(Text(column.heading, style="dim"), Text(said))
    out.console.print(table)


def print_findings(out: Terminal, findings: Sequence[Finding], indent: str | None = None) -> None:
    """How the whole stands, and every finding with what to do; with an indent, lines are broken to it here."""
    out.say("")
    stops = sum(f.severity == "stop" for f in findings)
    if not findings:
        out.say("All within limits.", style="bold green")
        return
    head = "Nothing outside its limit." if not stops else f"{stops} outside the limit."
    out.say(head, style="bold red" if stops else "bold green")
    _print_each(out, findings, indent)


def _print_over_doubt(
    out: Terminal, sections: Sequence[Section], over: OverDoubt, system: System, everything: bool
) -> None:
    """How all stands over the doubt: the count, what is outside, what is open, what to measure next, the exit code."""
    settled = [finding for finding in all_findings(sections) if finding.open_to is None]
    told = list(ending.together(settled, ending.bores_of(over)))
    outside = [f for f in told if f.severity == "stop" or (f.severity == "look" and f.figure)]
    opens = ending.worst_open(over.answers.values())
    out.say("")
    doubtful = opens or over.waiting_lines
    style = "bold red" if outside else "bold yellow" if doubtful else "bold green"
    out.say(ending.count_words(over, len(outside), len(opens)), style=style)
    _print_each(out, [finding for finding in told if finding.severity != "note"], ending.INDENT)
    ending.print_open(out, sections, over, system, everything)
    _print_each(out, [finding for finding in told if finding.severity == "note"], ending.INDENT)
    ending.print_clashes(out, over, everything)
    width = out.console.width
    for line in (*([""] if over.next_lines else []), *over.next_lines):
        out.say(*wrapped(line, width, ending.INDENT) or [""])
    words = ending.exit_words(over, opens)
    if words:
        out.say("", *wrapped(words, width, ""), style="bold yellow")


def _print_each(out: Terminal, findings: Sequence[Finding], indent: str | None = None) -> None:
    """Findings with what to do about them; with an indent, lines are broken to it here."""
    said: set[str] = set()
    for finding in findings:
        bore = f"bore {finding.bore}: " if finding.bore is not None else ""
        word, style = SEVERITY_WORDS[finding.severity], SEVERITY_STYLE[finding.severity]
        line = f"{word:4}  {bore}{finding.text}"
        out.say(*([line] if indent is None else wrapped(line, out.console.width, indent)), style=style)
        for also in finding.also:
            line = f"      {WITH_IT} {also}"
            out.say(*([line] if indent is None else wrapped(line, out.console.width, f"{indent}   ")))
        if finding.remedy:
            again = finding.remedy in said and bool(finding.remedies)
            line = f"      -> {'as above' if again else finding.remedy}"
            out.say(*([line] if indent is None else wrapped(line, out.console.width, f"{indent}   ")))
            said.add(finding.remedy)
