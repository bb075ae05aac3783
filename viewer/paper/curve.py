"""Distance over the crank angle as a drawing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from geometry.arrays import Array
from viewer.paper.page import DPI

if TYPE_CHECKING:
    from matplotlib.figure import Figure

LINE, LIMIT = "#1f2f3d", "#b3452c"


def draw_curve(title: str, crank_deg: Array, distance: Array, limit: tuple[float, str], unit: str) -> Figure:
    """A matplotlib figure of a distance with its limit; the least is marked.

    Parameters
    ----------
    crank_deg, distance : (n,) float; distance in ``unit``
    limit : in ``unit``, and as written beside its line
    """
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9, 4.5), dpi=DPI, layout="constrained")
    axes = figure.add_subplot()
    axes.plot(crank_deg, distance, color=LINE, linewidth=1.6)
    axes.axhline(limit[0], color=LIMIT, linestyle="--", linewidth=1.2)
    beside: dict[str, Any] = {
        "transform": axes.get_yaxis_transform(),
        "ha": "right",
        "va": "bottom",
        "color": LIMIT,
    }
    axes.text(0.995, *limit, **beside)
    least, period_deg = int(np.argmin(distance)), float(crank_deg[-1])
    axes.plot(crank_deg[least], distance[least], "o", color=LINE)
    axes.set(title=title, xlabel="crank angle, degrees", ylabel=f"distance, {unit}", xlim=(0, period_deg))
    axes.set_xticks(np.arange(0, period_deg + 1, 90 if period_deg > 400 else 45))
    axes.grid(alpha=0.3)
    return figure
