"""The clock of one bore for the wall beside the bench: its angles are read from two metres."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from geometry.assembly import Assembly
from geometry.rings.angles import hour_text
from geometry.rings.schemes import ROLE_WORDS
from viewer.paper.clock import face
from viewer.paper.clock.face import FaceLine, Words
from viewer.paper.clock.plans import ClockPlan
from viewer.paper.clock.wall import (
    MARGIN_IN,
    PAGES_IN,
    Content,
    blank,
    draw_foot,
    draw_head,
    draw_plan,
    foot_in,
    head_in,
)
from viewer.paper.clock.wording import degrees_text, gap_text, verdict_words, way_up_text
from viewer.paper.lettering import line_in, wrapped, write
from viewer.paper.page import HATCH, INK, LIGHT

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

ANGLE_PT: Final = 32.0
"""Its figures are 8.2 mm high: a figure of this typeface is 0.729 of its size. Letters of 4 mm for every metre of
distance are common practice, no source."""
NAME_PT, CLOCK_PT, ROW_PT, WORDS_PT, VERDICT_PT = 13.0, 13.0, 11.0, 8.0, 9.0
BOX_IN: Final = 1.15
"""Width of each box for the pencil."""
LEAST_RADIUS_IN: Final = 0.95
"""Least radius of the top ring on the page."""
BOXES: Final = ("gap as measured", "initials, date")


def draw_alone(assembly: Assembly, content: Content) -> Figure:
    """A page of A4, larger only where the findings leave no room: one large face, under it a row for every ring."""
    (plan,) = content.plans
    words = _words(plan)
    for name in ("A4", "A3", "A2"):
        size = PAGES_IN[name]
        wide, foot = size[0] - 2 * MARGIN_IN, foot_in(content, size[0], 1.0)
        top = size[1] - head_in(content, size[0], 1.0) - line_in(1.6 * NAME_PT)
        said = _said(plan, wide)
        under = foot + _rows_in(plan, content, wide) + sum(line_in(pt) for _, pt, _ in said) + 0.25
        scale = _scale(plan, words, wide, top - under)
        if scale is not None:
            break
    assert scale is not None, "there is always a page"
    figure, page = blank(size)
    draw_head(figure, content, 1.0)
    draw_foot(figure, page, content, foot, 1.0)
    name_at = top + line_in(1.6 * NAME_PT)
    write(figure, MARGIN_IN, name_at, plan.name(assembly), 1.6 * NAME_PT, weight="bold", color=INK)
    top = draw_plan(figure, plan, words, (MARGIN_IN, top), wide, scale) - 0.1
    for line, pt, bold in said:
        write(figure, size[0] / 2, top, line, pt, weight="bold" if bold else "normal", ha="center", color=INK)
        top -= line_in(pt)
    _rows(figure, page, plan, content, top - 0.1)
    return figure


def _words(plan: ClockPlan) -> Words:
    """The angle large, the ring and the hour beside it."""
    said: dict[str, tuple[FaceLine, ...]] = {
        role: (
            FaceLine(degrees_text(angle), ANGLE_PT, True),
            FaceLine(f"{ROLE_WORDS[role]}", NAME_PT, True),
            FaceLine(hour_text(angle), CLOCK_PT),
        )
        for role, angle in plan.clock.angles_deg.items()
    }
    return said | {"thrust": face.thrust_lines(plan.clock, 0.8 * NAME_PT)}


def _scale(plan: ClockPlan, words: Words, wide_in: float, room_in: float) -> float | None:
    """The largest face that leaves room for the labels at its sides and for what stands under it; None: too small."""
    unit = (wide_in / 2 - face.room_in(words) - 0.03) / (face.LABEL_AT + 0.09)
    while unit >= LEAST_RADIUS_IN:
        low, high = face.extent(plan.clock, words, unit)
        if (high - low) * unit <= room_in:
            return unit / face.UNIT_IN
        unit *= 0.96
    return None


def _said(plan: ClockPlan, wide_in: float) -> list[tuple[str, float, bool]]:
    """Lines of the verdict with their sizes, smaller where there are many findings."""
    paragraphs = verdict_words(plan.clock, everything=True)
    size = VERDICT_PT if len(paragraphs) <= 3 else WORDS_PT
    return [
        (line, size, bold) for text, bold in paragraphs for line in wrapped(text, size, wide_in - 0.2, bold)
    ]


def _texts(plan: ClockPlan, content: Content, role: str, wide_in: float) -> list[tuple[str, float, bool]]:
    """Lines of one row: ring and angle, its gap, which way up."""
    angle = plan.clock.angles_deg[role]
    room = wide_in - len(BOXES) * BOX_IN - 0.1
    head = f"{ROLE_WORDS[role]} {degrees_text(angle)} ({hour_text(angle)})"
    gap = gap_text(plan, role, content.system, content.assumed)
    rows = [(line, WORDS_PT, False) for line in wrapped(way_up_text(plan, role), WORDS_PT, room)]
    return [
        (head, ROW_PT, True),
        *((line, ROW_PT - 1.5, False) for line in wrapped(gap, ROW_PT - 1.5, room)),
        *rows,
    ]


def _rows_in(plan: ClockPlan, content: Content, wide_in: float) -> float:
    rows = [_texts(plan, content, role, wide_in) for role in plan.clock.angles_deg]
    return sum(sum(line_in(size) for _, size, _ in lines) + 0.1 for lines in rows) + 0.2


def _rows(figure: Figure, page: Axes, plan: ClockPlan, content: Content, top: float) -> None:
    right = float(figure.get_size_inches()[0]) - MARGIN_IN
    edges = [right - (len(BOXES) - k) * BOX_IN for k in range(len(BOXES) + 1)]
    for edge, head in zip(edges, BOXES, strict=False):
        write(figure, edge + BOX_IN / 2, top, head, WORDS_PT, ha="center", color=HATCH)
    top -= 0.2
    start = top
    page.plot([MARGIN_IN, right], [top, top], color=LIGHT, lw=0.8)
    for role in plan.clock.angles_deg:
        level = top - 0.05
        for text, size, bold in _texts(plan, content, role, right - MARGIN_IN):
            write(figure, MARGIN_IN, level, text, size, weight="bold" if bold else "normal", color=INK)
            level -= line_in(size)
        top = level - 0.05
        page.plot([MARGIN_IN, right], [top, top], color=LIGHT, lw=0.8)
    for edge in edges:
        page.plot([edge, edge], [start, top], color=LIGHT, lw=0.8)
