"""Distance over the crank angle as a drawing: the whole of it, and large where it matters."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from geometry.arrays import Array, Mask
from geometry.clearance.limits import Limit
from geometry.units import System, show
from viewer.paper.page import BITE, DPI, INK
from viewer.paper.page import LIGHT as GREY
from viewer.verdicts import as_assumed, source_beside

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

LINE, LIMIT = "#1f2f3d", "#b3452c"
SIZE_IN: Final = (9.0, 5.6)
UNIT_MM: Final[dict[System, float]] = {"in": 25.4, "mm": 1.0}
GROUND: Final[dict[str, Any]] = {"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 1.5}
DECIMALS: Final[dict[System, int]] = {"in": 3, "mm": 2}
FAR_LIMITS: Final = 3.0
"""How many limits above its least and its limit a distance is drawn large; farther off nobody asks how far."""
SWING: Final = 1.5
"""A limit farther below the curve than its own swing so many times is told in words, or the curve would be flat."""
FLAT_MM: Final = 0.02
"""A curve that swings less is a straight line: the search for a distance stops at about a tenth of this."""
PAD: Final = 0.18
LEAST_WIDE_DEG: Final = 30.0
WHOLE: Final = 0.6
"""From this share of the turn on, the turn is drawn large as a whole."""


@dataclass(frozen=True, slots=True)
class Window:
    """The part that is drawn large: from and to, degrees and mm; ``whole`` where that is all there is."""

    from_deg: float
    to_deg: float
    low_mm: float
    high_mm: float
    whole: bool


def window_of(crank_deg: Array, distance_mm: Array, least: tuple[float, float], limit_mm: float) -> Window:
    """Where the curve matters: about its least, so high that least and limit are told apart.

    Parameters
    ----------
    crank_deg, distance_mm : (n,) over the whole period
    least : crank angle and distance of the least point
    """
    at, lowest = least
    period_deg, top = float(crank_deg[-1]), float(distance_mm.max())
    low = min(lowest, limit_mm)
    high = max(lowest, limit_mm) + FAR_LIMITS * max(limit_mm, (limit_mm - lowest) / 2)
    if lowest - limit_mm > SWING * (min(top, high) - lowest) > SWING * FLAT_MM:
        low = lowest
    from_deg, to_deg = 0.0, period_deg
    if high < top:
        ends = _about(crank_deg, distance_mm <= high, at)
        from_deg, to_deg = ends if ends[1] - ends[0] < WHOLE * period_deg else (0.0, period_deg)
    high = min(high, top)
    room = PAD * max(high - low, FLAT_MM)
    whole = high >= top and low <= limit_mm
    return Window(from_deg, to_deg, low - room, high + room * (2.5 if high >= top else 1.0), whole)


def _about(crank_deg: Array, near: Mask, at_deg: float) -> tuple[float, float]:
    """The stretch of angles about one of them that all are near, a little wider."""
    middle = int(np.argmin(np.abs(crank_deg - at_deg)))
    off = np.nonzero(~near)[0]
    first = float(crank_deg[off[off < middle].max()]) if (off < middle).any() else float(crank_deg[0])
    last = float(crank_deg[off[off > middle].min()]) if (off > middle).any() else float(crank_deg[-1])
    more = max(LEAST_WIDE_DEG - (last - first), 0.0) / 2
    return max(first - more, 0.0), min(last + more, float(crank_deg[-1]))


def draw_curve(
    title: str,
    crank_deg: Array,
    distance_mm: Array,
    least: tuple[float, float],
    limit: Limit,
    system: System,
    assumed: str = "",
) -> Figure:
    """A matplotlib figure of a distance with its limit, its least point marked and told.

    Parameters
    ----------
    crank_deg, distance_mm : (n,) float, over the whole period
    least : crank angle and distance in mm of the least point, which may lie between two of these
    system : in whose units it is told
    assumed : how many values of the engine are assumed, in words; empty where none is
    """
    from matplotlib.figure import Figure

    figure = Figure(figsize=SIZE_IN, dpi=DPI, layout="constrained")
    window = window_of(crank_deg, distance_mm, least, limit.least_mm)
    if window.whole:
        large = figure.add_subplot()
    else:
        small, large = figure.subplots(2, 1, height_ratios=(1.0, 3.2))
        _curve(small, crank_deg, distance_mm, limit, system)
        small.set_xlim(0.0, float(crank_deg[-1]))
        small.set_xticks(_ticks(float(crank_deg[-1])))
        small.margins(y=0.12)
        small.set_title("the whole turn; framed: what is drawn large", fontsize=8, loc="left", color=GREY)
        _frame(small, window, system)
    _curve(large, crank_deg, distance_mm, limit, system)
    large.set_xlim(window.from_deg, window.to_deg)
    large.set_ylim(window.low_mm / UNIT_MM[system], window.high_mm / UNIT_MM[system])
    large.set(xlabel="crank angle, degrees", ylabel=f"distance, {system}")
    if window.to_deg - window.from_deg > 180.0:
        large.set_xticks(_ticks(float(crank_deg[-1])))
    flat = float(np.ptp(distance_mm)) < FLAT_MM
    words = least_words(least, limit, system, flat, assumed)
    _tell_least(large, least, words, limit, system)
    _tell_limit(large, window, limit, system)
    figure.suptitle(f"{title}\n{assumed}" if assumed else title, fontsize=11)
    return figure


def _ticks(period_deg: float) -> Array:
    return np.arange(0, period_deg + 1, 90 if period_deg > 400 else 45)


def _curve(axes: Axes, crank_deg: Array, distance_mm: Array, limit: Limit, system: System) -> None:
    axes.plot(crank_deg, distance_mm / UNIT_MM[system], color=LINE, linewidth=1.6)
    axes.axhline(limit.least_mm / UNIT_MM[system], color=LIMIT, linestyle="--", linewidth=1.2)
    axes.grid(alpha=0.3)
    axes.tick_params(labelsize=8)
    decimals = DECIMALS[system]
    axes.yaxis.set_major_formatter(lambda value, _: f"{value:.{decimals}f}")


def _frame(axes: Axes, window: Window, system: System) -> None:
    """The rectangle that is drawn large."""
    from matplotlib.patches import Rectangle

    unit = UNIT_MM[system]
    wide, high = window.to_deg - window.from_deg, (window.high_mm - window.low_mm) / unit
    look: dict[str, Any] = {"facecolor": GREY, "alpha": 0.25, "edgecolor": INK, "linewidth": 0.8}
    axes.add_patch(Rectangle((window.from_deg, window.low_mm / unit), wide, high, **look))


def least_words(
    least: tuple[float, float], limit: Limit, system: System, flat: bool = False, assumed: str = ""
) -> str:
    """Value and angle of the least point, and what is left of its limit or missing.

    Parameters
    ----------
    flat : the distance is the same at every angle
    assumed : how many values of the engine are assumed, in words; empty where none is
    """
    at, lowest = least
    over = lowest - limit.least_mm
    size, spare = (show(abs(value), "length", system, fine=True) for value in (lowest, over))
    where = "at every angle" if flat else f"at {at:.1f}°"
    value = f"least {size}" if lowest >= 0.0 else f"overlaps by {size}"
    left = "more than its limit" if over >= 0.0 else "short of its limit"
    return f"{value} {where}\n{as_assumed(f'{spare} {left}', assumed)}"


def _tell_least(axes: Axes, least: tuple[float, float], words: str, limit: Limit, system: System) -> None:
    """Mark the least point and write at it."""
    at, lowest = least
    colour = LINE if lowest >= limit.least_mm else BITE
    axes.plot(at, lowest / UNIT_MM[system], "o", color=colour, zorder=5)
    low, high = axes.get_xlim()
    above = float(np.clip((at - low) / (high - low), 0.2, 0.8)), 0.82
    beside: dict[str, Any] = {
        "textcoords": "axes fraction", "ha": "center", "va": "center", "fontsize": 10,
        "color": colour, "weight": "bold", "zorder": 6, "bbox": GROUND,
        "arrowprops": {"arrowstyle": "-", "color": colour, "lw": 0.8},
    }  # fmt: skip
    axes.annotate(words, (at, lowest / UNIT_MM[system]), above, **beside)


def _tell_limit(axes: Axes, window: Window, limit: Limit, system: System) -> None:
    """The limit in words at its line, or at the edge below which it lies."""
    source = source_beside(limit.source, limit.least_mm, system)
    text = f"limit {show(limit.least_mm, 'length', system, fine=True)} ({source})"
    inside = window.low_mm <= limit.least_mm <= window.high_mm
    level = limit.least_mm / UNIT_MM[system] if inside else axes.get_ylim()[0]
    if not inside:
        text += ", below this part"
    beside: dict[str, Any] = {
        "transform": axes.get_yaxis_transform(),
        "ha": "right",
        "va": "bottom",
        "bbox": GROUND,
    }
    axes.text(0.995, level, text, color=LIMIT, fontsize=9, zorder=4, **beside)
