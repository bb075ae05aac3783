"""Words on paper: how wide they are, and where lines break, worked out before anything is drawn."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

from viewer.breaking import broken

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FAMILY = "DejaVu Sans"
"""Comes with matplotlib, so that lines break alike on every machine."""


@lru_cache(maxsize=8)
def _font(bold: bool) -> Any:
    from matplotlib.font_manager import FontProperties

    return FontProperties(family=FAMILY, weight="bold" if bold else "normal")


@lru_cache(maxsize=1024)
def _advance(text: str, bold: bool) -> float:
    """Width of some letters for every point of their size, inches."""
    from matplotlib.textpath import TextToPath

    width, _, _ = TextToPath().get_text_width_height_descent(text, _font(bold), ismath=False)
    return float(width) / float(_font(bold).get_size_in_points()) / 72


def width_in(text: str, size_pt: float, bold: bool = False) -> float:
    """Width of one line of text on paper, inches: letter by letter, between two others, each measured only once."""
    between = _advance("nn", bold)
    return sum(_advance(f"n{letter}n", bold) - between for letter in text) * size_pt


def wrapped(text: str, size_pt: float, room_in: float, bold: bool = False) -> list[str]:
    """Lines that are no wider than the room; a single word that is stays whole."""
    return broken(text.strip(), room_in, lambda line: width_in(line, size_pt, bold))


def write(figure: Figure, x_in: float, top_in: float, text: str, size_pt: float, **look: Any) -> None:
    """Put lines on the page; inches from its lower left corner, ``top_in`` is the upper edge of the first."""
    wide, high = figure.get_size_inches()
    options: dict[str, Any] = {"ha": "left", "va": "top", "family": FAMILY, "linespacing": 1.15} | look
    figure.text(x_in / wide, top_in / high, text, fontsize=size_pt, **options)


def line_in(size_pt: float) -> float:
    """Height of one line, inches."""
    return size_pt * 1.36 / 72
