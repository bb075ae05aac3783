"""The section across the crank at one bore with the sweep of rod, cap and bolts as an onion skin, to scale."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from geometry.arrays import Array
from geometry.checks.clearances import Clearance
from geometry.clearance.words import ordered, place_words
from geometry.units import System, show
from viewer.paper import page as paper
from viewer.paper.lettering import line_in, wrapped, write
from viewer.scene.sweep import (
    BITE,
    SIDEWAYS_DEG,
    STEP_DEG,
    SWEPT,
    CutShape,
    Outlines,
    SweptSection,
    SweptSkin,
    ends_of,
)
from viewer.verdicts import as_assumed, source_beside

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SHEET_IN: Final = (10.6, 7.9)
"""Prints at its true size on either usual sheet of paper, lying."""
MAIN_IN: Final = (0.25, 0.62, 6.75, 6.35)
"""Left, bottom, width and height of the whole section."""
BARS_IN: Final = (2.75, 0.27, 4.25, 0.3)
SIDE_IN, SIDE_WIDE_IN, SIDE_HIGH_IN, MOST_IN = 7.2, 3.15, 6.3, 3.1
ABOVE: Final = ("crank", "piston_pin", *SWEPT)
"""Drawn over the skins."""
SCALES: Final = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 7.5, 10.0)
CLOSER: Final = (10.0, 5.0, 4.0, 3.0, 2.0, 1.0)
GAP_IN: Final = 0.45
"""The widest that gap or limit is drawn close up."""
MARGIN_MM: Final = 14.0
GLOW: Final = "#d9442f"
SKIN: Final = "#44525f"
OFF_PLANE_MM: Final = 0.5
LOOKS: Final[dict[str, dict[str, Any]]] = {
    "block": {"facecolor": "#e6e2dc", "hatch": "///"},
    "main_cap": {"facecolor": "#e6e2dc", "hatch": "///"},
    "head": {"facecolor": "#f0f1f0", "hatch": "\\\\"},
    "cam": {"facecolor": "#d8dcd6", "hatch": "xxx"},
    "crank": {"facecolor": "#eceef0"},
    "piston": {"facecolor": "#f1f2f4"},
    "piston_pin": {"facecolor": "#e4e7ea"},
    BITE: {"facecolor": paper.BITE},
    "rod": {"facecolor": "#b9c7d2"},
    "rod_cap": {"facecolor": "#a9bac7"},
    "rod_bolt": {"facecolor": "#8fa3b3"},
}


def draw_sweep(sweep: SweptSection, name: str, system: System, assumed: str = "") -> Figure:
    """A matplotlib figure of the section, its close places larger beside it.

    Parameters
    ----------
    name : of the engine
    assumed : how many of its values are assumed, in words; empty where none is
    """
    from matplotlib.figure import Figure

    figure = Figure(figsize=SHEET_IN, dpi=paper.DPI)
    write(figure, 0.25, 7.72, f"{name}: all that rod, cap and bolts of bore {sweep.bore} sweep", 14, weight="bold",
          color=paper.INK)  # fmt: skip
    write(figure, 0.25, 7.44, _plane_words(sweep, system), 9.0, color=paper.HATCH)
    main = _axes(figure, MAIN_IN)
    scale, middle = _fit(sweep)
    _show(main, middle, MAIN_IN[2:], scale)
    _draw(main, sweep, 0)
    _mark(main, sweep)
    write(figure, 0.25, 0.5, f"Scale 1 : {scale:g} on paper at 100 %", 9.0, color=paper.INK)
    _bars(figure, scale)
    for number, place in enumerate(sweep.places):
        _close_up(figure, sweep, number, place, system, assumed)
    below = 7.05 - _each_in(sweep) * len(sweep.places)
    write(figure, SIDE_IN, below, _rest(sweep, system, assumed), 8.5, color=paper.HATCH)
    foot = f"Simplified model: never replaces a physical check.{f' {assumed}.' if assumed else ''}"
    write(figure, 0.25, 0.27, foot, 8.5, color=paper.HATCH)
    return figure


def _each_in(sweep: SweptSection) -> float:
    """Height that each close place has beside the section."""
    return min(MOST_IN, SIDE_HIGH_IN / max(len(sweep.places), 1))


def _plane_words(sweep: SweptSection, system: System) -> str:
    off = sweep.x_mm - sweep.middle_mm
    where = "through the middle of the rod"
    if abs(off) > OFF_PLANE_MM:
        way = "behind" if off > 0 else "before"
        where = f"{show(abs(off), 'length', system)} {way} the middle of the rod"
    at = sweep.places[0].near.approach.crank_deg if sweep.places else SIDEWAYS_DEG
    return (
        f"Section across the crank {where}, seen from the front. One line every {STEP_DEG:g}°; parts drawn solid "
        f"stand at {_angle(at)}."
    )


def _said(place: Clearance, sweep: SweptSection, system: System, assumed: str) -> str:
    """Distance, limit with its source, verdict, and how far from the section the place lies."""
    near, limit = place.near.approach, place.limit
    source = source_beside(limit.source, limit.least_mm, system)
    least = f"at least {show(limit.least_mm, 'length', system, fine=True)} ({source})"
    over = show(abs(place.spare_mm), "length", system, fine=True)
    words = f"{show(abs(near.min_mm), 'length', system, fine=True)}"
    said = {
        "clear": f"{words}; {least}: {as_assumed(f'{over} more than that', assumed)}",
        "close": f"{words}; {least}: {as_assumed(f'short by {over}', assumed)}",
        "touches": f"{as_assumed('touches', assumed)}; {least}",
        "overlaps": f"{as_assumed(f'goes {words} into it', assumed)}; {least}",
    }[place.verdict]
    off = float(ends_of(place)[0][0]) - sweep.x_mm
    if abs(off) > OFF_PLANE_MM:
        said += f"; {show(abs(off), 'length', system)} {'behind' if off > 0 else 'before'} this section"
    return f"At {_angle(near.crank_deg)}: {said}."


def _angle(crank_deg: float) -> str:
    return f"{crank_deg:.0f}°"


def _rest(sweep: SweptSection, system: System, assumed: str) -> str:
    """What is to be said of all that is not among the places, and what the colours mean."""
    least = show(sweep.never_nearer_mm, "length", system) if np.isfinite(sweep.never_nearer_mm) else ""
    proved = as_assumed("proved", assumed)
    lines = [f"Nothing that these could strike comes nearer than {least} ({proved})."] if least else []
    if sweep.places:
        lines = [f"All else that these could strike stays {least} or more away ({proved})."] if least else []
        if any(sweep.never_nearer_mm < place.limit.least_mm for place in sweep.places):
            lines = [f"{as_assumed('More than these is within its limit', assumed)}: check lists it all."]
        lines.append(f"{as_assumed('Glowing: within the limit', assumed)}. Shaded strip: must stay free.")
    return "\n".join(line for text in lines for line in wrapped(text, 8.5, SIDE_WIDE_IN))


def seen(points_mm: Array) -> Array:
    """(y, z) of E as seen from the front: right in the picture is the engine's left."""
    return np.asarray(points_mm * [-1.0, 1.0])


