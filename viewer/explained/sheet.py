"""The picture of a mistake: both halves under their signs, the numbers under them, where it is, the caution."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from geometry.checks.section import Amount, Row
from viewer.explained.case import MistakeCase
from viewer.explained.catalogue import drawings
from viewer.explained.drawing import Drawing
from viewer.explained.locator import locate
from viewer.explained.pen import FAINT, INK, RIGHT, WRONG, Pen
from viewer.paper import page
from viewer.paper.lettering import line_in, wrapped, write
from viewer.reports.mistake import AS_ASSUMED

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SIZE_IN: Final = (12.0, 7.6)
DPI: Final = 150
EDGE_IN, HALF_IN, LOW_IN, HIGH_IN = 0.25, 5.65, 1.72, 4.55
"""Edge of the sheet, width of a half, its lower edge and its height, inches."""
COLUMNS_IN: Final = (0.25, 3.55, 6.1, 7.65, 9.2)
TITLE_PT, HEAD_PT, ROW_PT, SMALL_PT = 15.0, 12.5, 9.5, 7.6
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
    _head(figure, case)
    halves(figure, case, (EDGE_IN, LOW_IN), (HALF_IN, HIGH_IN), SIZE_IN[0] - 2 * EDGE_IN - 2 * HALF_IN)
    numbers(figure, case, LOW_IN - 0.12)
    foot = " ".join(part for part in (drawing_of(case).said(case), CAUTION, case.assumed) if part)
    lines = wrapped(foot, SMALL_PT, SIZE_IN[0] - 2 * EDGE_IN)
    write(figure, EDGE_IN, 0.08 + len(lines) * line_in(SMALL_PT), "\n".join(lines), SMALL_PT, color=FAINT)
    return figure


def halves(
    figure: Figure, case: MistakeCase, at_in: tuple[float, float], size_in: tuple[float, float], gap_in: float
) -> None:
    """Both halves from one camera, each under its sign.

    Parameters
    ----------
    at_in, size_in, gap_in : lower left corner of the right way, size of a half, and what lies between them, inches
    """
    wide, high = figure.get_size_inches()
    spot = case.study.spot.text
    heads = ("Right", f"Wrong: {spot}" if spot else "Wrong")
    for wrong in (False, True):
        left = at_in[0] + wrong * (size_in[0] + gap_in)
        axis = figure.add_axes((left / wide, at_in[1] / high, size_in[0] / wide, size_in[1] / high))
        drawing_of(case).draw(Pen(axis), case, wrong)
        colour = WRONG if wrong else RIGHT
        _border(figure, (left, at_in[1]), size_in, colour)
        top = at_in[1] + size_in[1]
        _sign(figure, (left + 0.14, top + 0.2), wrong)
        room = size_in[0] - 0.4
        line = wrapped(heads[wrong], HEAD_PT, room, bold=True)[0]
        write(figure, left + 0.36, top + 0.31, line, HEAD_PT, color=colour, weight="bold")


def bare(case: MistakeCase, wrong: bool, width_px: int = 320) -> tuple[np.ndarray, tuple[float, float]]:
    """One half as drawn, without a word: (h, w, 3) uint8, and the trouble spot as shares of its width and height."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    size = (HALF_IN, HIGH_IN)
    figure = Figure(figsize=size, dpi=width_px / HALF_IN)
    canvas: Any = FigureCanvasAgg(figure)
    axis = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    spot = drawing_of(case).draw(Pen(axis, words=False), case, wrong)
    canvas.draw()
    picture = np.asarray(canvas.buffer_rgba())[..., :3].copy()
    x, y = axis.transAxes.inverted().transform(axis.transData.transform(spot))
    return picture, (float(x), float(y))


def _head(figure: Figure, case: MistakeCase) -> None:
    write(
        figure, EDGE_IN, SIZE_IN[1] - 0.16, f"{case.right.spec.engine.name}: {case.mistake.title}, {case.where}",
        TITLE_PT, weight="bold", color=INK,
    )  # fmt: skip
    lines = wrapped(case.mistake.different, ROW_PT, 8.4)[:2]
    write(figure, EDGE_IN, SIZE_IN[1] - 0.50, "\n".join(lines), ROW_PT, color=INK)
    wide, high = SIZE_IN
    locate(figure.add_axes((9.0 / wide, (high - 0.98) / high, 2.75 / wide, 0.92 / high)), case)


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


def numbers(figure: Figure, case: MistakeCase, top_in: float) -> None:
    """The three numbers that count, right and wrong under their halves, with limit, verdict and source."""
    look: dict[str, Any] = {"color": FAINT}
    for x, head in zip(COLUMNS_IN[2:], ("", "limit", "verdict"), strict=True):
        write(figure, x, top_in, head, SMALL_PT, **look)
    top = top_in - line_in(SMALL_PT)
    sources = []
    for row in case.chief_rows():
        cells = [text_of(row, key, case) for key in ("what", "right", "wrong", "limit", "verdict")]
        rooms = [
            b - a - 0.12
            for a, b in zip(COLUMNS_IN, (*COLUMNS_IN[1:], SIZE_IN[0] - EDGE_IN + 0.12), strict=True)
        ]
        broken = [
            wrapped(cell, ROW_PT, room) if cell else [] for cell, room in zip(cells, rooms, strict=True)
        ]
        grave = row["severity"] in ("stop", "look")
        for k, (x, lines) in enumerate(zip(COLUMNS_IN, broken, strict=True)):
            strong = (
                {"weight": "bold", "color": WRONG if row["severity"] == "stop" else INK}
                if grave and k in (2, 4)
                else {}
            )
            write(figure, x, top, "\n".join(lines[:2]), ROW_PT, **({"color": INK} | strong))
        top -= line_in(ROW_PT) * max(1, max(min(2, len(lines)) for lines in broken))
        if row["limit_source"] and row["limit_source"] not in sources:
            sources.append(str(row["limit_source"]))
    if sources:
        lines = wrapped("Limits by: " + "; ".join(sources), SMALL_PT, SIZE_IN[0] - 2 * EDGE_IN)[:2]
        write(figure, EDGE_IN, top - 0.02, "\n".join(lines), SMALL_PT, color=FAINT)


def text_of(row: Row, key: str, case: MistakeCase) -> str:
    """A cell in the builder's units; nothing where nothing stands."""
    cell = row[key]
    if cell is None or cell == "":
        return ""
    text = cell.text(case.system) if isinstance(cell, Amount) else str(cell)
    return text + AS_ASSUMED if key == "verdict" and case.assumed else text
