"""The whole build sheet of one engine: the pages of every kind, in the order of work."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final, TypeAlias

from geometry.errors import refused
from viewer.sheet.asked import SheetAsked
from viewer.sheet.content import BuildSheet, PaperPage
from viewer.sheet.pages import bore, cover, crank, customer, head, limits, turning
from viewer.sheet.wording import say

PagesOf: TypeAlias = Callable[[SheetAsked], tuple[PaperPage, ...]]
KINDS: Final[tuple[PagesOf, ...]] = (
    cover.pages,
    crank.pages,
    bore.pages,
    turning.pages,
    head.pages,
    limits.pages,
    customer.pages,
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
        say("document", "language"),
    )


def chosen(sheet: BuildSheet, names: str) -> BuildSheet:
    """Only some pages of a sheet, in its own order.

    Parameters
    ----------
    names : keys of pages, parted by commas; ``bores`` are all of theirs, ``bore 3`` is the one that bore 3 stands on;
        empty: every page

    Raises
    ------
    InputError : there is no such page
    """
    wanted = [" ".join(name.lower().split()) for name in names.split(",") if name.strip()]
    if not wanted:
        return sheet
    keys = [page.key for page in sheet.pages]
    for name in wanted:
        if not any(_is_of(key, name) for key in keys):
            raise refused("", "--pages", f"there is no page '{name}'", f"any of {', '.join(keys)}")
    pages = tuple(page for page in sheet.pages if any(_is_of(page.key, name) for name in wanted))
    return replace(sheet, pages=pages)


def _is_of(key: str, name: str) -> bool:
    kind, _, numbers = key.partition(" ")
    if kind == "bore":
        return name in ("bores", key, *(f"bore {number}" for number in numbers.split("-")))
    return key == name
