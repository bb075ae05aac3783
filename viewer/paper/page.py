"""What every section drawing shares: two panels on paper, dimensions, and the way to a file."""

from __future__ import annotations

import os
from io import BytesIO
from pathlib import Path
from typing import Any

from viewer.output import output_place, write_whole

INK, LIGHT, HATCH = "#15191e", "#8a929b", "#55606c"
STEEL, SHELL, OTHER = "#d9dde2", "#b3b9c0", "#eef0f3"
BITE = "#c2352b"
SIZE_IN = (12.0, 6.6)
DPI = 150
ENDINGS = (".png", ".svg", ".pdf", ".jpg", ".jpeg")


def two_panels(title: str, heads: tuple[str, str]) -> tuple[Any, tuple[Any, Any]]:
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


def foot(figure: Any, text: str) -> None:
    """A line at the bottom of the sheet."""
    figure.text(0.5, 0.012, text, ha="center", va="bottom", fontsize=8.5, color=HATCH)


def arrow(axis: Any, start: tuple[float, float], end: tuple[float, float], both: bool = False) -> None:
    """A thin arrow, with heads at both ends for a dimension."""
    style = "<->" if both else "-|>"
    props = {
        "arrowstyle": style,
        "color": INK,
        "lw": 1.0,
        "shrinkA": 0.0,
        "shrinkB": 0.0,
        "mutation_scale": 9,
    }
    axis.annotate("", xy=end, xytext=start, arrowprops=props)


def label(
    axis: Any, text: str, at: tuple[float, float], place: tuple[float, float] | None = None, **options: Any
) -> None:
    """Words, with a leader to what they name when they stand elsewhere."""
    look = {"fontsize": 9.5, "color": INK, "ha": "center", "va": "center", "zorder": 9} | options
    box = {"boxstyle": "round,pad=0.18", "fc": "white", "ec": "none", "alpha": 0.92}
    if place is None:
        axis.text(*at, text, bbox=box, **look)
        return
    leader = {"arrowstyle": "-", "color": INK, "lw": 0.8, "shrinkA": 0.0, "shrinkB": 0.0}
    axis.annotate(text, xy=at, xytext=place, arrowprops=leader, bbox=box, **look)


def write(figure: Any, path: str | os.PathLike[str]) -> Path:
    """Write the sheet; the ending of the name says how.

    Raises
    ------
    InputError
        When the ending is unknown or the file cannot be written.
    """
    target = output_place(path, ENDINGS, "is no name of a picture")
    drawn = BytesIO()
    figure.savefig(drawn, format=target.suffix.lower()[1:], facecolor="white")
    return write_whole(target, drawn.getvalue())
