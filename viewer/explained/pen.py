"""Fills, lines, dimensions and words of one half of an explanation: one look for all; words can be left off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, Literal

import numpy as np

from viewer.paper import lettering

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from geometry.arrays import Array

Xy = tuple[float, float]
Ground = Literal[
    "block", "crank", "piston", "rod", "cap", "ring", "second", "shell", "bolt", "head", "tool", "oil", "gas", "hot",
]  # fmt: skip

INK, FAINT, HATCH, PAPER = "#1d2329", "#7d8790", "#9aa3ab", "#ffffff"
RIGHT, WRONG, CLOSE, ACCENT = "#0d785a", "#b32a2a", "#a8640a", "#3d7f94"
"""Right and wrong are also told by their signs; the accent picks out the part that the mistake concerns."""
FILL: Final[dict[Ground, tuple[str, str]]] = {
    # ground of a cut face, and its hatch
    "block": ("#d5d9dd", "//"), "crank": ("#c9cfd5", "//"), "piston": ("#eceff1", "\\\\"), "rod": ("#dfe6ec", "\\\\"),
    "cap": ("#d3dde6", "//"), "ring": ("#b9c3cc", ""), "second": ("#7f8b97", ""), "shell": ("#d9b27e", ""),
    "bolt": ("#bfc6cd", ""),
    "head": ("#dbd7d0", "//"), "tool": ("#f0e6c8", ""), "oil": ("#c99a3f", ""), "gas": ("#f0c9b4", ""),
    "hot": ("#f3c3ad", ""),
}  # fmt: skip
WORDS_PT, SMALL_PT, EDGE_PT = 10.0, 8.5, 1.3


@dataclass(frozen=True, slots=True)
class Pen:
    """Draws in one half.

    Attributes
    ----------
    axis : of the half, in mm of the drawing (plane) or px (picture of solids)
    words : whether words, dimensions and leaders are drawn; what is seen without them must tell the story
    size : of lines and words, 1 on the sheet
    """

    axis: Axes
    words: bool = True
    size: float = 1.0

    @property
    def size_in(self) -> tuple[float, float]:
        """Width and height of the half on paper, inches."""
        box, figure = self.axis.get_position(), self.axis.get_figure(root=True)
        assert figure is not None
        wide, high = figure.get_size_inches()
        return float(box.width * wide), float(box.height * high)

    def frame(self, left: float, right: float, low: float, high: float) -> None:
        """What is seen, in mm, widened so that it fills its half; equal for both halves of a case."""
        wide_in, high_in = self.size_in
        aspect = wide_in / high_in
        dx, dy = right - left, high - low
        grow_x, grow_y = max(0.0, aspect * dy - dx) / 2, max(0.0, dx / aspect - dy) / 2
        self.axis.set_xlim(left - grow_x, right + grow_x)
        self.axis.set_ylim(low - grow_y, high + grow_y)
        self.axis.set_aspect("equal")
        self.axis.set_axis_off()

    def fill(
        self, points: Array, ground: Ground, *, accent: bool = False, hatch: bool = True, level: float = 2.0,
        edge: bool = True, alpha: float = 1.0,
    ) -> None:  # fmt: skip
        """A cut face or a body: (n, 2) corners; ``accent`` picks it out, ``level`` is what lies over what."""
        face, lines = FILL[ground]
        xy = np.asarray(points, dtype=float)
        self.axis.fill(*xy.T, facecolor=face, edgecolor="none", lw=0.0, zorder=level, alpha=alpha)
        if hatch and lines:
            self.axis.fill(*xy.T, facecolor="none", edgecolor=HATCH, hatch=lines, lw=0.0, zorder=level + 0.01)
        if edge:
            colour, width = (ACCENT, 2.2) if accent else (INK, EDGE_PT)
            closed = np.vstack([xy, xy[:1]])
            self.axis.plot(*closed.T, color=colour, lw=width * self.size, zorder=level + 0.02)

    def bite(self, points: Array, level: float = 6.0) -> None:
        """What two parts would share, or what stands where it must not: in the colour of what is wrong."""
        self.axis.fill(*np.asarray(points, dtype=float).T, facecolor=WRONG, edgecolor="none", zorder=level)

    def line(
        self,
        points: Array,
        *,
        colour: str = INK,
        width: float = EDGE_PT,
        style: Any = "-",
        level: float = 4.0,
    ) -> None:
        """An open line through (n, 2) points."""
        self.axis.plot(
            *np.asarray(points, dtype=float).T, color=colour, lw=width * self.size, ls=style, zorder=level
        )

    def circle(self, at: Xy, radius: float, ground: Ground | None = None, **look: Any) -> None:
        """A circle: filled where a ground is named, else a line."""
        turn = np.linspace(0.0, 2 * np.pi, 145)
        points = np.column_stack([at[0] + radius * np.cos(turn), at[1] + radius * np.sin(turn)])
        if ground is None:
            self.line(points, **look)
        else:
            self.fill(points[:-1], ground, **look)

    def arrow(
        self,
        start: Xy,
        end: Xy,
        *,
        both: bool = False,
        colour: str = INK,
        width: float = 1.2,
        level: float = 8.0,
    ) -> None:
        """An arrow that belongs to the drawing, words or not: a motion, a force, the path of gas."""
        props = {
            "arrowstyle": "<|-|>" if both else "-|>", "color": colour, "lw": width * self.size, "shrinkA": 0.0,
            "shrinkB": 0.0, "mutation_scale": 11.0 * self.size,
        }  # fmt: skip
        self.axis.annotate("", xy=end, xytext=start, arrowprops=props, zorder=level)

    def label(
        self, text: str, at: Xy, place: Xy | None = None, *, colour: str = INK, bold: bool = False, small: bool = False,
        ha: str = "center",
    ) -> None:  # fmt: skip
        """Words on paper, with a leader to what they name where they stand elsewhere."""
        if not self.words:
            return
        look: dict[str, Any] = {
            "fontsize": (SMALL_PT if small else WORDS_PT) * self.size, "family": lettering.FAMILY, "color": colour,
            "weight": "bold" if bold else "normal", "ha": ha, "va": "center", "zorder": 9.5,
            "bbox": {"boxstyle": "round,pad=0.2", "fc": PAPER, "ec": "none", "alpha": 0.93},
        }  # fmt: skip
        if place is None:
            self.axis.text(*at, text, **look)
            return
        leader = {"arrowstyle": "-", "color": colour, "lw": 0.9 * self.size, "shrinkA": 0.0, "shrinkB": 0.0}
        self.axis.annotate(text, xy=at, xytext=place, arrowprops=leader, **look)

    def dimension(self, a: Xy, b: Xy, text: str, place: Xy | None = None, *, colour: str = INK) -> None:
        """A dimension between two points; its words at ``place``, else beside its middle.

        Two heads that meet inside, or from outside where there is no room for them.
        """
        if not self.words:
            return
        ends = self.axis.transData.transform(np.array([a, b]))
        room_pt = float(np.hypot(*(ends[1] - ends[0]))) * 72.0 / self.axis.figure.dpi
        if room_pt > 26.0 * self.size:
            self.arrow(a, b, both=True, colour=colour, width=1.0, level=9.0)
        else:
            way = np.array(b, dtype=float) - np.array(a, dtype=float)
            span = float(np.hypot(*way)) or 1.0
            reach = way / span * span * (24.0 * self.size / max(room_pt, 0.6))
            for tip, tail in ((np.array(a), np.array(a) - reach), (np.array(b), np.array(b) + reach)):
                self.arrow(
                    (float(tail[0]), float(tail[1])),
                    (float(tip[0]), float(tip[1])),
                    colour=colour,
                    width=1.0,
                    level=9.0,
                )
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        self.label(text, middle, place, colour=colour, bold=True)
