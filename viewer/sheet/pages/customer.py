"""The last page, for the customer: what was found, what was done, what to keep in mind, and who signs for it."""

from __future__ import annotations

from collections.abc import Iterator

from geometry.record.catalogue import readings_at
from geometry.record.kind import ReadingAt
from geometry.record.place import bore_numbers
from geometry.units import show
from viewer.cautions import LINES
from viewer.sheet.asked import SheetAsked
from viewer.sheet.content import (
    BlankLines,
    Block,
    Heading,
    PaperPage,
    Paragraph,
    SheetCell,
    SheetColumn,
    SheetTable,
)
from viewer.sheet.findings import (
    finding_paragraph,
    open_paragraphs,
    plain_of,
    told_findings,
    verdict_line,
    verdict_mark,
)
from viewer.sheet.readings import mark_of, verdicts_on
from viewer.sheet.wording import say

MOST_OPEN = 8
"""Open answers that are told one by one."""


def pages(asked: SheetAsked) -> tuple[PaperPage, ...]:
    """One page."""
    readings = [at for at in readings_at(asked.bench) if at.entry is not None]
    blocks = (
        Paragraph(_engine(asked)),
        Heading(say("customer", "found")),
        *_found(asked),
        Heading(say("customer", "done")),
        *_done(asked, readings),
        Heading(say("customer", "mind")),
        *_mind(asked),
        BlankLines((say("sign", "builder"), say("sign", "customer"), say("sign", "place_date"))),
    )
    return (PaperPage("customer", say("customer", "title"), blocks),)


def _engine(asked: SheetAsked) -> str:
    spec, system = asked.job.assembly.spec, asked.system
    return say(
        "customer", "engine", engine=asked.name,
        pistons=say("customer", "piston" if len(bore_numbers(spec)) == 1 else "pistons", count=len(asked.bores)),
        bore=show(spec.block.bore.diameter_mm, "length", system),
        stroke=show(spec.crank.stroke_mm, "length", system),
    )  # fmt: skip


def _found(asked: SheetAsked) -> Iterator[Block]:
    found = told_findings(asked)
    mark = verdict_mark(asked)
    yield Paragraph(verdict_line(asked), "lead", mark)
    if mark == "good":
        yield Paragraph(say("customer", "nothing"))
    for finding in found:
        yield finding_paragraph(finding, plain_of(asked, finding))
    yield from open_paragraphs(asked, MOST_OPEN)


def _done(asked: SheetAsked, readings: list[ReadingAt]) -> Iterator[Block]:
    if asked.record is None:
        yield Paragraph(say("customer", "no_record"))
        for label in ("done_1", "done_2", "done_3"):
            yield BlankLines((say("customer", label),))
        return
    days = sorted(at.entry.on for at in readings if at.entry is not None and at.entry.on is not None)
    when = "" if not days else say("customer", "when", first=days[0], last=days[-1])
    yield Paragraph(say("customer", "measured", count=len(readings), when=when))
    if asked.record.record.note:
        yield Paragraph(say("customer", "note", note=asked.record.record.note))
    if readings:
        yield _readings(readings)


def _readings(readings: list[ReadingAt]) -> SheetTable:
    columns = (
        SheetColumn(say("customer", "where"), 20), SheetColumn(say("customer", "what"), 42, small=True),
        SheetColumn(say("customer", "read"), 48), SheetColumn(say("customer", "wanted"), 52),
        SheetColumn(say("customer", "verdict"), 26),
    )  # fmt: skip
    rows = []
    for at in readings:
        verdicts = verdicts_on(at)
        for one in verdicts:
            rows.append(
                (
                    SheetCell(one.place), SheetCell(one.what), SheetCell(one.reading, strong=True),
                    SheetCell(one.limit), SheetCell(one.verdict, mark=mark_of((one,))),
                )
            )  # fmt: skip
    return SheetTable(columns, tuple(rows), said=say("customer", "done"))


def _mind(asked: SheetAsked) -> Iterator[Block]:
    if asked.job.rests_on:
        yield Paragraph(say("customer", "assumed", line=asked.job.rests_on), "caution", "look")
    if asked.record is not None:
        yield Paragraph(say("customer", "not_in_record"))
    for line in LINES:
        yield Paragraph(line)
