"""What the sheet tells of what is wrong, or may be: as ``check`` ends, each fault once."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from geometry.checks.fault_spots import FIGURES
from geometry.checks.section import SEVERITY_WORDS, Finding
from viewer.plain_words import NEARNESS, plain_group
from viewer.reports.ending import count_words, open_line, together, worst_open
from viewer.reports.tables import all_findings
from viewer.sheet.asked import SheetAsked
from viewer.sheet.content import Mark, Paragraph
from viewer.sheet.readings import MARKS
from viewer.sheet.wording import say

CLEARANCES: Final = "clearances"


def told_findings(asked: SheetAsked) -> tuple[Finding, ...]:
    """What is outside a limit or deserves a look, whatever the doubt, the gravest first; what bores share once."""
    found = (f for f in all_findings(asked.sections) if f.severity != "note" and f.open_to is None)
    return tuple(together(found, len(asked.bores)))


def open_lines(asked: SheetAsked) -> tuple[str, ...]:
    """What is within or outside as values in doubt turn out, the worst first."""
    if asked.over is None:
        return ()
    figures = {(section.key, f.name, f.bore): f for section in asked.sections for f in section.figures}
    opens = worst_open(asked.over.answers.values())
    return tuple(open_line(one, figures, len(asked.bores), asked.system) for one in opens)


def verdict_line(asked: SheetAsked) -> str:
    """How all of it stands, in one line."""
    found = told_findings(asked)
    stops = sum(finding.severity == "stop" for finding in found)
    looks = len(found) - stops
    if asked.over is not None:
        outside = sum(f.severity == "stop" or bool(f.figure) for f in found)
        return count_words(asked.over, outside, len(open_lines(asked))).rstrip(".")
    said = say("found", "outside" if stops else "nothing_outside" if looks else "all_within", count=stops)
    return "; ".join(filter(None, (said, say("found", "looks", count=looks) if looks else "")))


def verdict_mark(asked: SheetAsked) -> Mark:
    """The sign for that line."""
    found = told_findings(asked)
    if any(finding.severity == "stop" for finding in found):
        return "bad"
    waiting = asked.over is not None and bool(asked.over.waiting_lines)
    return "open" if open_lines(asked) or waiting else "look" if found else "good"


def finding_paragraph(finding: Finding, plain: str = "", whole: bool = True) -> Paragraph:
    """One finding.

    Parameters
    ----------
    plain : the same for who has never built an engine, said first
    whole : with what follows from it and what to do about it
    """
    where = say("found", "bore", bore=finding.bore) if finding.bore is not None else ""
    head = f"{SEVERITY_WORDS[finding.severity]}  {where}"
    text = f"{_capital(finding.text.rstrip('.'))}."
    said = [f"{head}{plain}", text] if plain else [f"{head}{text}"]
    if whole:
        said += [say("found", "also", also=also.rstrip(".")) for also in finding.also]
        said += [say("found", "remedy", remedy=finding.remedy.rstrip("."))] if finding.remedy else []
    return Paragraph("\n".join(said), "finding", MARKS[finding.severity])


def open_paragraphs(asked: SheetAsked, most: int) -> Iterator[Paragraph]:
    """What is open, one paragraph each, and how much more of it there is."""
    lines = open_lines(asked)
    for line in lines[:most]:
        yield Paragraph(say("found", "open", line=line), "body", "open")
    if len(lines) > most:
        yield Paragraph(say("found", "more_open", count=len(lines) - most))


def plain_of(asked: SheetAsked, finding: Finding) -> str:
    """What a finding is for who has never built an engine; empty where nothing plain is known of it."""
    group = finding.group
    for section in asked.sections:
        place = FIGURES.get((section.key, finding.figure))
        group = group or (place.group if place is not None else "")
        if section.key == CLEARANCES and not group:
            rows = [section.rows[figure.row] for figure in section.figures if figure.name == finding.figure]
            words = [NEARNESS[str(row["verdict"])] for row in rows if row.get("verdict") in NEARNESS]
            if words:
                return _capital(words[0])
    return _capital(plain_group(group))


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