def _axes(figure: Figure, box_in: Sequence[float]) -> Axes:
    wide, high = SHEET_IN
    left, low, across, up = box_in
    axes = figure.add_axes((left / wide, low / high, across / wide, up / high))
    axes.set(xticks=[], yticks=[])
    for side in axes.spines.values():
        side.set(color=paper.LIGHT, linewidth=0.6)
    return axes


def _show(axes: Axes, middle: Array, size_in: Sequence[float], scale: float) -> None:
    """Let an axes show its part of the section, so many millimetres to one on paper."""
    half = np.array(size_in) * 25.4 * scale / 2
    axes.set_xlim(middle[0] - half[0], middle[0] + half[0])
    axes.set_ylim(middle[1] - half[1], middle[1] + half[1])


def _fit(sweep: SweptSection) -> tuple[float, Array]:
    """The scale at which all of the sweep is seen, and its middle."""
    points = seen(np.vstack([rim for skin in sweep.skins for rim in skin.outlines]))
    low, high = points.min(axis=0) - MARGIN_MM, points.max(axis=0) + MARGIN_MM
    wanted = float(((high - low) / (np.array(MAIN_IN[2:]) * 25.4)).max())
    return next((scale for scale in SCALES if scale >= wanted), np.ceil(wanted)), (low + high) / 2


