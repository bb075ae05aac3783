"""The picture of a mistake: both halves under their signs, the numbers under them, where it is, the caution."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from geometry.checks.section import Amount, Row
from viewer.explained.case import MistakeCase
from viewer.explained.catalogue import drawings
from viewer.explained.drawing import Draw, Drawing
from viewer.explained.locator import locate
from viewer.explained.pen import FAINT, INK, RIGHT, WRONG, Pen
from viewer.paper import page
from viewer.paper.lettering import line_in, wrapped, write

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SIZE_IN: Final = (12.0, 7.6)
DPI: Final = 150
EDGE_IN, HALF_IN, LOW_IN, HIGH_IN = 0.25, 5.65, 1.72, 4.55
"""Edge of the sheet, width of a half, its lower edge and its height, inches."""
COLUMNS: Final = (0.0, 0.287, 0.508, 0.644, 0.778)
"""Where the columns of the numbers begin, as shares of the room between the edges."""
LOCATOR_IN: Final = (2.75, 0.92)
TITLE_PT, ROW_PT, SMALL_PT = 15.0, 9.5, 7.6
HEADS_PT: Final = (12.5, 11.5, 10.5, 9.5)
WIDER: Final = 0.97
CAUTION: Final = "Simplified model: never replaces a physical check."


def drawing_of(case: MistakeCase) -> Drawing:
    """The drawing that the study asks for."""
    return drawings()[case.study.spot.drawing]


def draw_case(case: MistakeCase, path: str | os.PathLike[str]) -> Path:
    """Draw the sheet and write it; the ending of the name says how.

    Raises
    ------
    InputError
        When the picture cannot be written.
    """
    return page.write(sheet(case), path)


def sheet(case: MistakeCase) -> Figure:
    """The sheet, SIZE_IN at DPI."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=SIZE_IN, dpi=DPI)
    head(figure, case, EDGE_IN)
    halves(figure, case, (EDGE_IN, LOW_IN), (HALF_IN, HIGH_IN), SIZE_IN[0] - 2 * EDGE_IN - 2 * HALF_IN)
    numbers(figure, case, LOW_IN - 0.12, EDGE_IN)
    foot(figure, (drawing_of(case).said(case), CAUTION, case.assumed), SMALL_PT, EDGE_IN, 0.08)
    return figure


def foot(figure: Figure, said: Sequence[str], size_pt: float, edge_in: float, low_in: float) -> float:
    """Words that end at the lower edge of the sheet; answers with their upper edge, inches."""
    room = figure.get_size_inches()[0] - 2 * edge_in
    text = " ".join(part for part in said if part)
    lines = len(wrapped(text, size_pt, WIDER * room))
    top = low_in + lines * line_in(size_pt)
    put(figure, edge_in, top, text, size_pt, room, color=FAINT)
    return top


def halves(
    figure: Figure, case: MistakeCase, at_in: tuple[float, float], size_in: tuple[float, float], gap_in: float,
    draw: Draw | None = None,
) -> None:  # fmt: skip
    """Both halves from one camera, each under its sign.

    Parameters
    ----------
    at_in, size_in, gap_in : lower left corner of the right way, size of a half, and what lies between them, inches
    draw : draws a half; the drawing that the study asks for where nothing is said
    """
    wide, high = figure.get_size_inches()
    spot = case.study.spot.text
    heads = ("Right", f"Wrong: {spot}" if spot else "Wrong")
    for wrong in (False, True):
        left = at_in[0] + wrong * (size_in[0] + gap_in)
        axis = figure.add_axes((left / wide, at_in[1] / high, size_in[0] / wide, size_in[1] / high))
        (draw or drawing_of(case).draw)(Pen(axis, size=size_in[0] / HALF_IN), case, wrong)
        colour = WRONG if wrong else RIGHT
        _border(figure, (left, at_in[1]), size_in, colour)
        top = at_in[1] + size_in[1]
        _sign(figure, (left + 0.14, top + 0.2), wrong)
        room = size_in[0] - 0.4
        size_pt, lines = _fitted(heads[wrong], room)
        level = top + 0.2 + len(lines) * line_in(size_pt) / 2
        write(figure, left + 0.36, level, "\n".join(lines), size_pt, color=colour, weight="bold")


def _fitted(text: str, room_in: float) -> tuple[float, list[str]]:
    """Size and lines of a head, every word of it: one line in the largest letters that it has room in, else two."""
    for size_pt in HEADS_PT:
        lines = wrapped(text, size_pt, room_in, bold=True)
        if len(lines) == 1:
            return size_pt, lines
    return HEADS_PT[-1], lines


def bare(case: MistakeCase, wrong: bool, width_px: int = 320) -> tuple[np.ndarray, tuple[float, float]]:
    """One half as drawn, without a word: (h, w, 3) uint8, and the trouble spot as shares of its width and height."""
    return drawn_half(case, wrong, width_px, words=False)


