"""Numbers stamped into parts: they belong to the drawing, words or not."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from geometry.arrays import Array
from viewer.explained.pen import INK, Pen, Xy
from viewer.paper import lettering


@lru_cache(maxsize=64)
def _figures(text: str) -> tuple[Array, Array]:
    """Corners (n, 2) and codes (n,) of a text one unit high, its middle at the origin."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextPath

    path = TextPath((0.0, 0.0), text, size=1.0, prop=FontProperties(family=lettering.FAMILY, weight="bold"))
    corners = np.array(path.vertices, dtype=float)
    low, high = corners.min(axis=0), corners.max(axis=0)
    return (corners - (low + high) / 2) / (high[1] - low[1]), np.array(path.codes)


def stamp(
    pen: Pen, text: str, at: Xy, high: float, *, wide: float = np.inf, colour: str = INK, level: float = 5.0
) -> None:
    """Put a number on a part, so high and at most so wide, in the drawing's own units."""
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    corners, codes = _figures(text)
    shape = Path(corners * min(high, wide / float(np.ptp(corners[:, 0]))) + np.array(at), codes)
    pen.axis.add_patch(PathPatch(shape, facecolor=colour, edgecolor="none", zorder=level))
