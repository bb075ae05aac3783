"""The clock sheet of an engine: one large face for all bores that share a clock, on a page of a usual size."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from geometry.assembly import Assembly
from geometry.rings.angles import hour_text
from geometry.rings.schemes import ROLE_WORDS
from geometry.units import System
from viewer.paper.clock import face, table
from viewer.paper.clock.alone import draw_alone
from viewer.paper.clock.face import FaceLine, Words
from viewer.paper.clock.plans import ClockPlan
from viewer.paper.clock.wall import (
    MARGIN_IN,
    PAGES_IN,
    Content,
    blank,
    content_of,
    draw_foot,
    draw_head,
    draw_plan,
    foot_in,
    head_in,
)
from viewer.paper.clock.wording import degrees_text, gap_text, verdict_words
from viewer.paper.lettering import line_in, wrapped, write
from viewer.paper.page import INK

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PRINT_SIZE: Final = {"A5": 1.0, "A4": 1.0, "A3": 1.35, "A2": 1.8}
"""Words of head and foot grow with the page, which is then read from further away."""
LEAST_SCALE, MOST_SCALE = 0.88, 2.2
"""Below the one the words would be too small to read from the bench, above the other they gain nothing."""
NAME_PT, LABEL_PT, GAP_PT = 9.6, 7.6, 5.8
_WORTH_TURNING: Final = 1.03
"""A page is only turned, or taken larger, for faces that are larger by more than this."""
_GAP_IN: Final = 0.10
"""Between face, verdict and table, and under the table, inches at scale 1."""


@dataclass(frozen=True, slots=True)
class Grid:
    """Faces on a page.

    Attributes
    ----------
    size_in : of the page
    rows, columns : of faces
    scale : of a face, 1 being the least that is comfortable
    head_in, foot_in : what title and legend take
    print_size : factor on the words of head and foot
    """

    size_in: tuple[float, float]
    rows: int
    columns: int
    scale: float
    head_in: float
    foot_in: float
    print_size: float

    @property
    def cell_in(self) -> tuple[float, float]:
        """Width and height of a face with all that belongs to it."""
        wide = (self.size_in[0] - 2 * MARGIN_IN) / self.columns
        return wide, (self.size_in[1] - self.head_in - self.foot_in) / self.rows


def cells(plans: Sequence[ClockPlan]) -> list[tuple[int, int, list[tuple[int, int]]]]:
    """Ways to lay the plans out: rows, columns, and row and column of each plan.

    Banks side by side as seen from above, the front at the top; two faces alone may also stand one over the other. One
    bank alone stands in one column up to three plans, else in two: the front half left, the rear half right.
    """
    count = len(plans)
    if len({plan.sites[0].bank for plan in plans}) == 2:
        places, used = [], {"left": 0, "right": 0}
        for plan in plans:
            bank = plan.sites[0].bank
            places.append((used[bank], 0 if bank == "left" else 1))
            used[bank] += 1
        ways = [(max(used.values()), 2, places)]
        return [*ways, (2, 1, [(column, 0) for _, column in places])] if count == 2 else ways
    columns = 1 if count <= 3 else 2
    rows = math.ceil(count / columns)
    return [(rows, columns, [(k % rows, k // rows) for k in range(count)])]


def draw_sheet(
    assembly: Assembly,
    bore: int | None = None,
    record: str = "",
    assumed: str = "",
    system: System | None = None,
) -> Figure:
    """A matplotlib figure with one face per distinct plan, its verdict and table, a legend, the scheme and its source.

    Parameters
    ----------
    bore : only this one, large: its angles are read from two metres
    record : name of the build record that was laid over the design; empty for the plan
    assumed : how many values of the engine are assumed, in words; empty where none is
    system : units of lengths; None for those of the engine file
    """
    content = content_of(assembly, bore, record, assumed, system)
    if len(assembly.layout.bores) == 1 or bore is not None:
        return draw_alone(assembly, content)
    rows = cells(content.plans)
    grid, at = _grid(content, rows)
    figure, page = blank(grid.size_in)
    draw_head(figure, content, grid.print_size)
    for plan, place in zip(content.plans, at, strict=True):
        _cell(figure, page, assembly, (plan, content), place, grid)
    draw_foot(figure, page, content, grid.foot_in, grid.print_size)
    return figure


def _words(plan: ClockPlan, content: Content, scale: float) -> Words:
    """Name, angle and gap beside every gap."""
    said: dict[str, tuple[FaceLine, ...]] = {
        role: (
            FaceLine(
                f"{ROLE_WORDS[role]} {degrees_text(angle)} ({hour_text(angle)})", LABEL_PT * scale, True
            ),
            FaceLine(gap_text(plan, role, content.system, content.assumed), GAP_PT * scale),
        )
        for role, angle in plan.clock.angles_deg.items()
    }
    return said | {"thrust": face.thrust_lines(plan.clock, face.SMALL_PT * scale)}


def _grid(
    content: Content, layouts: Sequence[tuple[int, int, list[tuple[int, int]]]]
) -> tuple[Grid, list[tuple[int, int]]]:
    """Smallest usual page, its better way round and the better layout, on which the faces are large enough."""
    best: tuple[Grid, list[tuple[int, int]]] | None = None
    for name, (short, long) in PAGES_IN.items():
        if name == "A5":
            continue
        for size in ((short, long), (long, short)):
            for rows, columns, at in layouts:
                grid = _fitted(size, PRINT_SIZE[name], (rows, columns), content)
                if best is None or grid.scale > best[0].scale * _WORTH_TURNING:
                    best = grid, at
        if best is not None and best[0].scale >= LEAST_SCALE:
            break
    assert best is not None, "there is always a page"
    return best


def _fitted(
    size_in: tuple[float, float], print_size: float, shape: tuple[int, int], content: Content
) -> Grid:
    """The largest faces on a page of this size: by halving, because lines break otherwise at every scale."""
    head, foot = head_in(content, size_in[0], print_size), foot_in(content, size_in[0], print_size)
    empty = Grid(size_in, *shape, 0.0, head, foot, print_size)
    wide, high = empty.cell_in
    low, top = 0.2, MOST_SCALE
    for _ in range(8):
        middle = (low + top) / 2
        fits = all(
            _width_in(plan, content, middle) <= wide and _height_in(plan, content, middle, wide) <= high
            for plan in content.plans
        )
        low, top = (middle, top) if fits else (low, middle)
    return Grid(size_in, *shape, low, head, foot, print_size)


def _table_scale(content: Content, scale: float) -> float:
    """The table is read from near: where several share a page it does not grow with the faces."""
    return min(scale, 0.98 if len(content.plans) > 1 else 1.4)


def _width_in(plan: ClockPlan, content: Content, scale: float) -> float:
    """Width of a face with its labels on both sides."""
    room = face.room_in(_words(plan, content, scale))
    return 2 * ((face.LABEL_AT + 0.09) * face.UNIT_IN * scale + room) + 0.06


def _height_in(plan: ClockPlan, content: Content, scale: float, wide_in: float) -> float:
    """Height of name, face, verdict and table."""
    low, high = face.extent(plan.clock, _words(plan, content, scale), face.UNIT_IN * scale)
    lines = len(_verdict_lines(plan, scale, wide_in))
    words = line_in(NAME_PT * scale) + lines * line_in(face.SMALL_PT * scale)
    return (
        (high - low) * face.UNIT_IN * scale
        + words
        + table.height_in(plan, wide_in - 0.1, _table_scale(content, scale))
        + 3 * _GAP_IN * scale
    )


def _verdict_lines(plan: ClockPlan, scale: float, wide_in: float) -> list[tuple[str, bool]]:
    said = verdict_words(plan.clock, everything=False)
    size = face.SMALL_PT * scale
    return [(line, bold) for text, bold in said for line in wrapped(text, size, wide_in - 0.12, bold)]


def _cell(
    figure: Figure, page: Axes, assembly: Assembly, shown: tuple[ClockPlan, Content], at: tuple[int, int], grid: Grid
) -> None:  # fmt: skip
    (plan, content), (wide, high), scale = shown, grid.cell_in, grid.scale
    left = MARGIN_IN + at[1] * wide
    spare = high - _height_in(plan, content, scale, wide)
    top = grid.size_in[1] - grid.head_in - at[0] * high - spare / 2
    write(figure, left + 0.05, top, plan.name(assembly), NAME_PT * scale, weight="bold", color=INK)
    top -= line_in(NAME_PT * scale)
    top = draw_plan(figure, plan, _words(plan, content, scale), (left, top), wide, scale)
    centred: dict[str, Any] = {"ha": "center", "color": INK}
    top -= _GAP_IN * scale
    size = face.SMALL_PT * scale
    for line, bold in _verdict_lines(plan, scale, wide):
        write(figure, left + wide / 2, top, line, size, weight="bold" if bold else "normal", **centred)
        top -= line_in(size)
    top -= _GAP_IN * scale
    table.draw_table(
        figure, page, plan, (left + 0.05, top), wide - 0.1, _table_scale(content, scale), content.system
    )
