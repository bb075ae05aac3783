"""The notch or flat that restores a limit, at its true size: to print, cut out and hold against bore or bolt.

The sheet is one axes in millimetres on paper, so that nothing on it can be out of scale by itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from geometry.assembly import Assembly
from geometry.checks.notch import wall_mm
from geometry.checks.relief import CAUTION, Reliefs
from geometry.clearance.limits import limit_for
from geometry.clearance.relief import FlatRelief, NotchRelief
from geometry.clearance.template import NotchPlace, notch_places
from geometry.clearance.words import bore_of
from geometry.units import System, show
from viewer.paper import page as paper
from viewer.paper.lettering import FAMILY, wrapped
from viewer.verdicts import as_assumed, source_beside

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SHEET_MM: Final[dict[System, tuple[float, float]]] = {"in": (279.4, 215.9), "mm": (297.0, 210.0)}
"""The usual sheet where lengths are told in these units, lying."""
EDGE_MM: Final = 12.0
BARS_MM: Final = (100.0, 101.6)
"""100 mm and 4 in."""
CARD_MM, OVER_MM, UNDER_MM, APART_MM = 20.0, 24.0, 15.0, 14.0
"""Paper beside and over a notch, room for its dimensions under the card, and between two cards."""
PLAN_MM: Final = 11.0
"""Radius of the bore in the little plan beside a card."""
SECTION_MM: Final = 20.0
"""How much of the wall is drawn over a notch in its section."""
POINT_MM: Final = 25.4 / 72
CUT: Final[dict[str, Any]] = {"color": paper.INK, "lw": 0.7, "solid_joinstyle": "miter"}
AWAY: Final[dict[str, Any]] = {"facecolor": "#f6dcd6", "edgecolor": paper.BITE, "hatch": "////", "lw": 0.0}


def draw_template(assembly: Assembly, reliefs: Reliefs, system: System, assumed: str = "") -> Figure | None:
    """A matplotlib figure of the sheet; None where nothing that could be ground off restores the limit.

    Parameters
    ----------
    assumed : how many values of the engine are assumed, in words; empty where none is
    """
    if reliefs.notch is None and not reliefs.flats:
        return None
    from matplotlib.figure import Figure

    places = notch_places(assembly, reliefs.notch) if reliefs.notch is not None else ()
    wide, high = SHEET_MM[system]
    room = wide / 2 - EDGE_MM - 2 * PLAN_MM - APART_MM
    columns = 1 if any(_card_mm(place)[1] > room for place in places) else 2
    wide = max([wide, *(_card_mm(place)[1] + 2 * (EDGE_MM + PLAN_MM) + APART_MM for place in places)])
    rows = -(-len(places) // columns)
    card = UNDER_MM + APART_MM + OVER_MM + (reliefs.notch.height_mm if reliefs.notch is not None else 0.0)
    high = max(high, rows * card + 128.0)
    figure = Figure(figsize=(wide / 25.4, high / 25.4), dpi=paper.DPI)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set(xlim=(0.0, wide), ylim=(0.0, high))
    axes.set_axis_off()
    top = _head(axes, assembly, reliefs, system, assumed, high)
    for number, place in enumerate(places):
        assert reliefs.notch is not None
        left = EDGE_MM + (number % columns) * (wide / 2 - EDGE_MM / 2)
        low = top - (number // columns + 1) * card + UNDER_MM
        radius = assembly.design(place.bores[0]).block.bore.diameter_mm / 2
        _card(axes, place, reliefs.notch, radius, (left, low), system)
    _foot(axes, assembly, reliefs, system, assumed)
    return figure


def _card_mm(place: NotchPlace) -> tuple[float, float]:
    """How far a card reaches left of the middle of the bore's side, and how wide it is."""
    low, high = place.seen_mm
    left = max(-low, 0.0) + CARD_MM
    return left, left + max(high, 0.0) + CARD_MM


def _text(axes: Axes, at: tuple[float, float], text: str, size_pt: float = 8.5, **look: Any) -> None:
    options: dict[str, Any] = {"va": "top", "family": FAMILY, "color": paper.INK, "linespacing": 1.2} | look
    axes.text(*at, text, fontsize=size_pt, **options)


def _head(
    axes: Axes, assembly: Assembly, reliefs: Reliefs, system: System, assumed: str, high_mm: float
) -> float:
    """Title, what it restores and cautions; gives the level below them."""
    top, room_in = high_mm - EDGE_MM, (axes.get_xlim()[1] - 2 * EDGE_MM) / 25.4
    title = f"{assembly.spec.engine.name}: what to grind off, true size"
    _text(axes, (EDGE_MM, top), title, 14, weight="bold")
    limit = limit_for(assembly.spec, "rod_to_block")
    source = source_beside(limit.source, reliefs.limit_mm, system)
    least = f"at least {show(reliefs.limit_mm, 'length', system, fine=True)} ({source})"
    said = [
        "Print at 100 %, never fitted to the page, and measure both bars at the foot before anything is cut.",
        f"A template shows where to begin, not when to stop: {least} is wanted at every rod and bolt.",
        f"{CAUTION} Simplified model: never replaces a physical check.{f' {assumed}.' if assumed else ''}",
    ]
    bores = sorted({bore for wall in reliefs.walls if (bore := bore_of(wall.wall)) is not None})
    if bores:
        short = as_assumed("Short of its limit today", assumed)
        said.insert(1, f"{short}: the bottom of bore {', '.join(map(str, bores))}.")
    lines = [line for text in said for line in wrapped(text, 8.5, room_in)]
    _text(axes, (EDGE_MM, top - 8.0), "\n".join(lines))
    return top - 8.0 - 8.5 * 1.45 * POINT_MM * len(lines)


