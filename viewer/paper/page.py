"""What every section drawing shares: two panels on paper, dimensions, and the way to a file."""

from __future__ import annotations

import os
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from viewer.output import output_place, write_whole
from viewer.paper import lettering
from viewer.paper.lettering import line_in, wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INK, LIGHT, HATCH = "#15191e", "#8a929b", "#55606c"
STEEL, SHELL, OTHER = "#d9dde2", "#b3b9c0", "#eef0f3"
BITE = "#c2352b"
SIZE_IN = (12.0, 6.6)
DPI = 150
FOOT_PT, FOOT_IN = 8.5, 0.0792
"""Size of the words at the foot of a sheet of sections, and how far they stand from its edge."""
LABEL: dict[str, Any] = {
    "fontsize": 9.5, "color": INK, "ha": "center", "va": "center", "zorder": 9, "family": lettering.FAMILY,
    "bbox": {"boxstyle": "round,pad=0.18", "fc": "white", "ec": "none", "alpha": 0.92},
}  # fmt: skip
ENDINGS = (".png", ".svg", ".pdf", ".jpg", ".jpeg")


def two_panels(title: str, heads: tuple[str, str]) -> tuple[Figure, tuple[Axes, Axes]]:
    """A sheet with two drawings of one scale, each under its head."""
    from matplotlib.figure import Figure
    from matplotlib.layout_engine import ConstrainedLayoutEngine

    layout = ConstrainedLayoutEngine(rect=(0.01, 0.045, 0.98, 0.945))
    figure = Figure(figsize=SIZE_IN, dpi=DPI, layout=layout)
    axes = figure.subplots(1, 2)
    figure.suptitle(title, fontsize=13, color=INK)
    for axis, head in zip(axes, heads, strict=True):
        axis.set_aspect("equal")
        axis.set_axis_off()
        axis.set_title(head, fontsize=12, color=INK, weight="bold")
    return figure, (axes[0], axes[1])


def foot(figure: Figure, text: str) -> None:
    """Words at the bottom of the sheet, broken where they are wider than it."""
    lines = wrapped(text, FOOT_PT, SIZE_IN[0] - 2 * FOOT_IN)
    for number, line in enumerate(reversed(lines)):
        level = FOOT_IN + number * line_in(FOOT_PT)
        look = {"ha": "center", "va": "bottom", "linespacing": None, "color": HATCH}
        lettering.write(figure, SIZE_IN[0] / 2, level, line, FOOT_PT, **look)


def caption(axis: Axes, text: str, **look: Any) -> None:
    """Words under a drawing."""
    axis.text(0.5, -0.02, text, transform=axis.transAxes, **{"ha": "center", "color": INK} | look)


def arrow(
    axis: Axes, start: tuple[float, float], end: tuple[float, float], both: bool = False, lw: float = 1.0,
    size: float = 1.0, zorder: float | None = None,
) -> None:  # fmt: skip
    """A thin arrow, with heads at both ends for a dimension; ``lw`` is its line in points, ``size`` scales it all."""
    style = "<->" if both else "-|>"
    props = {
        "arrowstyle": style,
        "color": INK,
        "lw": lw * size,
        "shrinkA": 0,
        "shrinkB": 0,
        "mutation_scale": 9 * size,
    }
    look: dict[str, Any] = {} if zorder is None else {"zorder": zorder}
    axis.annotate("", xy=end, xytext=start, arrowprops=props, **look)


def label(
    axis: Axes, text: str, at: tuple[float, float], place: tuple[float, float] | None = None, **look: Any
) -> None:
    """Words on a white ground, with a leader to what they name when they stand elsewhere."""
    options = LABEL | look
    if place is None:
        axis.text(*at, text, **options)
        return
    leader = {"arrowstyle": "-", "color": INK, "lw": 0.8, "shrinkA": 0.0, "shrinkB": 0.0}
    axis.annotate(text, xy=at, xytext=place, arrowprops=leader, **options)


def write(figure: Figure, path: str | os.PathLike[str]) -> Path:
    """Write the sheet; the ending of the name says how.

    Raises
    ------
    InputError
        When the ending is unknown or the file cannot be written.
    """
    target = output_place(path, ENDINGS, "cannot be written as a picture")
    drawn = BytesIO()
    figure.savefig(drawn, format=target.suffix.lower()[1:], facecolor="white")
    return write_whole(target, drawn.getvalue())
