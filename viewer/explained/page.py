"""One page for the customer: both halves, three numbers, what it does, how it is put right, the cautions once."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from viewer.cautions import LINES
from viewer.explained.case import MistakeCase
from viewer.explained.pen import ACCENT, INK
from viewer.explained.sheet import DPI, WIDER, drawing_of, foot, halves, head, numbers, put
from viewer.paper import page
from viewer.paper.lettering import line_in, wrapped

if TYPE_CHECKING:
    from matplotlib.figure import Figure

PAPER_IN: Final = {"mm": (11.69, 8.27), "in": (11.0, 8.5)}
"""A4 and letter, lying: by the builder's units, which tell what paper there is."""
EDGE_IN, HALF_LOW_IN, SMALL_PT = 0.45, 3.34, 7.0
TEXTS_PT: Final = (9.0, 8.5, 8.0, 7.5)
SHARES: Final = (0.5, 0.58, 0.66, 0.74)


def draw_page(case: MistakeCase, path: str | os.PathLike[str]) -> Path:
    """Draw the page and write it.

    Raises
    ------
    InputError
        When it cannot be written.
    """
    return page.write(customer_page(case), path)


def customer_page(case: MistakeCase) -> Figure:
    """The page, on A4 or letter."""
    from matplotlib.figure import Figure

    wide, high = PAPER_IN[case.system]
    figure = Figure(figsize=(wide, high), dpi=DPI)
    head(figure, case, EDGE_IN)
    room = wide - 2 * EDGE_IN
    gap = 0.2
    half = (room - gap) / 2
    halves(figure, case, (EDGE_IN, HALF_LOW_IN), (half, high - HALF_LOW_IN - 1.48), gap)
    top = numbers(figure, case, HALF_LOW_IN - 0.08, EDGE_IN) - 0.1
    told = (
        ("What it does", case.study.does),
        ("How it is put right", f"{case.study.look_for} {case.study.remedy}"),
    )
    foot_in = foot(figure, (drawing_of(case).said(case), *LINES, case.assumed), SMALL_PT, EDGE_IN, 0.2)
    size_pt, rooms = columns([text for _, text in told], room - gap, top - foot_in - 0.08)
    for left, wide, (name, text) in zip((EDGE_IN, EDGE_IN + rooms[0] + gap), rooms, told, strict=True):
        low = put(figure, left, top, name, size_pt, wide, weight="bold", color=ACCENT)
        put(figure, left, low, text, size_pt, wide, color=INK)
    return figure


def columns(texts: Sequence[str], room_in: float, high_in: float) -> tuple[float, tuple[float, float]]:
    """Size of the letters and widths of two columns, inches, each under a line that names it, within a height.

    Even columns and large letters where there is room; else the longer text is given more of the width, and only then
    smaller letters.
    """
    for size_pt in TEXTS_PT:
        lines_in = []
        for share in SHARES:
            rooms = share * room_in, (1.0 - share) * room_in
            longest = max(len(wrapped(t, size_pt, WIDER * r)) for t, r in zip(texts, rooms, strict=True))
            lines_in.append(((1 + longest) * line_in(size_pt), rooms))
        for needs_in, rooms in lines_in:
            if needs_in <= high_in:
                return size_pt, rooms
    return size_pt, min(lines_in)[1]
