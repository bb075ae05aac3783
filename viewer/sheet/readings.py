"""What is read at the bench, as cells of a table: the limit, the box, and what was read with its verdict."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from geometry.checks.section import Severity
from geometry.record.entry import ClearanceReading
from geometry.record.judging import judged, spoken
from geometry.record.kind import ReadingAt
from geometry.record.readings import length_text
from geometry.record.verdict import Verdict, worst_first
from viewer.sheet.content import Mark, Paragraph, SheetCell
from viewer.sheet.wording import say

MARKS: Final[dict[Severity, Mark]] = {"stop": "bad", "look": "look", "note": "good"}


def limit_text(at: ReadingAt) -> str:
    """What a reading is held against, in words; empty where nobody gives a figure."""
    limit, wanted = at.limit, at.wanted
    return limit.text(at.bench.system) if limit else wanted.words if wanted else ""


def limit_cell(at: ReadingAt) -> SheetCell:
    """The limit of a reading, to be read from the bench."""
    text = limit_text(at)
    return SheetCell(text, strong=True) if text else SheetCell(say("reading", "no_limit"))


def source_text(at: ReadingAt) -> str:
    """Who gives the limit."""
    against = at.limit or at.wanted
    return str(against.source) if against else ""


def verdicts_on(at: ReadingAt) -> tuple[Verdict, ...]:
    """The verdicts on what was read, the worst first; none where nothing is recorded."""
    return worst_first(judged(at)) if at.entry is not None else ()


def mark_of(verdicts: Sequence[Verdict]) -> Mark:
    """The sign for the worst of some verdicts."""
    worst = next(iter(worst_first(verdicts)), None)
    if worst is None:
        return ""
    if worst.verdict == "within":
        return "good"
    return "open" if worst.verdict == "cannot tell" else MARKS[worst.severity or "look"]


def reading_cell(at: ReadingAt) -> SheetCell:
    """Where a reading goes: an empty box, two for a pair of blades, a square to tick; filled where it was taken."""
    verdicts = verdicts_on(at)
    under = say("verdict", verdicts[0].verdict.replace(" ", "_")) if verdicts else ""
    text, mark = spoken(at), mark_of(verdicts)
    if at.kind.blades:
        entry = at.entry
        if not isinstance(entry, ClearanceReading) or entry.go_mm is None:
            return SheetCell(text, "pair", mark, under=under)
        go, tight = (
            "" if blade is None else length_text(blade, at.bench.system)
            for blade in (entry.go_mm, entry.tight_mm)
        )
        return SheetCell(go, "pair", mark, second=tight, under=under)
    looked = at.wanted is not None and at.wanted.value is not None
    return SheetCell(text, "tick" if looked and not text else "box", mark, under=under)


def findings_on(readings: Iterable[ReadingAt]) -> tuple[Paragraph, ...]:
    """What is outside or cannot be told of some readings, each with what it means and what to do."""
    found = (verdict for at in readings for verdict in verdicts_on(at))
    return tuple(
        Paragraph(
            say("reading", "finding", place=one.place, what=one.what, reading=one.reading,
                limit=one.limit or say("reading", "no_limit"), text=one.text, remedy=one.remedy.rstrip(".")),
            "finding", mark_of((one,)),
        )
        for one in found
        if one.verdict != "within"
    )  # fmt: skip
