"""All limits: every number that the check holds against one, section by section, for the file."""

from __future__ import annotations

from collections.abc import Iterator

from geometry.checks.section import Section
from viewer.sheet.answers import Sources, section_blocks
from viewer.sheet.asked import SheetAsked
from viewer.sheet.content import Block, Heading, PaperPage, Paragraph
from viewer.sheet.wording import say

READINGS = "readings"
"""The section of what was read, which the customer's page holds."""


def pages(asked: SheetAsked) -> tuple[PaperPage, ...]:
    """One page, which runs over as many sheets of paper as it takes."""
    sources = Sources()
    blocks: list[Block] = [Paragraph(say("limits", "intro"))]
    for section in asked.sections:
        if section.key != READINGS and (section.rows or section.notes):
            blocks += _section(section, asked, sources)
    told = sources.told()
    if told is not None:
        blocks += [Heading(say("limits", "sources")), told]
    return (PaperPage("limits", say("limits", "title"), tuple(blocks)),)


def _section(section: Section, asked: SheetAsked, sources: Sources) -> Iterator[Block]:
    yield Heading(section.title)
    rows = section.rows if section.shown is None else section.shown
    yield from section_blocks(section, rows, asked.system, asked.paper, asked.over, sources)
    for note in section.notes:
        yield Paragraph(note, "small")
