"""A picture at its true size on paper: lines, faces, arrows and words in millimetres, written as SVG with its words."""

from __future__ import annotations

from dataclasses import dataclass
from io import StringIO
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from viewer.paper.lettering import FAMILY
from viewer.paper.page import HATCH, INK, LIGHT
from viewer.sheet.content import VectorPicture

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from geometry.arrays import Array

Xy = tuple[float, float]
MM_IN: Final = 1 / 25.4
NAME_PT, NUMBER_PT = 9.0, 11.0
"""Least size of a name and of a number on a picture: read at arm's length."""
PAPER, PART, OTHER, DARK = "#ffffff", "#e6e9ec", "#f4f5f7", "#b3b9c0"
"""Grounds: of what this page is about, of what stands beside it, and of what is small and must be found."""


@dataclass(frozen=True, slots=True)
class PaperDrawing:
    """A picture being drawn; lengths in mm of paper from its lower left corner.

    Attributes
    ----------
    figure, axis : of matplotlib; the axis fills the figure, one unit a millimetre
    """

    figure: Figure
    axis: Axes

    @property
    def wide_mm(self) -> float:
        """Width of the picture."""
        return float(self.axis.get_xlim()[1])

    def face(
        self, points: Array, fill: str = PART, *, hatch: str = "", edge: str = INK, line_pt: float = 1.1,
        level: float = 2.0,
    ) -> None:  # fmt: skip
        """A face (n, 2) with its outline."""
        xy = np.asarray(points, dtype=float)
        self.axis.fill(*xy.T, facecolor=fill, edgecolor=LIGHT, lw=0.0, hatch=hatch, zorder=level)
        if line_pt:
            self.line(np.vstack([xy, xy[:1]]), edge, line_pt, level=level + 0.02)

    def line(
        self, points: Array, colour: str = INK, line_pt: float = 1.1, style: Any = "-", level: float = 4.0
    ) -> None:
        """A line through (n, 2)."""
        self.axis.plot(*np.asarray(points, dtype=float).T, color=colour, lw=line_pt, ls=style, zorder=level)

    def disc(self, at: Xy, radius: float, fill: str | None = None, **look: Any) -> None:
        """A disc, or a circle where it has no fill."""
        points = np.asarray(at) + radius * turned(np.linspace(0.0, 360.0, 121))
        if fill is None:
            self.line(points, **look)
        else:
            self.face(points[:-1], fill, **look)

    def arrow(self, start: Xy, end: Xy, line_pt: float = 1.6, size: float = 12.0, level: float = 8.0) -> None:
        """An arrow that belongs to the picture, words or not."""
        props = {
            "arrowstyle": "-|>", "color": INK, "lw": line_pt, "shrinkA": 0.0, "shrinkB": 0.0, "mutation_scale": size,
        }  # fmt: skip
        self.axis.annotate("", xy=end, xytext=start, arrowprops=props, zorder=level)

    def words(
        self, text: str, at: Xy, size_pt: float = NAME_PT, *, bold: bool = False, to: Xy | None = None, **look: Any
    ) -> None:  # fmt: skip
        """Words on a white ground, with a line to what they name where they stand elsewhere."""
        options: dict[str, Any] = {
            "fontsize": size_pt, "color": INK, "ha": "center", "va": "center", "zorder": 9.5, "family": FAMILY,
            "weight": "bold" if bold else "normal", "linespacing": 1.1,
            "bbox": {"boxstyle": "square,pad=0.12", "fc": PAPER, "ec": "none"},
        } | look  # fmt: skip
        if to is not None:
            self.line(np.array([at, to]), HATCH, 0.8, level=9.0)
            self.axis.plot(*to, marker="o", ms=2.2, color=HATCH, zorder=9.1)
        self.axis.text(*at, text, **options)

    def done(self, said: str, caption: str = "") -> VectorPicture:
        """The picture as it stands, with what it shows in words."""
        import matplotlib as mpl

        out = StringIO()
        with mpl.rc_context({"svg.fonttype": "none", "svg.hashsalt": "sheet"}):
            self.figure.savefig(out, format="svg", metadata={"Date": None})
        return VectorPicture(out.getvalue(), float(self.figure.get_size_inches()[0]) / MM_IN, said, caption)


def blank(wide_mm: float, high_mm: float) -> PaperDrawing:
    """An empty picture."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(wide_mm * MM_IN, high_mm * MM_IN), facecolor="none")
    axis = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axis.set_axis_off()
    axis.set_xlim(0.0, wide_mm)
    axis.set_ylim(0.0, high_mm)
    return PaperDrawing(figure, axis)


def turned(clockwise_deg: Any) -> Array:
    """Unit vectors (n, 2) at angles that run clockwise from upright."""
    angle = np.radians(np.asarray(clockwise_deg, dtype=float))
    return np.column_stack([np.sin(angle), np.cos(angle)])


def box(left: float, right: float, low: float, high: float) -> Array:
    """Corners (4, 2) of a rectangle."""
    return np.array([[left, low], [right, low], [right, high], [left, high]])
