"""Plane outlines that drawings share: regions, what is stamped into steel, and places in a half."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from geometry.parts.shapes.convex import region
from viewer.explained.pen import ACCENT, EDGE_PT, FILL, HATCH, INK, Ground, Pen, Xy

if TYPE_CHECKING:
    from manifold3d import CrossSection

    from geometry.arrays import Array

ARC_STEPS = 120


def box(left: float, right: float, low: float, high: float) -> Array:
    """Corners (4, 2) of a rectangle."""
    return np.array([[left, low], [right, low], [right, high], [left, high]])


def circle(radius_mm: float, at: Xy = (0.0, 0.0)) -> Array:
    """Corners (2 ARC_STEPS, 2) of a full circle."""
    turn = np.linspace(0.0, 2 * np.pi, 2 * ARC_STEPS, endpoint=False)
    return np.column_stack([at[0] + radius_mm * np.cos(turn), at[1] + radius_mm * np.sin(turn)])


def half_plane(joint_mm: float, upper: bool, reach_mm: float) -> CrossSection:
    """Everything above or below a joint."""
    low, high = (joint_mm, reach_mm) if upper else (-reach_mm, joint_mm)
    return region(box(-reach_mm, reach_mm, low, high))


def disc(radius_mm: float) -> CrossSection:
    """A disc about the origin."""
    return region(circle(radius_mm))


def outlines(shape: CrossSection) -> list[Array]:
    """The outlines (k, 2) of a region without holes."""
    return [np.asarray(loop, dtype=float) for loop in shape.to_polygons()]


def share(pen: Pen, across: float, up: float) -> Xy:
    """A place in the half by shares of its width and height, in its own units."""
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    return left + across * (right - left), low + up * (high - low)


def face(pen: Pen, shape: CrossSection, ground: Ground, *, accent: bool = False, level: float = 2.0) -> None:
    """A cut face that may have holes and islands, looking as ``Pen.fill`` makes them look."""
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    loops = [np.vstack([loop, loop[:1]]) for loop in outlines(shape)]
    if not loops:
        return
    path = Path.make_compound_path(*(Path(loop, closed=True) for loop in loops))
    colour, lines = FILL[ground]
    pen.axis.add_patch(PathPatch(path, facecolor=colour, edgecolor="none", zorder=level))
    if lines:
        pen.axis.add_patch(
            PathPatch(path, facecolor="none", edgecolor=HATCH, hatch=lines, lw=0.0, zorder=level + 0.01)
        )
    for loop in loops:
        pen.line(loop, colour=ACCENT if accent else INK, width=2.2 if accent else EDGE_PT, level=level + 0.02)


def stamp(
    pen: Pen, text: str, at: Xy, high_mm: float, colour: str = INK, level: float = 6.0, turned: bool = False
) -> None:
    """What is stamped into a part, round a middle: it belongs to the part and is drawn without words too."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path
    from matplotlib.textpath import TextPath

    from viewer.paper import lettering

    path = TextPath((0.0, 0.0), text, size=10.0, prop=FontProperties(family=lettering.FAMILY, weight="bold"))
    corners = np.asarray(path.vertices, dtype=float)
    low, high = corners.min(axis=0), corners.max(axis=0)
    scale = high_mm / (high[1] - low[1])
    placed = (corners - (low + high) / 2) * scale * (-1.0 if turned else 1.0) + np.asarray(at)
    pen.axis.add_patch(PathPatch(Path(placed, path.codes), facecolor=colour, edgecolor="none", zorder=level))


def nearest(value: float, choices: Sequence[float]) -> float:
    """The choice that is nearest by ratio."""
    return min(choices, key=lambda choice: abs(np.log(choice / value)))