def _card(
    axes: Axes,
    place: NotchPlace,
    notch: NotchRelief,
    radius_mm: float,
    at_mm: tuple[float, float],
    system: System,
) -> None:
    """The strip of paper that goes into the bore, its lower edge at the lower edge of the bore."""
    reach, wide = _card_mm(place)
    left, low = at_mm
    middle, high = left + reach, notch.height_mm
    start, end = (middle + s for s in place.seen_mm)
    top = low + high + OVER_MM
    _text(axes, (left, top + 6.0), _where(place, notch), 9.0, weight="bold")
    axes.fill([start, end, end, start], [low, low, low + high, low + high], **AWAY)
    outline = [(left, low), (start, low), (start, low + high), (end, low + high), (end, low)]
    outline += [(left + wide, low), (left + wide, top), (left, top), (left, low)]
    axes.plot(*np.array(outline).T, **CUT)
    axes.plot([middle, middle], [low, top], color=paper.HATCH, lw=0.6, dashes=(8, 3, 2, 3))
    side = -1.0 if wide - reach < 28.0 else 1.0
    look: dict[str, Any] = {"color": paper.HATCH, "ha": "right" if side < 0 else "left"}
    _text(axes, (middle + side, top - 1.0), "middle of this side", 6.5, **look)
    _front(axes, place, (left, left + wide), low + high + 14.0)
    _text(axes, (left + 1.0, low + high + 7.0), "lower edge flush with bottom of bore", 6.5)
    near, far = sorted((start, end), key=lambda x: abs(x - middle))
    for level, ends in ((3.0, (near, far)), (7.5, (middle, near)), (12.0, (middle, far))):
        _dimension(axes, ends, low - level, system)
    paper.arrow(axes, (end + 2.0, low), (end + 2.0, low + high), both=True, lw=0.6, size=0.8)
    beside: dict[str, Any] = {"va": "center", "bbox": {"fc": "white", "ec": "none", "pad": 0.4}}
    _text(axes, (end + 3.0, low + high / 2), f"{show(high, 'length', system)} high", 6.5, **beside)
    _plan(axes, place, radius_mm, (left + wide + PLAN_MM + 8.0, low + PLAN_MM + 4.0))


def _plan(axes: Axes, place: NotchPlace, radius_mm: float, centre: tuple[float, float]) -> None:
    """The bore from above, front up, and where in it the notch is; not to scale."""
    turn = np.linspace(0.0, 2 * np.pi, 121)
    middle = np.array(centre)[:, None]
    axes.plot(*(middle + PLAN_MM * np.array([np.cos(turn), np.sin(turn)])), color=paper.INK, lw=0.8)
    # rolled off the wall towards the rear, which is down here
    arc = -np.linspace(place.from_mm, place.to_mm, 30) / radius_mm
    hand = 1.0 if place.right else -1.0
    notch = PLAN_MM * np.array([hand * np.cos(arc), np.sin(arc)])
    axes.plot(*(middle + notch), color=paper.BITE, lw=4.0, solid_capstyle="butt")
    paper.arrow(axes, (centre[0], centre[1] + 1.0), (centre[0], centre[1] + PLAN_MM - 2.0), lw=1.0)
    _text(axes, (centre[0], centre[1] - 0.5), "front", 7.0, ha="center")
    above = (centre[0], centre[1] + PLAN_MM + 3.5)
    _text(axes, above, "from above, not to scale", 6.0, ha="center")


def _where(place: NotchPlace, notch: NotchRelief) -> str:
    """Which bores, which side of them."""
    bores = f"Bore{'s' if len(place.bores) > 1 else ''} {', '.join(map(str, place.bores))}"
    hand, other = ("right", "left") if place.right else ("left", "right")
    if notch.sides == "both":
        return f"{bores}: {hand} side as seen from the rear, and the {other} one too"
    if notch.sides in ("major", "minor"):
        return f"{bores}: {hand} side as seen from the rear ({notch.sides} thrust side)"
    return f"{bores}: {notch.sides} ({hand} as seen from the rear)"


def _front(axes: Axes, place: NotchPlace, ends: tuple[float, float], level: float) -> None:
    """Which way the front is: on the left hand of who looks at the right side from within the bore."""
    low, high = ends
    if place.right:
        paper.arrow(axes, (low + 17.0, level), (low + 2.0, level), lw=1.2)
        _text(axes, (low + 18.0, level), "FRONT", 8.0, va="center", weight="bold")
    else:
        paper.arrow(axes, (high - 17.0, level), (high - 2.0, level), lw=1.2)
        _text(axes, (high - 18.0, level), "FRONT", 8.0, va="center", ha="right", weight="bold")


