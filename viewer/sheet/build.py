"""The whole build sheet of one engine: the pages of every kind, in the order of work."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TypeAlias

from viewer.sheet.asked import SheetAsked
from viewer.sheet.content import BuildSheet, PaperPage
from viewer.sheet.pages import cover
from viewer.sheet.wording import say

PagesOf: TypeAlias = Callable[[SheetAsked], tuple[PaperPage, ...]]
KINDS: Final[tuple[PagesOf, ...]] = (
    cover.pages,
    # one line a kind of page: crank, bores, turning, customer
)
"""Every kind of page, in the order in which they are printed."""


def sheet_of(asked: SheetAsked) -> BuildSheet:
    """The sheet, ready to be typeset."""
    head = tuple(
        say("document", name, **{name: given})
        for name, given in (
            ("shop", asked.shop), ("customer", asked.customer), ("number", asked.number), ("date", asked.date)
        )
        if given
    )  # fmt: skip
    pages = tuple(page for kind in KINDS for page in kind(asked))
    return BuildSheet(
        asked.name,
        say("document", "title", engine=asked.name),
        head,
        say("document", "foot"),
        asked.paper,
        pages,
    )