def drawn_half(
    case: MistakeCase, wrong: bool, width_px: int, words: bool = True
) -> tuple[np.ndarray, tuple[float, float]]:
    """The same with its words, as the sheet has it."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    size = (HALF_IN, HIGH_IN)
    figure = Figure(figsize=size, dpi=width_px / HALF_IN)
    canvas: Any = FigureCanvasAgg(figure)
    axis = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    spot = drawing_of(case).draw(Pen(axis, words=words), case, wrong)
    canvas.draw()
    picture = np.asarray(canvas.buffer_rgba())[..., :3].copy()
    x, y = axis.transAxes.inverted().transform(axis.transData.transform(spot))
    return picture, (float(x), float(y))


def head(figure: Figure, case: MistakeCase, edge_in: float) -> None:
    """What it is, in which engine and where, in words and in a few lines of the engine."""
    wide, high = figure.get_size_inches()
    title = f"{case.right.spec.engine.name}: {case.mistake.title}, {case.where}"
    room = wide - 2 * edge_in - LOCATOR_IN[0] - 0.2
    write(figure, edge_in, high - 0.16, title, TITLE_PT, weight="bold", color=INK)
    put(figure, edge_in, high - 0.50, case.mistake.different, ROW_PT, room, color=INK)
    left, low = wide - edge_in - LOCATOR_IN[0], high - LOCATOR_IN[1] - 0.06
    place = (left / wide, low / high, LOCATOR_IN[0] / wide, LOCATOR_IN[1] / high)
    locate(figure.add_axes(place), case)


def _border(figure: Figure, at_in: tuple[float, float], size_in: tuple[float, float], colour: str) -> None:
    from matplotlib.patches import Rectangle

    wide, high = figure.get_size_inches()
    place = (at_in[0] / wide, at_in[1] / high)
    figure.add_artist(
        Rectangle(
            place,
            size_in[0] / wide,
            size_in[1] / high,
            transform=figure.transFigure,
            fc="none",
            ec=colour,
            lw=1.6,
        )
    )


def _sign(figure: Figure, at_in: tuple[float, float], wrong: bool) -> None:
    """A tick in a round field, or a cross in a square one: told apart without colour and without words."""
    wide, high = figure.get_size_inches()
    size = 0.26
    axis: Axes = figure.add_axes(
        ((at_in[0] - size / 2) / wide, (at_in[1] - size / 2) / high, size / wide, size / high)
    )
    axis.set_xlim(-1.05, 1.05)
    axis.set_ylim(-1.05, 1.05)
    axis.set_axis_off()
    if wrong:
        axis.fill([-0.95, 0.95, 0.95, -0.95], [-0.95, -0.95, 0.95, 0.95], color=WRONG)
        for slope in (1, -1):
            axis.plot([-0.5, 0.5], [-0.5 * slope, 0.5 * slope], color="white", lw=2.4, solid_capstyle="round")
        return
    turn = np.linspace(0.0, 2 * np.pi, 60)
    axis.fill(np.cos(turn), np.sin(turn), color=RIGHT)
    axis.plot([-0.5, -0.12, 0.52], [-0.02, -0.42, 0.42], color="white", lw=2.4, solid_capstyle="round")


def put(
    figure: Figure, x_in: float, top_in: float, text: str, size_pt: float, room_in: float, **look: Any
) -> float:
    """Write text broken to a room, line by line on even base lines; answers with the lower edge, inches.

    A sheet of a given size has to hold it: what a screen's letters are wider by than the font's own is left free.
    """
    lines = wrapped(text, size_pt, WIDER * room_in, look.get("weight") == "bold") if text else []
    for number, line in enumerate(lines):
        level = top_in - number * line_in(size_pt) - 0.8 * size_pt / 72
        write(figure, x_in, level, line, size_pt, va="baseline", **look)
    return top_in - len(lines) * line_in(size_pt)


def numbers(figure: Figure, case: MistakeCase, top_in: float, edge_in: float) -> float:
    """The three numbers that count, with limit, verdict and source; answers with their lower edge, inches."""
    room = figure.get_size_inches()[0] - 2 * edge_in
    columns = [edge_in + share * room for share in COLUMNS]
    rooms = [b - a - 0.12 for a, b in zip(columns, (*columns[1:], edge_in + room + 0.12), strict=True)]
    for x, name in zip(columns[1:], ("right", "wrong", "limit", "verdict"), strict=True):
        top = put(figure, x, top_in, name, SMALL_PT, room, color=FAINT)
    sources = []
    for row in case.chief_rows():
        cells = [text_of(row, key, case) for key in ("what", "right", "wrong", "limit", "verdict")]
        low = [top]
        for k, (x, cell, each) in enumerate(zip(columns, cells, rooms, strict=True)):
            strong = row["severity"] in ("stop", "look") and k in (2, 4)
            colour = WRONG if strong and row["severity"] == "stop" else INK
            low.append(
                put(figure, x, top, cell, ROW_PT, each, color=colour, weight="bold" if strong else "normal")
            )
        top = min(low)
        if row["limit_source"] and row["limit_source"] not in sources:
            sources.append(str(row["limit_source"]))
    return put(
        figure,
        edge_in,
        top - 0.02,
        f"Limits by: {'; '.join(sources)}" if sources else "",
        SMALL_PT,
        room,
        color=FAINT,
    )


def text_of(row: Row, key: str, case: MistakeCase) -> str:
    """A cell in the builder's units; nothing where nothing stands."""
    cell = row[key]
    if cell is None or cell == "":
        return ""
    text = cell.text(case.system) if isinstance(cell, Amount) else str(cell)
    return case.as_assumed(text) if key == "verdict" else text