def _draw(axes: Axes, sweep: SweptSection, number: int, fine: float = 1.0) -> None:
    """The section with its moving parts where they stand at one of the places."""
    from matplotlib.collections import LineCollection

    for shape in sweep.shapes[number]:
        _fill(axes, shape, 7.0 if shape.kind == BITE else 5.0 if shape.kind in ABOVE else 1.0, fine)
    lines = [seen(rim) for skin in sweep.skins for rim in skin.outlines]
    axes.add_collection(LineCollection(lines, colors=SKIN, linewidths=0.3 * fine, alpha=0.45, zorder=4))
    _glow(axes, sweep.skins, fine)


def _fill(axes: Axes, shape: CutShape, order: float, fine: float) -> None:
    from matplotlib.patches import PathPatch

    if shape.band:
        band: dict[str, Any] = {"facecolor": GLOW, "edgecolor": "none", "alpha": 0.16, "zorder": 3.0}
        axes.add_patch(PathPatch(_path(shape.band), **band))
    look: dict[str, Any] = {"facecolor": "#eeeeec"} | LOOKS.get(shape.kind, {})
    if shape.outlines:
        path = _path(shape.outlines)
        hatched = {"hatch": look.pop("hatch", None), "edgecolor": paper.LIGHT, "linewidth": 0.0}
        axes.add_patch(PathPatch(path, zorder=order, **look, **hatched))
        edge: dict[str, Any] = {"facecolor": "none", "edgecolor": paper.INK, "linewidth": 0.9 * fine}
        axes.add_patch(PathPatch(path, zorder=order + 0.5, **edge))


def _path(outlines: Outlines) -> Any:
    from matplotlib.path import Path

    return Path.make_compound_path(*[Path(seen(np.vstack([o, o[:1]])), closed=True) for o in outlines])


def _glow(axes: Axes, skins: Sequence[SweptSkin], fine: float) -> None:
    """The stretches of the skins that are within a limit, the nearer the stronger."""
    from matplotlib.collections import LineCollection
    from matplotlib.colors import to_rgba

    pieces, colours = [], []
    for skin in skins:
        for rim, strength in zip(skin.outlines, skin.strengths, strict=True):
            lit = np.nonzero(strength[:-1] * strength[1:] > 0.0)[0]
            pieces += [seen(rim[k : k + 2]) for k in lit]
            colours += [to_rgba(GLOW, 0.25 + 0.75 * float(strength[k])) for k in lit]
    if pieces:
        for wide, alpha in ((5.0, 0.10), (1.1, 1.0)):
            rgba = [(r, g, b, a * alpha) for r, g, b, a in colours]
            axes.add_collection(LineCollection(pieces, colors=rgba, linewidths=wide * fine, zorder=8))


def _mark(axes: Axes, sweep: SweptSection) -> None:
    """Crank and cam centres, and the number of each close place."""
    axes.plot(0.0, 0.0, "+", color=paper.INK, markersize=9, zorder=9)
    spots = [seen((ends_of(place)[0] + ends_of(place)[1])[1:] / 2) for place in sweep.places]
    for number, (spot, aside) in enumerate(zip(spots, _asides(spots, axes), strict=True)):
        look = {"weight": "bold", "fontsize": 10, "color": _colour(sweep.places[number])}
        paper.label(axes, str(number + 1), tuple(spot), tuple(aside), **look)


