"""Each ring in its groove, enlarged and to scale: the right way up, and the wrong way up beside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from geometry.assembly import Assembly
from geometry.rings.fitted import RingFit, bore_rings
from geometry.rings.section import oil_pack, outline, upside_down
from geometry.rings.types import OIL_RING_WORDS, WayUp
from geometry.spec.engine import Engine
from geometry.spec.rings import CompressionRing, OilRing
from geometry.units import System, show
from viewer.cautions import AS_ASSUMED, SHORT
from viewer.paper.clock import section
from viewer.paper.clock.section import Ground, ground_of
from viewer.paper.lettering import line_in, wrapped, write
from viewer.paper.page import HATCH, INK, LIGHT

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

EXAGGERATE: Final = 6.0
"""Barrel drop and taper are too small to see at this scale; everything else is true."""
PAGE_IN: Final = (8.27, 11.69)
MARGIN_IN: Final = 0.38
_TITLE_PT, _NAME_PT, _TEXT_PT, _FOOT_PT = 15.0, 9.0, 7.0, 6.6
_PICTURE_IN: Final = 1.72
"""Height of one drawing."""
_ROW_IN: Final = 3.3


@dataclass(frozen=True, slots=True)
class Cell:
    """One drawing with its words.

    Attributes
    ----------
    head : what it is, and whether it is right
    said : paragraphs under it
    draw : draws into an axis
    overlapped : for an oil ring, whether the expander's ends lie over each other; None without an expander
    """

    head: str
    said: tuple[str, ...]
    draw: Callable[[Axes], None]
    overlapped: bool | None = None


def draw_grooves(assembly: Assembly, system: System, assumed: str = "") -> Figure:
    """A matplotlib figure: one row per ring, right and wrong, on a page of A4 or of the width of A4.

    Parameters
    ----------
    assumed : how many values of the engine are assumed, in words; empty where none is
    """
    from matplotlib.figure import Figure

    spec = assembly.spec
    fits = {fit.name: fit for fit in bore_rings(spec, assembly.layout, assembly.built)[0].rings}
    rings = (("top", spec.rings.top), ("second", spec.rings.second))
    rows = [
        _compression(spec, name, ring, fits[name], system, assumed)
        for name, ring in rings
        if ring is not None and name in fits
    ]
    if spec.rings.oil is not None and "upper_rail" in fits:
        rows.append(_oil(spec, spec.rings.oil, fits["upper_rail"], system))
    high = len(rows) * _ROW_IN + 1.75
    figure = Figure(figsize=(PAGE_IN[0], max(high, PAGE_IN[1]) if len(rows) == 3 else high), dpi=150)
    _page_words(figure, f"{spec.engine.name}: rings in their grooves", assumed)
    for row, pair in enumerate(rows):
        for column, cell in enumerate(pair):
            _place(figure, cell, row, column)
    return figure


def _page_words(figure: Figure, title: str, assumed: str) -> None:
    wide, high = figure.get_size_inches()
    top = high - MARGIN_IN
    write(figure, wide / 2, top, title, _TITLE_PT, ha="center", weight="bold", color=INK)
    text = (
        f"To scale, enlarged; only barrel and taper of the running face are drawn {EXAGGERATE:g} times as large, "
        f"and dashed, where a ring twists, its lean ({section.LEAN_DEG:g}°). Crown up, bore wall at the right. "
        f"Usual proportions of faces and bevels. {SHORT}{f' {assumed}.' if assumed else ''}"
    )
    lines = wrapped(text, _FOOT_PT, wide - 2 * MARGIN_IN)
    for place, line in enumerate(lines):
        level = MARGIN_IN + (len(lines) - place) * line_in(_FOOT_PT)
        write(figure, MARGIN_IN, level, line, _FOOT_PT, color=HATCH)


def _place(figure: Figure, cell: Cell, row: int, column: int) -> None:
    wide, high = figure.get_size_inches()
    room = (wide - 2 * MARGIN_IN) / 2
    left, top = MARGIN_IN + column * room, high - MARGIN_IN - 0.48 - row * _ROW_IN
    write(figure, left + room / 2, top, cell.head, _NAME_PT, ha="center", weight="bold", color=INK)
    top -= line_in(_NAME_PT) + 0.04
    axis = figure.add_axes(
        ((left + 0.08) / wide, (top - _PICTURE_IN) / high, (room - 0.16) / wide, _PICTURE_IN / high)
    )
    cell.draw(axis)
    top -= _PICTURE_IN + 0.07
    if cell.overlapped is not None:
        strip = figure.add_axes(((left + 0.7) / wide, (top - 0.30) / high, (room - 1.4) / wide, 0.30 / high))
        section.draw_joint(strip, cell.overlapped)
        top -= 0.34
    for text in cell.said:
        for line in wrapped(text, _TEXT_PT, room - 0.34):
            write(figure, left + 0.1, top, line, _TEXT_PT, color=INK)
            top -= line_in(_TEXT_PT)
    if row and not column:
        rule = high - MARGIN_IN - 0.41 - row * _ROW_IN
        figure.add_artist(_rule(figure, rule))


def _rule(figure: Figure, level_in: float) -> Any:
    from matplotlib.lines import Line2D

    wide, high = figure.get_size_inches()
    ends = [MARGIN_IN / wide, 1 - MARGIN_IN / wide]
    return Line2D(ends, [level_in / high] * 2, color=LIGHT, lw=0.6, transform=figure.transFigure)


def _compression(
    spec: Engine, name: str, ring: CompressionRing, fit: RingFit, system: System, assumed: str
) -> tuple[Cell, Cell]:
    """Right and wrong of a one-piece ring."""
    way, title = fit.way, f"{name.capitalize()} ring"
    assert way is not None, "a one-piece ring has a way up"
    limits = fit.side_limits
    side, back = (
        show(value, "length", system, fine=True) for value in (fit.groove.side_mm, fit.groove.back_mm)
    )
    wanted = " to ".join(show(value, "length", system, fine=True) for value in (limits.min_mm, limits.max_mm))
    verdict = f"{fit.side}{AS_ASSUMED if assumed else ''}"
    known = f"{way.term[0].upper()}{way.term[1:]}. Side clearance {side} ({wanted}: {verdict}), back clearance {back}."
    either = way.side_up == "either"

    def drawer(right: bool) -> Callable[[Axes], None]:
        return lambda axis: _draw_compression(axis, ground_of(spec, name), ring, way, (side, back), right)

    why = f"{way.how}{f' Why: {way.why}.' if way.why else ''}"
    wrong = "Both sides are alike: there is no wrong way up." if either else way.upside_down
    heads = ("either way up", "turned over: just as good") if either else ("right", "WRONG, upside down")
    return (
        Cell(f"{title}: {heads[0]}", (why, known), drawer(True)),
        Cell(f"{title}: {heads[1]}", (wrong,), drawer(False)),
    )


def _draw_compression(
    axis: Axes, ground: Ground, ring: CompressionRing, way: WayUp, clearances: tuple[str, str], right: bool
) -> None:
    shape = outline(ring.face, ring.inside, ring.height_mm, ring.wall_mm, exaggerate=EXAGGERATE)
    if not right:
        shape = upside_down(shape, ring.height_mm)
    section.draw_ground(axis, ground)
    section.draw_ring(axis, shape)
    section.draw_lean(axis, ground, shape, way.twist if right else way.twist_upside_down, right)
    if ring.mark != "none":
        section.draw_mark(axis, ring.mark, ring.wall_mm, ring.height_mm if right else 0.0, ground, right)
    if right:
        section.draw_side(axis, ground, ring.height_mm, -0.74 * ring.wall_mm, f"side {clearances[0]}")
        section.draw_back(axis, ground, ring.wall_mm, ring.height_mm / 2, f"back {clearances[1]}")


def _oil(spec: Engine, oil: OilRing, fit: RingFit, system: System) -> tuple[Cell, Cell]:
    """Right and wrong of a three-piece oil ring: what goes wrong is the expander."""
    feature = OIL_RING_WORDS["three_piece"]
    ground = ground_of(spec, "oil")
    pack = oil_pack(oil.height_mm, oil.rail_height_mm, oil.rail_wall_mm)
    side, back = (
        show(value, "length", system, fine=True) for value in (fit.groove.side_mm, fit.groove.back_mm)
    )

    def right(axis: Axes) -> None:
        section.draw_ground(axis, ground)
        section.draw_pack(axis, pack, 0.0)
        section.draw_side(axis, ground, oil.height_mm, -0.7 * oil.rail_wall_mm, f"side {side}")

    def wrong(axis: Axes) -> None:
        section.draw_ground(axis, ground)
        section.draw_pack(axis, pack, -ground.land)

    return (
        Cell(
            "Oil ring: right, the expander's ends butt",
            (
                f"{feature.term[0].upper()}{feature.term[1:]}: {feature.is_it}. Strip: the expander laid flat, its "
                f"ends butting. {feature.why[0].upper()}{feature.why[1:]}.",
                f"Side clearance of the pack {side}, behind the rails {back}.",
            ),
            right,
            overlapped=False,
        ),
        Cell(
            "Oil ring: WRONG, the ends lie over each other",
            (
                "The expander is too short now and presses nothing out: the rails stand back from the wall.",
                feature.wrong,
            ),
            wrong,
            overlapped=True,
        ),
    )  # fmt: skip
