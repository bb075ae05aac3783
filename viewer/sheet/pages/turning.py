"""The turning page: after each piston the crank is turned by hand, felt, and the torque written down."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from geometry.checks.section import Amount, Cell, Row
from geometry.record.catalogue import readings_at
from geometry.record.kind import ReadingAt
from viewer.reports.tables import cell_text
from viewer.sheet.asked import SheetAsked
from viewer.sheet.content import (
    Block,
    Heading,
    Mark,
    PaperPage,
    Paragraph,
    SheetCell,
    SheetColumn,
    SheetTable,
)
from viewer.sheet.readings import findings_on, limit_text, reading_cell
from viewer.sheet.wording import say

TURNING: Final = "turning"
"""The path of the reading."""
TOP_END: Final = frozenset({"intake_valve", "exhaust_valve", "head_face"})
"""Features that are there only once the head is on."""
VERDICTS: Final[dict[str, Mark]] = {"within": "good", "OPEN": "open", "outside": "bad", "clear": "good"}


def pages(asked: SheetAsked) -> tuple[PaperPage, ...]:
    """One page."""
    readings = {at.bore: at for at in readings_at(asked.bench) if at.kind.path == TURNING}
    blocks: tuple[Block, ...] = (
        Paragraph(say("turning", "intro"), "lead"),
        *(Paragraph(say("turning", f"step_{step}")) for step in range(1, 5)),
        _torques(asked, readings),
        *findings_on(readings.values()),
        Heading(say("turning", "binds")),
        Paragraph(say("turning", "stop"), "caution", "bad"),
        Paragraph(say("turning", "diagnose")),
        Paragraph(say("turning", "call", file=asked.job.path.name), "small"),
        *_closest(asked),
        Paragraph(say("turning", "careful"), "caution", "look"),
    )
    return (PaperPage("turning", say("turning", "title"), blocks),)


def _torques(asked: SheetAsked, readings: dict[int | None, ReadingAt]) -> SheetTable:
    """A box for the bare crank and one after each bore, in the order of work."""
    tops = {row.get("bore"): row.get("top_dead_centre_deg") for row in _rows(asked, "bores")}
    unit = say("turning", f"unit_{asked.system}")
    columns = (
        SheetColumn(say("turning", "after"), 30), SheetColumn(say("turning", "top"), 30),
        SheetColumn(say("turning", "torque", unit=unit), 40), SheetColumn(say("turning", "limit"), 36),
        SheetColumn(say("turning", "even"), 24, "middle"), SheetColumn(say("sign", "initials"), 20),
    )  # fmt: skip
    rows = []
    for bore in (None, *asked.bores):
        at = readings[bore]
        limit = limit_text(at)
        rows.append(
            (
                SheetCell(say("turning", "bare") if bore is None else say("turning", "bore", bore=bore), strong=True),
                SheetCell(_angle(tops.get(bore)) if bore is not None else ""),
                reading_cell(at),
                SheetCell(limit or say("turning", "compare"), strong=bool(limit)),
                SheetCell("", "tick"), SheetCell("", "box"),
            )
        )  # fmt: skip
    return SheetTable(columns, tuple(rows), 7.0, say("turning", "title"))


def _angle(cell: Cell) -> str:
    """An angle as it is set on a degree wheel."""
    return f"{round(cell.value, 1):g}°" if isinstance(cell, Amount) else ""


def _rows(asked: SheetAsked, key: str) -> Sequence[Row]:
    section = asked.section(key)
    if section is None:
        return ()
    return section.rows if section.shown is None else section.shown


def _closest(asked: SheetAsked) -> Iterator[Block]:
    """What comes closest, in the order of the turn: on each piston, and of the crank itself."""
    rows = _rows(asked, "clearances")
    of_bores = [row for row in rows if row.get("after_top_deg") is not None]
    for key, shown, angle in (
        ("low", [row for row in of_bores if not _at_top(row)], "after_top_deg"),
        ("crank", [row for row in rows if row.get("after_top_deg") is None], "crank_deg"),
        ("high", [row for row in of_bores if _at_top(row)], "after_top_deg"),
    ):
        if shown:
            yield Heading(say("turning", f"closest_{key}"))
            yield _table(asked, sorted(shown, key=lambda row: _degrees(row, angle)), angle)


def _at_top(row: Row) -> bool:
    return bool(TOP_END & {str(row.get("a")), str(row.get("b"))})


def _degrees(row: Row, key: str) -> float:
    cell = row.get(key)
    return cell.value % 360.0 if isinstance(cell, Amount) else 0.0


def _table(asked: SheetAsked, rows: Sequence[Row], angle: str) -> SheetTable:
    by_bore = angle == "after_top_deg"
    columns = (
        SheetColumn(say("turning", "after_top" if by_bore else "crank_angle"), 18, "right"),
        SheetColumn(say("turning", "what"), 66, small=True),
        *((SheetColumn(say("turning", "bores"), 20),) if by_bore else ()),
        SheetColumn(say("turning", "least"), 26, "right"), SheetColumn(say("turning", "wanted"), 26, "right"),
        SheetColumn(say("turning", "verdict"), 28),
    )  # fmt: skip
    return SheetTable(
        columns, tuple(_row(asked, row, angle, by_bore) for row in rows), said=say("turning", "closest_said")
    )


def _row(asked: SheetAsked, row: Row, angle: str, by_bore: bool) -> tuple[SheetCell, ...]:
    system = asked.system
    word = str(row.get("settled") or row.get("verdict") or "")
    bores = str(row.get("bore") or "")
    return (
        SheetCell(f"{_degrees(row, angle):.0f}°", strong=True),
        SheetCell(say("turning", "against", a=row.get("place_a"), b=row.get("place_b"))),
        *((SheetCell(say("turning", "all") if bores == "all" else bores),) if by_bore else ()),
        SheetCell(cell_text(row.get("min_mm"), system)),
        SheetCell(cell_text(row.get("limit_mm"), system), strong=True),
        SheetCell(word, mark=VERDICTS.get(word, "bad")),
    )
