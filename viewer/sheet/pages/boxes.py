"""The boxes of a page of bores: every reading that the record asks for, its limit, and what was read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from geometry.checks.bolt_order import SHARES
from geometry.record.catalogue import readings_at
from geometry.record.entry import BoreReading
from geometry.record.kind import STEPS, Bench, ReadingAt
from geometry.record.readings import Interval, length_text
from geometry.rings.feeler import blade_mm, blade_text
from geometry.rings.gap import GapTarget, filing
from geometry.spec.rod import RodBolt
from geometry.units import System, show
from viewer.sheet.content import Block, Paragraph, SheetCell, SheetColumn, SheetTable
from viewer.sheet.readings import findings_on, limit_text, reading_cell, source_text, verdicts_on
from viewer.sheet.wording import say

OWN_PAGE: Final = ("turning torque",)
"""Steps that have a page of their own."""
TALL_MM: Final = 7.0
BOX, NO_BOX = SheetCell("", "box"), SheetCell("")
SPOKEN_FROM: Final = 2
"""From so many bores on, a pair of blades that were read stands as it is spoken: half a box would be too narrow."""


@dataclass(frozen=True, slots=True)
class BoxLine:
    """One row of boxes.

    Attributes
    ----------
    path : of the reading
    part : ``along`` or ``across`` of a bore, ``file`` for what is to be filed off, else empty
    what, limit, letter : words, limit, and the letter of its source; empty where nothing is to be said
    cells : one for each bore
    """

    path: str
    part: str
    what: str
    limit: str
    letter: str
    cells: tuple[SheetCell, ...]


@dataclass(frozen=True, slots=True)
class StepBoxes:
    """The boxes of one step of the job, and what its readings are about."""

    name: str
    lines: tuple[BoxLine, ...]
    readings: tuple[ReadingAt, ...]


class SourceLetters:
    """Where limits come from, each under one letter."""

    def __init__(self) -> None:
        self.texts: list[str] = []

    def letter(self, text: str) -> str:
        """The letter of a source, new or known; none for no source."""
        if not text:
            return ""
        if text not in self.texts:
            self.texts.append(text)
        return chr(ord("a") + self.texts.index(text))


def asked_in(bench: Bench, bore: int) -> dict[str, tuple[ReadingAt, ...]]:
    """What is asked for, or was recorded, in one bore, by step of the job."""
    found: dict[str, list[ReadingAt]] = {step: [] for step in STEPS if step not in OWN_PAGE}
    for at in readings_at(bench, bore):
        if at.kind.step in found and (at.entry is not None or (at.is_asked and not _done(at))):
            found[at.kind.step].append(at)
    return {step: tuple(here) for step, here in found.items()}


def _done(at: ReadingAt) -> bool:
    """Whether another reading that does as well was taken instead."""
    return any(at.bench.entry(at.place, path) is not None for path in at.kind.instead)


def steps_of(bench: Bench, bores: Sequence[int], sources: SourceLetters) -> tuple[StepBoxes, ...]:
    """All boxes of bores that share a page, in the order of the job."""
    asked = {bore: asked_in(bench, bore) for bore in bores}
    found = []
    for step in asked[bores[0]]:
        here = tuple(at for bore in bores for at in asked[bore][step])
        paths = {at.kind.path for at in here}
        lines: list[BoxLine] = []
        for kind in bench.kinds:
            if kind.place == "bore" and kind.path in paths:
                lines += _lines({at.number: at for at in here if at.kind is kind}, bores, sources)
        if lines:
            found.append(StepBoxes(step, tuple(lines), here))
    return tuple(found)


def _lines(row: dict[int, ReadingAt], bores: Sequence[int], sources: SourceLetters) -> list[BoxLine]:
    """The rows of one kind of reading."""
    first = next(iter(row.values()))
    path, limits = first.kind.path, {(limit_text(at), source_text(at)) for at in row.values()}
    own = len(limits) > 1
    limit, source = (say("bore", "by bore"), "") if own else next(iter(limits))
    letter = sources.letter(source)
    if issubclass(first.kind.entry, BoreReading):
        words = {part: say("bore", part, what=first.asked) for part in ("along", "across")}
        return [
            BoxLine(
                path, part, words[part], limit if part == "along" else "", letter if part == "along" else "",
                tuple(_diameter(row[bore], part) if bore in row else NO_BOX for bore in bores),
            )
            for part in words
        ]  # fmt: skip
    what = first.asked if len({at.asked for at in row.values()}) == 1 else first.words
    cells = tuple(_cell(row[bore], len(bores), own) if bore in row else NO_BOX for bore in bores)
    lines = [BoxLine(path, "", what, limit, letter, cells)]
    if path.startswith("ring.") and path.endswith(".gap"):
        off = tuple(_filing(row[bore]) if bore in row else NO_BOX for bore in bores)
        lines.append(BoxLine(path, "file", say("bore", "file off"), _aim(first), "", off))
    return lines


def _cell(at: ReadingAt, bores: int, own: bool) -> SheetCell:
    """One box; with its own limit where the bores of the page differ."""
    cell = reading_cell(at)
    if cell.kind == "pair" and at.entry is not None and bores >= SPOKEN_FROM:
        cell = replace(cell, kind="box", text=_blades(cell), second="")
    if not own:
        return cell
    limit = say("bore", "own limit", limit=limit_text(at))
    return replace(cell, under=f"{cell.under} {limit}".strip())


def _blades(cell: SheetCell) -> str:
    """Both blades of a pair, their unit once."""
    go, _, unit = cell.text.rpartition(" ")
    if not cell.second:
        return cell.text
    return say("bore", "blades", go=go if cell.second.endswith(f" {unit}") else cell.text, tight=cell.second)


def _diameter(at: ReadingAt, part: str) -> SheetCell:
    """One diameter of a bore at one height; the verdict and the depth stand under the second."""
    entry = at.entry
    if not isinstance(entry, BoreReading):
        return BOX
    system = at.bench.system
    size = length_text(entry.along_mm if part == "along" else entry.across_mm, system, small=False)
    whole = reading_cell(at)
    if part == "along":
        depth = say("bore", "below deck", depth=length_text(entry.depth_mm, system, small=False))
        return SheetCell(size, "box", under=depth)
    return SheetCell(size, "box", whole.mark, under=whole.under)


def _aim(at: ReadingAt) -> str:
    """The gap that the engine file wants filed, where it is within the limit."""
    rings, limit = at.design.rings, at.limit
    ring = {"top": rings.top, "second": rings.second}.get(at.kind.ring or "")
    gap_mm = ring.gap_mm if ring is not None else rings.oil.rail_gap_mm if rings.oil is not None else None
    if (
        gap_mm is None
        or limit is None
        or Interval(gap_mm, gap_mm).judged(limit.least, limit.most) != "within"
    ):
        return ""
    return say("bore", "aim", gap=length_text(gap_mm, at.bench.system))


def _filing(at: ReadingAt) -> SheetCell:
    """How much to file off a ring, both ends together; empty while nothing is read."""
    along = next((one.along for one in verdicts_on(at) if one.along is not None), None)
    if along is None or at.limit is None:
        return BOX
    tight = along.tightest
    goal = GapTarget(at.limit.least or 0.0, at.limit.most, at.limit.source)
    off_mm = filing(tight.lower_mm, tight.upper_mm, goal).at_once_mm
    if off_mm <= 1e-6:
        return SheetCell(say("bore", "zero"), "box")
    first_mm = blade_mm(off_mm, at.bench.system, up=False)  # what is off cannot be put on again
    words = blade_text(first_mm, at.bench.system) if first_mm > 0.0 else say("bore", "a little")
    return SheetCell(words, "box")


def blocks_of(bench: Bench, bores: Sequence[int]) -> tuple[Block, ...]:
    """The tables of all steps, what the readings mean that are not within, and where the limits come from."""
    spec = bench.engine.of_bore(bores[0])
    sources = SourceLetters()
    found: list[Block] = []
    for step in steps_of(bench, bores, sources):
        if step.name == "rod bolts":
            found.append(Paragraph(tightening_words(spec.rod.bolt, bench.system)))
        found += [_table(step, bores), *findings_on(step.readings)]
    told = "; ".join(f"({sources.letter(text)}) {text}" for text in sources.texts)
    return (*found, Paragraph(say("bore", "sources", told=told), "small"))


def tightening_words(bolt: RodBolt, system: System) -> str:
    """How the bolts of one rod are tightened: stages and torque as the engine file has them."""
    if bolt.stages:
        to = [
            say("bore", "stage to", torque=show(stage.torque_nm, "torque", system))
            if stage.torque_nm is not None
            else say("bore", "stage on", angle=show(stage.angle_deg or 0.0, "angle", system, 0))
            for stage in bolt.stages
        ]
        words = say("bore", "tighten", stages=say("bore", "then").join(to))
    elif bolt.torque_nm is not None:
        half, whole = (show(share * bolt.torque_nm, "torque", system) for share in SHARES["main"])
        words = say("bore", "tighten halves", half=half, whole=whole)
    else:
        words = say("bore", "tighten unknown")
    stretch = bolt.stretch_mm
    return (
        words
        if stretch is None
        else f"{words} {say('bore', 'stretch', stretch=length_text(stretch, system))}"
    )


def _table(step: StepBoxes, bores: Sequence[int]) -> SheetTable:
    head = (
        "head pair" if any(cell.kind == "pair" for line in step.lines for cell in line.cells) else "head bore"
    )
    columns = (
        SheetColumn(step.name.upper(), 2.2),
        SheetColumn(say("bore", "head limit"), 1.9),
        *(SheetColumn(say("bore", head, bore=bore), 1.25) for bore in bores),
    )
    rows = tuple(
        (SheetCell(line.what), SheetCell(f"{line.limit} ({line.letter})" if line.letter else line.limit, strong=True),
         *line.cells)
        for line in step.lines
    )  # fmt: skip
    signed = (SheetCell(say("bore", "initials")), NO_BOX, *(BOX for _ in bores))
    return SheetTable(columns, (*rows, signed), TALL_MM, say("bore", "boxes said", step=step.name))