def _asides(spots: Sequence[Array], axes: Axes) -> list[Array]:
    """Places for numbers: outwards from the middle of the picture, still in it, none over another."""
    low, high = (np.array(ends) for ends in zip(axes.get_xlim(), axes.get_ylim(), strict=True))
    size = high - low
    room = 0.05 * float(size[1])
    found: list[Array] = []
    for at in spots:
        way = at - (low + high) / 2
        way /= max(float(np.linalg.norm(way)), 1e-9)
        aside = np.clip(at + 0.085 * size.min() * way, low + 0.03 * size, high - 0.03 * size)
        while any(np.linalg.norm(aside - other) < room for other in found):
            aside = aside + [0.0, room / 2 if aside[1] < high[1] - 2 * room else -room]
        found.append(aside)
    return found


def _colour(place: Clearance) -> str:
    return paper.INK if place.verdict == "clear" else paper.BITE


def _bars(figure: Figure, scale: float) -> None:
    """Bars of 50 mm and 2 in, to measure whether the sheet was printed at its size."""
    axes = _axes(figure, BARS_IN)
    axes.set_axis_off()
    _show(axes, np.zeros(2), BARS_IN[2:], scale)
    left, high = axes.get_xlim()[0], axes.get_ylim()[1]
    for level, (length, text) in ((0.45, (50.0, "50 mm")), (-0.45, (50.8, "2 in"))):
        ends = np.array([2.0 * scale, 2.0 * scale + length]) + left
        axes.plot(ends, [level * high] * 2, "|-", color=paper.INK, lw=1.2, markersize=5)
        axes.text(ends[1] + 2.0 * scale, level * high, text, fontsize=8, va="center", color=paper.INK)


def _close_up(
    figure: Figure, sweep: SweptSection, number: int, place: Clearance, system: System, assumed: str
) -> None:
    """One close place, larger, its gap dimensioned."""
    top = 7.05 - _each_in(sweep) * number
    near, limit = place.near.approach, place.limit
    a, b = ordered(place.near.pair)
    words = wrapped(f"{number + 1}  {place_words(a)} to {place_words(b)}", 9.0, SIDE_WIDE_IN, bold=True)[:2]
    write(figure, SIDE_IN, top, "\n".join(words), 9.0, color=_colour(place), weight="bold")
    said = wrapped(_said(place, sweep, system, assumed), 8.5, SIDE_WIDE_IN)
    below = top - line_in(9.0) * len(words)
    write(figure, SIDE_IN, below, "\n".join(said), 8.5, color=_colour(place))
    low = top - _each_in(sweep) + 0.16
    high = below - line_in(8.5) * len(said) - 0.05 - low
    axes = _axes(figure, (SIDE_IN, low, SIDE_WIDE_IN, high))
    first, second = (seen(end[1:]) for end in ends_of(place))
    largest = max(abs(near.min_mm), limit.least_mm) / 25.4
    scale = next((s for s in CLOSER if s * largest <= GAP_IN), 1.0)
    _show(axes, (first + second) / 2, (SIDE_WIDE_IN, high), 1.0 / scale)
    _draw(axes, sweep, number, fine=1.2)
    if near.min_mm > 0.0:  # where they overlap there is no line to draw, and the bite shows
        paper.arrow(axes, tuple(first), tuple(second), both=True, lw=1.4, zorder=10)
    beside: dict[str, Any] = {"transform": axes.transAxes, "fontsize": 8, "ha": "right", "va": "bottom"}
    axes.text(0.985, 0.03, f"{scale:g} : 1, at {_angle(near.crank_deg)}", zorder=11, **beside,
              bbox={"fc": "white", "ec": "none", "alpha": 0.85, "pad": 1.5})  # fmt: skip
