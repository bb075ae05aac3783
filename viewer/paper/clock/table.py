"""The table under a face: which way up each ring goes, and a box for the pencil for every bore."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from geometry.rings.schemes import ROLE_WORDS
from geometry.units import System, show
from viewer.paper.clock.plans import ClockPlan
from viewer.paper.clock.wording import STATES, way_up_text
from viewer.paper.lettering import line_in, width_in, wrapped, write
from viewer.paper.page import HATCH, INK, LIGHT

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

TABLE_PT, NUMBER_PT = 6.0, 5.4
BOX_IN, ROW_IN, PAD_IN = 0.72, 0.205, 0.05
"""Width of a box for the pencil, least height of a row, and what words keep off the lines, inches at scale 1."""
LEAST_WORDS_IN: Final = 1.15
"""Least width of the words on which way up, inches at scale 1."""
PENCIL: Final = "which way up; boxes: gap as measured"
LAST: Final = "initials, date"


def draw_table(
    figure: Figure, page: Axes, plan: ClockPlan, place_in: tuple[float, float], wide_in: float, scale: float,
    system: System,
) -> None:  # fmt: skip
    """Draw it; ``place_in`` is its upper left corner on the page, inches.

    Where a gap is not the same in every bore, its figure and verdict stand small in the bore's box.
    """
    left, top = place_in
    names, box, words = _columns_in(plan, wide_in, scale)
    edges = [left + names + words + k * box for k in range(len(plan.sites) + 1)]
    size, pad = TABLE_PT * scale, PAD_IN * scale
    head = ROW_IN * scale
    write(figure, left + pad, top - 0.3 * head, PENCIL, size, color=HATCH, va="center")
    for edge, site in zip(edges, plan.sites, strict=False):
        write(figure, edge + box / 2, top - 0.4 * head, f"bore {site.bore}", size, color=INK, weight="bold",
              ha="center", va="center")  # fmt: skip
    top -= head
    _line(page, left, left + wide_in, top)
    start = top
    for role in plan.clock.angles_deg:
        lines = wrapped(way_up_text(plan, role), size, words - 2 * pad)
        high = _row_in(len(lines), scale)
        write(
            figure, left + pad, top - high / 2, ROLE_WORDS[role], size, color=INK, weight="bold", va="center"
        )
        for k, line in enumerate(lines):
            level = top - high / 2 + ((len(lines) - 1) / 2 - k) * line_in(size)
            write(figure, left + names + pad, level, line, size, color=INK, va="center")
        if role != "expander" and plan.shared(role) is None:
            _own_gaps(figure, plan, role, (edges, top, scale), system)
        top -= high
        _line(page, left, left + wide_in, top)
    high = 1.1 * ROW_IN * scale
    write(figure, left + pad, top - high / 2, LAST, size, color=INK, va="center")
    top -= high
    _line(page, edges[0], left + wide_in, top)
    for edge in edges:
        page.plot([edge, edge], [start, top], color=LIGHT, lw=0.8)


def height_in(plan: ClockPlan, wide_in: float, scale: float) -> float:
    """Height of the table, inches."""
    _, _, words = _columns_in(plan, wide_in, scale)
    room, size = words - 2 * PAD_IN * scale, TABLE_PT * scale
    rows = sum(
        _row_in(len(wrapped(way_up_text(plan, role), size, room)), scale) for role in plan.clock.angles_deg
    )
    return rows + 2.1 * ROW_IN * scale


def _columns_in(plan: ClockPlan, wide_in: float, scale: float) -> tuple[float, float, float]:
    """Width of the names, of one box, and of the words on which way up."""
    names = width_in(max(ROLE_WORDS.values(), key=len), TABLE_PT * scale, True) + 2 * PAD_IN * scale
    box = min(BOX_IN * scale, (wide_in - names - LEAST_WORDS_IN * scale) / len(plan.sites))
    return names, box, wide_in - names - box * len(plan.sites)


def _row_in(lines: int, scale: float) -> float:
    return max(ROW_IN * scale, lines * line_in(TABLE_PT * scale) + PAD_IN * scale)


def _own_gaps(
    figure: Figure, plan: ClockPlan, role: str, at: tuple[list[float], float, float], system: System
) -> None:
    edges, top, scale = at
    for edge, site in zip(edges, plan.sites, strict=False):
        fit = plan.fits[site.bore].get(role)
        if fit is not None:
            held = fit.verdict.state == "within"
            said = show(fit.gap_mm, "length", system, fine=True) + (
                "" if held else f"\n{STATES[fit.verdict.state]}"
            )
            look = {"color": HATCH} if held else {"color": INK, "weight": "bold"}
            write(figure, edge + 0.03, top - 0.02, said, NUMBER_PT * scale, linespacing=1.05, **look)


def _line(page: Axes, start: float, end: float, level: float) -> None:
    page.plot([start, end], [level, level], color=LIGHT, lw=0.8)
