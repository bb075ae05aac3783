"""Head bolts: in which order and in which stages, where the engine file has head bolts."""

from __future__ import annotations

from viewer.sheet.asked import SheetAsked
from viewer.sheet.content import BlankLines, PaperPage, Paragraph
from viewer.sheet.tightening import tightening
from viewer.sheet.wording import say


def pages(asked: SheetAsked) -> tuple[PaperPage, ...]:
    """One page; none without head bolts in the engine file."""
    blocks = tightening(asked, "head")
    if not blocks:
        return ()
    intro, signed = (
        Paragraph(say("head", "intro")),
        BlankLines((say("sign", "initials"), say("sign", "date"))),
    )
    return (PaperPage("head", say("head", "title"), (intro, *blocks, signed)),)
