"""The whole clock sheet of an engine, laid out as its banks lie, front at the top, on a page of a usual size."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from geometry.assembly import Assembly
from geometry.built import BoreBuild
from geometry.kinematics.layout import BoreSite
from geometry.rings.clocked import BoreClock, bore_clock, gap_angles
from geometry.rings.schemes import RINGS_TURN_NOTE
from viewer.cautions import SHORT
from viewer.paper.clock import face, legend
from viewer.paper.clock.wording import verdict_words
from viewer.paper.lettering import line_in, width_in, wrapped, write
from viewer.paper.page import HATCH, INK, LIGHT

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PAGES_IN: Final = {"A5": (5.83, 8.27), "A4": (8.27, 11.69), "A3": (11.69, 16.54), "A2": (16.54, 23.39)}
MARGIN_IN: Final = 0.32
"""Printers leave about a quarter of an inch blank."""
LEAST_SCALE: Final = 0.88
"""Below this the words would be too small to read from the bench."""
PRINT_SIZE: Final = {"A5": 1.0, "A4": 1.0, "A3": 1.35, "A2": 1.8}
"""Words of head and foot grow with the page, which is then read from further away."""
TITLE_PT, HEAD_PT, NAME_PT, FOOT_PT = 15.0, 7.6, 8.6, 6.4
_LABEL_ROOM: Final = "expander joint 359.5°"
_WORTH_TURNING: Final = 1.03
"""A page is only turned, or taken larger, for faces that are larger by more than this."""


@dataclass(frozen=True, slots=True)
class Grid:
    """Faces on a page.

    Attributes
    ----------
    size_in : of the page
    rows, columns : of faces
    scale : of a face, 1 being the least that is comfortable
    lines : most lines of a verdict
    head_in, foot_in : what title and legend take
    print_size : factor on the words of head and foot
    """

    size_in: tuple[float, float]
    rows: int
    columns: int
    scale: float
    lines: int
    head_in: float
    foot_in: float
    print_size: float


def clocks_of(assembly: Assembly, bore: int | None = None) -> list[tuple[BoreSite, BoreClock]]:
    """The clock of every bore, or of one, in the order of ``layout.bores``.

    Raises
    ------
    GeometryError : no such bore, or an unknown scheme
    """
    sites = assembly.layout.bores if bore is None else (assembly.layout.site(bore),)
    return [(site, bore_clock(assembly.spec, site, assembly.built.bore(site.bore))) for site in sites]


def cells(sites: Sequence[BoreSite]) -> tuple[int, int, dict[int, tuple[int, int]]]:
    """Rows, columns and the cell of each bore: banks side by side as seen from above, front at the top.

    One bank alone stands in one column up to three bores, else in two: the front half left, the rear half right.
    """
    banks = {site.bank for site in sites}
    if len(banks) == 2:
        column = {"left": 0, "right": 1}
        rows = max(site.place for site in sites) + 1
        return rows, 2, {site.bore: (site.place, column[site.bank]) for site in sites}
    ordered = sorted(sites, key=lambda site: site.x_mm)
    columns = 1 if len(ordered) <= 3 else 2
    rows = math.ceil(len(ordered) / columns)
    return rows, columns, {site.bore: (k % rows, k // rows) for k, site in enumerate(ordered)}


def draw_sheet(assembly: Assembly, bore: int | None = None, record: str = "", assumed: str = "") -> Figure:
    """A matplotlib figure with one face per bore, its verdict in words, a legend, the scheme and its source.

    Parameters
    ----------
    bore : only this one
    record : name of the build record that was laid over the design; empty for the plan
    assumed : how many values of the engine are assumed, in words; empty where none is
    """
    from matplotlib.figure import Figure

    found = clocks_of(assembly, bore)
    planned = {site.bore: _planned(assembly, site) for site, _ in found}
    moved = any(_differs(clock, planned[site.bore]) for site, clock in found)
    rows, columns, at = cells([site for site, _ in found])
    shown = legend.entries([clock for _, clock in found], moved)
    words = _head_words(assembly, [site for site, _ in found], columns, record)
    said = [verdict_words(clock, everything=len(found) == 1) for _, clock in found]
    foot = [*([f"{assumed}."] if assumed else []), *_foot_words(found)]
    grid = _grid(rows, columns, shown, words, foot, said)
    figure = Figure(figsize=grid.size_in, dpi=150)
    page = figure.add_axes((0, 0, 1, 1))
    page.set_axis_off()
    page.set_xlim(0, grid.size_in[0])
    page.set_ylim(0, grid.size_in[1])
    _head(figure, assembly, words, grid)
    for site, clock in found:
        _cell(figure, assembly, site, clock, planned[site.bore], at[site.bore], grid)
    _foot(figure, page, shown, foot, grid)
    return figure


def _planned(assembly: Assembly, site: BoreSite) -> dict[str, float]:
    turned = assembly.built.bore(site.bore).piston_turned
    return gap_angles(assembly.spec, site, BoreBuild(piston_turned=turned))


def _differs(clock: BoreClock, planned_deg: dict[str, float]) -> bool:
    return any(
        abs((angle - planned_deg.get(role, angle) + 180.0) % 360.0 - 180.0) > 0.5
        for role, angle in clock.angles_deg.items()
    )


def _grid(
    rows: int, columns: int, shown: Sequence[legend.Entry], head: str, foot: Sequence[str],
    said: Sequence[list[tuple[str, bool]]],
) -> Grid:  # fmt: skip
    """Smallest usual page, and its better way round, on which the faces are large enough."""
    best: Grid | None = None
    for name, (short, long) in PAGES_IN.items():
        if name == "A5" and rows * columns > 1:
            continue
        for size in ((short, long), (long, short)):
            grid = _fitted(size, PRINT_SIZE[name], (rows, columns), shown, head, foot, said)
            if best is None or grid.scale > best.scale * _WORTH_TURNING:
                best = grid
        if best is not None and best.scale >= LEAST_SCALE:
            break
    assert best is not None, "there is always a page"
    return best


def _fitted(
    size_in: tuple[float, float], print_size: float, shape: tuple[int, int], shown: Sequence[legend.Entry],
    head: str, foot: Sequence[str], said: Sequence[list[tuple[str, bool]]],
) -> Grid:  # fmt: skip
    """The largest faces on a page of this size."""
    room, (rows, columns) = size_in[0] - 2 * MARGIN_IN, shape
    head_pt, foot_pt = HEAD_PT * print_size, FOOT_PT * print_size
    head_in = MARGIN_IN + line_in(TITLE_PT * print_size) + 0.1
    head_in += len(wrapped(head, head_pt, room)) * line_in(head_pt)
    lines = sum(len(wrapped(text, foot_pt, room)) for text in foot)
    foot_in = MARGIN_IN + lines * line_in(foot_pt) + legend.height_in(shown, room, foot_pt) + 0.2
    high, wide = (size_in[1] - head_in - foot_in) / rows, room / columns
    most = 1
    for _ in range(2):  # a smaller scale never breaks a line that a larger one did not
        scale = min(wide / _width_in(), high / _height_in(most), 1.5)
        most = max(len(_verdict_lines(words, scale, wide)) for words in said)
    scale = min(scale, high / _height_in(most))
    return Grid(size_in, rows, columns, scale, most, head_in, foot_in, print_size)


def _verdict_lines(words: list[tuple[str, bool]], scale: float, wide_in: float) -> list[tuple[str, bool]]:
    size = face.SMALL_PT * scale
    return [(line, bold) for text, bold in words for line in wrapped(text, size, wide_in - 0.12, bold)]


def _width_in() -> float:
    """Width of a face with its labels on both sides at scale 1."""
    label = width_in(_LABEL_ROOM, face.LABEL_PT)
    return 2 * ((face.LABEL_AT + 0.09) * face.UNIT_IN + label) + 0.06


def _height_in(lines: int) -> float:
    """Height of a face with its name above and the lines of its verdict below at scale 1."""
    words = line_in(NAME_PT) + lines * line_in(face.SMALL_PT)
    return (face.HIGH - face.LOW) * face.UNIT_IN + words + 0.08


def _cell(
    figure: Figure, assembly: Assembly, site: BoreSite, clock: BoreClock, planned_deg: dict[str, float],
    at: tuple[int, int], grid: Grid,
) -> None:  # fmt: skip
    wide = (grid.size_in[0] - 2 * MARGIN_IN) / grid.columns
    high = (grid.size_in[1] - grid.head_in - grid.foot_in) / grid.rows
    left = MARGIN_IN + at[1] * wide
    spare = high - _height_in(grid.lines) * grid.scale
    top = grid.size_in[1] - grid.head_in - at[0] * high - spare / 2
    turned = assembly.built.bore(site.bore).piston_turned
    name = _name(assembly, site) + (", PISTON TURNED ROUND" if turned else "")
    centred: dict[str, Any] = {"ha": "center", "color": INK}
    write(figure, left + wide / 2, top, name, NAME_PT * grid.scale, weight="bold", **centred)
    top -= line_in(NAME_PT) * grid.scale
    face_high = (face.HIGH - face.LOW) * face.UNIT_IN * grid.scale
    rect = (left / grid.size_in[0], (top - face_high) / grid.size_in[1], wide / grid.size_in[0],
            face_high / grid.size_in[1])  # fmt: skip
    axis = figure.add_axes(rect)
    half = wide / 2 / (face.UNIT_IN * grid.scale)
    axis.set_xlim(-half, half)
    face.draw_face(axis, clock, planned_deg, turned, grid.scale)
    top -= face_high
    size = face.SMALL_PT * grid.scale
    words = verdict_words(clock, everything=grid.rows * grid.columns == 1)
    for line, bold in _verdict_lines(words, grid.scale, wide):
        write(figure, left + wide / 2, top, line, size, weight="bold" if bold else "normal", **centred)
        top -= line_in(size)


def _name(assembly: Assembly, site: BoreSite) -> str:
    bank = {"line": "", "left": ", left bank", "right": ", right bank"}[site.bank]
    row = [other for other in assembly.layout.bores if other.bank == site.bank]
    ends = {min(s.place for s in row): ", front", max(s.place for s in row): ", rear"}
    return f"Bore {site.bore}{bank}{ends.get(site.place, '') if len(row) > 1 else ''}"


def _head_words(assembly: Assembly, sites: Sequence[BoreSite], columns: int, record: str) -> str:
    state = f"As found in {record}; as planned where nothing is recorded." if record else "As planned."
    seen = "Each piston seen from above its own crown, front of the engine up; angles run clockwise from the front."
    if len(sites) == 1:
        return f"{state} {seen}"
    if len({site.bank for site in sites}) == 2:
        order = "Left bank in the left column, right bank in the right, front bores at the top."
    elif columns == 1:
        order = "From the front of the engine at the top to the rear at the bottom."
    else:
        order = "From front to rear down the left column, then down the right."
    return f"{state} {seen} {order}"


def _head(figure: Figure, assembly: Assembly, words: str, grid: Grid) -> None:
    wide, high = grid.size_in
    title = f"{assembly.spec.engine.name}: ring clock"
    top, title_pt, head_pt = high - MARGIN_IN, TITLE_PT * grid.print_size, HEAD_PT * grid.print_size
    write(figure, wide / 2, top, title, title_pt, ha="center", weight="bold", color=INK)
    top -= line_in(title_pt)
    for line in wrapped(words, head_pt, wide - 2 * MARGIN_IN):
        write(figure, wide / 2, top, line, head_pt, ha="center", color=HATCH)
        top -= line_in(head_pt)


def _foot_words(found: Sequence[tuple[BoreSite, BoreClock]]) -> list[str]:
    scheme = found[0][1].scheme
    return [
        f"Scheme “{scheme.key}”: {scheme.words} Source: {scheme.source}.",
        f"Rings can turn in service. {RINGS_TURN_NOTE}",
        SHORT,
    ]


def _foot(
    figure: Figure, page: Axes, shown: Sequence[legend.Entry], words: Sequence[str], grid: Grid
) -> None:
    room, size = grid.size_in[0] - 2 * MARGIN_IN, FOOT_PT * grid.print_size
    top = grid.foot_in - 0.08
    page.plot([MARGIN_IN, MARGIN_IN + room], [top + 0.06] * 2, color=LIGHT, lw=0.6)
    legend.draw_legend(figure, page, shown, MARGIN_IN, top, room, size)
    top -= legend.height_in(shown, room, size) + 0.04
    for text in words:
        for line in wrapped(text, size, room):
            write(figure, MARGIN_IN, top, line, size, color=HATCH)
            top -= line_in(size)
