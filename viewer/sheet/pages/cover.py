"""The cover: which engine, for whom, how it stands, and where to find what."""

from __future__ import annotations

from collections.abc import Iterator

from geometry.units import show
from viewer.sheet.asked import SheetAsked
from viewer.sheet.content import (
    Block,
    Contents,
    DotPicture,
    Heading,
    Mark,
    PaperPage,
    Paragraph,
    SheetCell,
    SheetColumn,
    SheetTable,
)
from viewer.sheet.findings import finding_paragraph, open_lines, told_findings, verdict_line, verdict_mark
from viewer.sheet.wording import say

PICTURE_MM = 112.0
PICTURE_PX = (760, 500)
MOST_FINDINGS = 3
"""Findings that the cover names; all stand on the customer's page."""
SIGNS: tuple[Mark, ...] = ("good", "look", "bad", "open")


def pages(asked: SheetAsked) -> tuple[PaperPage, ...]:
    """One page."""
    blocks = (
        Paragraph(say("cover", "engine"), "lead"),
        *_for_whom(asked),
        *_picture(asked),
        _summary(asked),
        *_standing(asked),
        Heading(say("cover", "contents")),
        Contents(),
        Heading(say("cover", "signs")),
        _signs(),
    )
    return (PaperPage("cover", say("cover", "title", engine=asked.name), blocks),)


def _for_whom(asked: SheetAsked) -> Iterator[Block]:
    given = (
        ("shop", asked.shop),
        ("customer", asked.customer),
        ("number", asked.number),
        ("date", asked.date),
    )
    shown = [(say("cover", key), text) for key, text in given if text]
    if shown:
        yield _pairs(shown, say("cover", "for_whom"))


def _picture(asked: SheetAsked) -> Iterator[Block]:
    if not asked.dots:
        return
    from viewer.pictures.media import drawn_on_paper
    from viewer.scene import ViewOptions, build_scene

    scene = build_scene(asked.job.assembly, ViewOptions(units=asked.system))
    wide_mm = 0.55 * PICTURE_MM if told_findings(asked) else PICTURE_MM
    yield DotPicture(drawn_on_paper(scene, PICTURE_PX), wide_mm, say("cover", "picture", engine=asked.name))


def _summary(asked: SheetAsked) -> SheetTable:
    """What the engine is."""
    return _pairs(list(_facts(asked)), say("cover", "summary"))


def _pairs(pairs: list[tuple[str, str]], said: str) -> SheetTable:
    """What each thing is called and what it is, in two columns of such pairs."""
    half = (len(pairs) + 1) // 2
    pairs = pairs + [("", "")] * (2 * half - len(pairs))
    rows = tuple(
        (SheetCell(one[0]), SheetCell(one[1], strong=True), SheetCell(two[0]), SheetCell(two[1], strong=True))
        for one, two in zip(pairs[:half], pairs[half:], strict=True)
    )
    return SheetTable(
        (SheetColumn("", 4, small=True), SheetColumn("", 6), SheetColumn("", 4, small=True), SheetColumn("", 6)),
        rows, said=said,
    )  # fmt: skip


def _facts(asked: SheetAsked) -> Iterator[tuple[str, str]]:
    spec, system = asked.job.assembly.spec, asked.system
    engine = spec.engine
    stroke = show(spec.crank.stroke_mm, "length", system, fine=True)
    bore = show(spec.block.bore.diameter_mm, "length", system, fine=True)
    yield say("cover", "bores"), say("cover", f"layout_{engine.layout}", count=len(asked.bores))
    yield say("cover", "bore_stroke"), f"{bore} × {stroke}"
    section = asked.section("summary")
    row = section.rows[0] if section is not None and section.rows else {}
    if row.get("displacement_cm3") is not None:
        yield say("cover", "displacement"), row["displacement_cm3"].text(system)  # type: ignore[union-attr]
    if isinstance(row.get("compression_ratio"), float):
        yield say("cover", "compression"), f"{row['compression_ratio']:.2f} : 1"
    yield say("cover", "rotation"), say("cover", engine.rotation.replace("-", "_"))
    yield say("cover", "firing"), "-".join(map(str, asked.job.assembly.layout.firing.order))
    yield say("cover", "deck"), _deck(asked)
    yield say("cover", "speed"), show(engine.speed_rpm, "rotation", system)
    yield say("cover", "file"), asked.job.path.name


def _deck(asked: SheetAsked) -> str:
    """Crown below the deck, from the lowest to the highest where bores differ."""
    from geometry.stack import stack_of

    assembly = asked.job.assembly
    decks = [stack_of(assembly.spec, assembly.layout, bore, assembly.built).deck_mm for bore in asked.bores]
    low, high = (show(end, "length", asked.system, fine=True) for end in (min(decks), max(decks)))
    return low if low == high else say("cover", "from_to", low=low, high=high)


def _standing(asked: SheetAsked) -> Iterator[Block]:
    """How much is assumed, and what is outside its limit."""
    if asked.job.rests_on:
        yield Paragraph(say("cover", "assumed", line=asked.job.rests_on), "caution", "look")
    yield Paragraph(verdict_line(asked), "lead", verdict_mark(asked))
    found = told_findings(asked)
    for finding in found[:MOST_FINDINGS]:
        yield finding_paragraph(finding, whole=False)
    if found or open_lines(asked):
        yield Paragraph(say("cover", "last_page"))


def _signs() -> SheetTable:
    """What the signs of the sheet mean."""
    cells = tuple(SheetCell(say("signs", mark), mark=mark) for mark in SIGNS)
    return SheetTable(
        tuple(SheetColumn("", 1) for _ in range(3)),
        (
            cells[:3],
            (cells[3], SheetCell(say("signs", "tick"), "tick"), SheetCell(say("signs", "box"), "box")),
        ),
        said=say("cover", "signs"),
        dense=True,
    )
