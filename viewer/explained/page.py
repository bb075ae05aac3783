"""One page for the customer: both halves, three numbers, what it does, how it is put right, the cautions once."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Final

from viewer.cautions import LINES
from viewer.explained.case import MistakeCase
from viewer.explained.pen import ACCENT, INK
from viewer.explained.sheet import DPI, drawing_of, foot, halves, head, numbers, put
from viewer.paper import page

if TYPE_CHECKING:
    from matplotlib.figure import Figure

PAPER_IN: Final = {"mm": (11.69, 8.27), "in": (11.0, 8.5)}
"""A4 and letter, lying: by the builder's units, which tell what paper there is."""
EDGE_IN, HALF_LOW_IN, TEXT_PT, SMALL_PT = 0.45, 3.22, 9.0, 7.0


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
    for column, (name, text) in enumerate(told):
        left = EDGE_IN + column * (half + gap)
        low = put(figure, left, top, name, TEXT_PT, half, weight="bold", color=ACCENT)
        put(figure, left, low, text, TEXT_PT, half, color=INK)
    foot(figure, (drawing_of(case).said(case), *LINES, case.assumed), SMALL_PT, EDGE_IN, 0.2)
    return figure
