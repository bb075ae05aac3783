"""Crank and main bearings: what is measured before a piston goes in, and how the crank is balanced."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from geometry.record.catalogue import readings_at
from geometry.record.kind import ReadingAt
from viewer.sheet.answers import Sources, section_blocks
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
from viewer.sheet.readings import findings_on, limit_cell, reading_cell, source_text
from viewer.sheet.tightening import tightening
from viewer.sheet.wording import say

SECTIONS: Final = ("fits", "fasteners", "balance")
"""Sections of the check whose rows that belong to no bore stand on this page."""
MOST_ACROSS: Final = 5
"""Main bearings in one table."""


def pages(asked: SheetAsked) -> tuple[PaperPage, ...]:
    """One page."""
    readings = [at for at in readings_at(asked.bench) if at.bore is None]
    mains = [at for at in readings if at.place.kind == "main"]
    sources = Sources()
    blocks: list[Block] = [Paragraph(say("crank", "intro", rotation=_rotation(asked)))]
    blocks += [Heading(say("crank", "mains")), *_mains(mains, sources)]
    blocks += [Heading(say("crank", "whole")), _whole([at for at in readings if at not in mains], sources)]
    blocks += findings_on(readings)
    blocks += [Heading(say("order", "order_main")), *tightening(asked, "main")]
    for key in SECTIONS:
        blocks += _answers(asked, key, sources)
    told = sources.told()
    blocks += [told] if told is not None else []
    blocks.append(BlankLines((say("sign", "initials"), say("sign", "date"))))
    return (PaperPage("crank", say("crank", "title"), tuple(blocks)),)


def _rotation(asked: SheetAsked) -> str:
    return say("cover", asked.job.assembly.spec.engine.rotation.replace("-", "_"))


def _mains(readings: Sequence[ReadingAt], sources: Sources) -> Iterator[Block]:
    """One row for each kind of reading, a box for each bearing."""
    numbers = sorted({at.number for at in readings})
    by_path: dict[str, dict[int, ReadingAt]] = {}
    for at in readings:
        by_path.setdefault(at.kind.path, {})[at.number] = at
    for first in range(0, len(numbers), MOST_ACROSS):
        here = numbers[first : first + MOST_ACROSS]
        columns = (
            SheetColumn(say("crank", "what"), 27, small=True), SheetColumn(say("crank", "limit"), 33),
            SheetColumn("", 7, small=True),
            *(SheetColumn(say("crank", "main", number=number), 22) for number in here),
        )  # fmt: skip
        rows = tuple(
            (
                SheetCell(at[here[0]].words), _common(at[here[0]], at[here[-1]]),
                SheetCell(sources.number(source_text(at[here[0]]))),
                *(reading_cell(at[number]) for number in here),
            )
            for at in by_path.values()
        )  # fmt: skip
        yield SheetTable(columns, rows, 8.0, say("crank", "mains"))


def _common(one: ReadingAt, other: ReadingAt) -> SheetCell:
    """The limit of a row; a number that is each bearing's own is said so."""
    first, last = limit_cell(one), limit_cell(other)
    return first if first == last or one is other else SheetCell(say("crank", "own_number"), strong=True)


def _whole(readings: Sequence[ReadingAt], sources: Sources) -> SheetTable:
    """What is read once for the whole crank."""
    columns = (
        SheetColumn(say("crank", "what"), 50, small=True), SheetColumn(say("crank", "limit"), 45),
        SheetColumn("", 8, small=True), SheetColumn(say("crank", "reading"), 45),
        SheetColumn(say("sign", "initials"), 20),
    )  # fmt: skip
    rows = tuple(
        (
            SheetCell(at.asked), limit_cell(at), SheetCell(sources.number(source_text(at))), reading_cell(at),
            SheetCell("", "box"),
        )
        for at in readings
    )  # fmt: skip
    return SheetTable(columns, rows, 8.0, say("crank", "whole"))


def _answers(asked: SheetAsked, key: str, sources: Sources) -> Iterator[Block]:
    """Rows of a section that belong to no bore."""
    section = asked.section(key)
    rows = [] if section is None else [row for row in section.rows if row.get("bore") is None]
    if section is None or not rows:
        return
    yield Heading(section.title)
    yield from section_blocks(section, rows, asked.system, asked.paper, asked.over, sources, dense=False)
    if section.single:
        for note in section.notes:
            yield Paragraph(note, "small")
