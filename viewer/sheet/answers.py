"""Tables of the check, set for paper: every column with a limit and a verdict, others as far as there is room."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from geometry.checks.section import Column, Row, Section
from geometry.units import System
from viewer.paper.lettering import width_in
from viewer.reports.doubts import LIMITS, OverDoubt, with_doubt
from viewer.reports.tables import cell_text, merged
from viewer.sheet.content import (
    MARGIN_MM,
    PAPER_MM,
    Block,
    Mark,
    Paper,
    Paragraph,
    SheetCell,
    SheetColumn,
    SheetTable,
)
from viewer.sheet.wording import say

DENSE_PT, TABLE_PT = 8.0, 11.0
"""Sizes of letters in ``sheet.typ``: for reference, and to be read from the bench."""
ALWAYS: Final = 3
"""So many columns from the left are always kept, and those with a limit or a verdict."""
VERDICTS: Final = ("verdict", "settled", "gap_verdict", "side_verdict", "back_verdict", "rules")
SOURCE: Final = "limit_source"
UNJUDGED: Final = ("", "-", "no limit")
"""What stands in a column of verdicts where there is none."""
GRAVE: Final[Mapping[str, Mark]] = {"stop": "bad", "look": "look"}
MOST_MM: Final = 44.0
"""A column of words is made no wider than this; its words are broken into lines."""
INSET_MM: Final = 2.6
INCH_MM: Final = 25.4


class Sources:
    """Where limits come from, numbered in the order in which they are met."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def number(self, source: str) -> str:
        """The sign that stands for a source; empty for none."""
        return f"[{self._numbers.setdefault(source, len(self._numbers) + 1)}]" if source else ""

    def told(self) -> Paragraph | None:
        """All of them in one paragraph; None where there are none."""
        if not self._numbers:
            return None
        return Paragraph(
            "  ".join(f"[{number}] {source}." for source, number in self._numbers.items()), "small"
        )


def section_blocks(
    section: Section,
    rows: Sequence[Row],
    system: System,
    paper: Paper,
    over: OverDoubt | None,
    sources: Sources,
    dense: bool = True,
) -> tuple[Block, ...]:
    """Some rows of a section, and nothing where there are none.

    Parameters
    ----------
    rows : of the section
    over : what is in doubt
    sources : of limits, to be told under all tables
    dense : set for reference; else to be read from the bench, with fewer columns
    """
    if not rows:
        return ()
    if section.single:
        return (_single(section, rows[0], system, over, dense),)
    room_mm = (PAPER_MM[paper][0] - 2 * MARGIN_MM) * (1.0 if dense else DENSE_PT / TABLE_PT)
    kept = _kept(section.columns, rows, system, room_mm)
    marked = [{**row, SOURCE: sources.number(str(row.get(SOURCE) or ""))} for row in rows]
    cells = merged(marked, kept, system)
    kept, cells = _without_empty(kept, cells)
    shares = _shares(kept, [row for row, _ in cells])
    columns = tuple(
        SheetColumn(say("limits", "source") if column.key == SOURCE else column.heading, share)
        for column, share in zip(kept, shares, strict=True)
    )
    table = tuple(
        tuple(_cell(column, text, grave) for column, text in zip(kept, row, strict=True))
        for row, grave in cells
    )
    return (SheetTable(columns, table, said=section.title, dense=dense),)


def _single(section: Section, row: Row, system: System, over: OverDoubt | None, dense: bool) -> SheetTable:
    def told(column: Column) -> str:
        said = cell_text(row.get(column.key), system)
        return said if over is None else with_doubt(said, section, column, over, system)

    return SheetTable(
        (SheetColumn("", 1), SheetColumn("", 3)),
        tuple((SheetCell(column.heading), SheetCell(told(column), strong=True)) for column in section.columns),
        said=section.title, dense=dense,
    )  # fmt: skip


def _cell(column: Column, text: str, grave: str) -> SheetCell:
    if column.key not in VERDICTS:
        return SheetCell(text, strong=column.heading in LIMITS)
    mark: Mark = "open" if text == "OPEN" else GRAVE.get(grave, "good") if text not in UNJUDGED else ""
    return SheetCell(text, mark=mark)


def _kept(columns: Sequence[Column], rows: Sequence[Row], system: System, room_mm: float) -> list[Column]:
    """The columns that there is room for, less those on the right that matter least.

    Parameters
    ----------
    room_mm : as wide as letters of ``DENSE_PT`` need
    """
    shown = [column for column in columns if column.key != SOURCE]
    if any(row.get(SOURCE) for row in rows):
        shown.append(Column(SOURCE, say("limits", "source")))
    wide = {
        column.key: _width_mm(
            column,
            ["[99]" if column.key == SOURCE else cell_text(row.get(column.key), system) for row in rows],
        )
        for column in shown
    }
    spare = [
        column
        for column in shown[ALWAYS:]
        if column.heading not in LIMITS and column.key not in VERDICTS and column.key != SOURCE
    ]
    while spare and sum(wide[column.key] for column in shown) > room_mm:
        shown.remove(spare.pop())
    return shown


def _without_empty(
    columns: list[Column], rows: list[tuple[list[str], str]]
) -> tuple[list[Column], list[tuple[list[str], str]]]:
    """Columns that say something in one row at least."""
    there = [i for i in range(len(columns)) if any(cells[i] not in ("", "-") for cells, _ in rows)]
    return [columns[i] for i in there], [([cells[i] for i in there], grave) for cells, grave in rows]


def _shares(columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> list[float]:
    return [_width_mm(column, [row[i] for row in rows]) for i, column in enumerate(columns)]


def _width_mm(column: Column, texts: Sequence[str]) -> float:
    """Room that a column asks for: its longest cell, or if that is long its longest word."""
    signs = "✓ " if column.key in VERDICTS else ""
    strong = column.heading in LIMITS

    def mm(text: str, bold: bool = strong) -> float:
        return width_in(text, DENSE_PT, bold) * INCH_MM + INSET_MM

    words = [word for text in (*texts, column.heading) for word in text.split()]
    longest = max((mm(word) for word in words), default=0.0)
    whole = max((mm(signs + text) for text in texts), default=0.0)
    heading = max((mm(word, True) for word in column.heading.split()), default=0.0)
    return max(heading, longest, min(whole, MOST_MM))
