"""The cover: which engine, for whom, how it stands, and where to find what."""

from __future__ import annotations

from viewer.sheet.asked import SheetAsked
from viewer.sheet.content import PaperPage, Paragraph
from viewer.sheet.wording import say


def pages(asked: SheetAsked) -> tuple[PaperPage, ...]:
    """One page."""
    return (PaperPage("cover", say("cover", "title"), (Paragraph(asked.name, "lead"),)),)