def _dimension(axes: Axes, ends: tuple[float, float], level: float, system: System) -> None:
    """A length along the wall, told beside its line."""
    low, high = sorted(ends)
    if high - low < 0.05:
        return
    paper.arrow(axes, (low, level), (high, level), both=True, lw=0.6, size=0.8)
    said = f"{show(high - low, 'length', system)} along the wall"
    _text(axes, (high + 1.0, level), said, 6.5, va="center")


def _foot(axes: Axes, assembly: Assembly, reliefs: Reliefs, system: System, assumed: str) -> None:
    """Section of the notch, flats of the bolts, and the bars that tell whether the sheet came out true."""
    left, low, certified = EDGE_MM, 40.0, as_assumed("certified", assumed)
    if reliefs.notch is not None:
        left = _section(axes, reliefs.notch, wall_mm(assembly.spec), (left, low), system, certified)
    for flat in reliefs.flats:
        head = f"{'A' if reliefs.notch is None else 'Or a'} flat on each bolt {flat.place}"
        left = _flat(axes, flat, head, (left, low), system, certified)
    for level, length, text in ((20.0, BARS_MM[0], "100 mm"), (13.0, BARS_MM[1], "4 in")):
        axes.plot([EDGE_MM, EDGE_MM + length], [level, level], color=paper.INK, lw=1.0, solid_capstyle="butt")
        for end in (EDGE_MM, EDGE_MM + length):
            axes.plot([end, end], [level - 1.5, level + 1.5], color=paper.INK, lw=0.5)
        _text(axes, (EDGE_MM + length + 2.0, level), f"{text}: measure it", 8.0, va="center")


def _section(
    axes: Axes, notch: NotchRelief, wall: float, at_mm: tuple[float, float], system: System, certified: str
) -> float:
    """Section through the middle of a notch, seen along the wall; gives where the next drawing may begin."""
    left, low = at_mm
    depth, high = min(notch.depth_mm, wall), notch.height_mm
    top = low + high + SECTION_MM
    axes.fill([left, left + depth, left + depth, left], [low, low, low + high, low + high], **AWAY)
    whole = [(left, low + high), (left + depth, low + high), (left + depth, low), (left + wall, low)]
    whole += [(left + wall, top), (left, top)]
    axes.fill(*np.array(whole).T, facecolor=paper.OTHER, edgecolor=paper.INK, hatch="\\\\\\", lw=0.7)
    said = f"{show(notch.wall_mm, 'length', system)} of wall left"
    if notch.wall_mm <= 0.0:
        said = "goes right through the wall"
    lines = [
        f"deep {show(notch.depth_mm, 'length', system)}",
        f"high {show(notch.height_mm, 'length', system)}",
        f"wide along the crank {show(notch.width_mm, 'length', system)}",
        said,
        f"leaves {show(notch.floor_mm, 'length', system, fine=True)}, {certified}, with the notch in every bore",
    ]
    beside = left + wall + 4.0
    lines = [part for line in lines for part in wrapped(line, 8.0, 62.0 / 25.4)]
    _text(axes, (left, top + 6.0), "Section through the wall, bore to the left", 9.0, weight="bold")
    _text(axes, (beside, top), "\n".join(lines), 8.0)
    return beside + 74.0


def _flat(
    axes: Axes, flat: FlatRelief, head: str, at_mm: tuple[float, float], system: System, certified: str
) -> float:
    """The circle round a bolt's head or nut, and what comes off its outer side."""
    left, low = at_mm
    radius = flat.left_mm + flat.depth_mm
    centre = np.array([left + radius, low + radius])
    turn = np.linspace(0.0, 2 * np.pi, 181)
    axes.plot(*(centre[:, None] + radius * np.array([np.cos(turn), np.sin(turn)])), **CUT)
    half = np.arccos(flat.left_mm / radius)
    arc = np.linspace(-half, half, 60)
    axes.fill(*(centre[:, None] + radius * np.array([np.cos(arc), np.sin(arc)])), **AWAY)
    cut = centre[0] + flat.left_mm
    chord = radius * np.sin(half)
    axes.plot([cut, cut], [centre[1] - chord, centre[1] + chord], **CUT)
    axes.plot(*centre, "+", color=paper.INK, markersize=8)
    lines = [
        f"{show(flat.depth_mm, 'length', system)} off the side away from the rod",
        f"{show(flat.left_mm, 'length', system)} left from the axis",
        f"leaves {show(flat.floor_mm, 'length', system, fine=True)}, {certified}",
    ]
    lines = [part for line in lines for part in wrapped(line, 8.0, 45.0 / 25.4)]
    _text(axes, (left, low + 2 * radius + 7.0), head, 9.0, weight="bold")
    _text(axes, (left + 2 * radius + 4.0, low + 2 * radius), "\n".join(lines), 8.0)
    return left + 2 * radius + 58.0
