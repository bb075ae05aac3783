"""A crown from above: pockets, valves over it, and the front mark."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array
from geometry.kinematics.layout import BoreSite
from geometry.parts.piston import ARROW
from geometry.parts.shapes.crown import inward_sign, mark_place
from geometry.spec.top import Valve
from viewer.explained.pen import ACCENT, INK, PAPER, Pen
from viewer.explained.top_end import Top

DOT_MM = 2.5
TURN = np.linspace(0.0, 2 * np.pi, 97)
Place = Callable[[Array], Array]
"""Points (n, 2) of (x, y) in the bore's frame to points of the picture."""


@dataclass(frozen=True, slots=True)
class Over:
    """A valve as seen from above: whether it is the one in question, and its colour."""

    valve: Valve
    colour: str = INK
    chosen: bool = False


def front_left(points_B: Array) -> Array:
    """Seen from above with the front at the left and the engine's right side up."""
    return np.asarray(points_B, dtype=float)


def front_down(points_B: Array) -> Array:
    """Seen from above with the front towards the reader: left and right as in a view from the front."""
    points = np.asarray(points_B, dtype=float)
    return np.column_stack([-points[:, 1], points[:, 0]])


def circle(x_mm: float, y_mm: float, radius_mm: float) -> Array:
    """Points (n, 2) round a place."""
    return np.column_stack([x_mm + radius_mm * np.cos(TURN), y_mm + radius_mm * np.sin(TURN)])


def draw_plan(
    pen: Pen, top: Top, site: BoreSite, place: Place, valves: Sequence[Over], *, larger: float = 1.0,
    level: float = 3.0,
) -> None:  # fmt: skip
    """Bore, crown, pockets, valves and mark; ``larger`` is how many times its size the mark is drawn."""
    bore = top.spec.block.bore.diameter_mm / 2
    wall = 1.0 + top.spec.block.bore.wall_mm / bore
    pen.fill(place(wall * circle(0.0, 0.0, bore)), "block", hatch=False, level=level)
    pen.fill(place(circle(0.0, 0.0, bore)), "gas", hatch=False, level=level + 0.1)
    pen.axis.fill(*place(circle(0.0, 0.0, bore)).T, fc=PAPER, ec="none", zorder=level + 0.11)
    pen.fill(place(circle(0.0, 0.0, top.shape.radius_mm)), "piston", hatch=False, level=level + 0.2)
    way = -1.0 if top.turned else 1.0
    if top.shape.shape_mm:
        for radius in (top.shape.shape_mm, top.shape.shape_mm - abs(top.shape.rise_mm)):
            pen.line(place(circle(0.0, 0.0, radius)), width=0.9, level=level + 0.3)
    for recess in top.shape.recesses:
        outline = circle(way * recess.x_mm, way * recess.y_mm, recess.radius_mm)
        pen.fill(place(_within(outline, top.shape.radius_mm)), "crank", hatch=False, level=level + 0.4)
    for over in valves:
        at = -over.valve.forward_mm, inward_sign(site) * over.valve.inward_mm
        width, style = (2.6, "-") if over.chosen else (1.1, "--")
        rim = place(circle(*at, over.valve.diameter_mm / 2))
        pen.line(rim, colour=over.colour, width=width, style=style, level=level + 0.6)
    _mark(pen, top, place, larger, level + 0.8)


def _within(points: Array, radius_mm: float) -> Array:
    """The same outline, held inside a circle round the origin."""
    out = np.hypot(*points.T)
    return np.asarray(points * np.minimum(1.0, radius_mm / np.maximum(out, 1e-9))[:, None])


def _mark(pen: Pen, top: Top, place: Place, larger: float, level: float) -> None:
    """The front mark, about its own place; drawn larger it moves in so far that it stays on the crown."""
    x, y, _ = mark_place(top.shape)
    kind = top.spec.piston.front_mark
    if kind == "arrow":
        shape = larger * ARROW
    elif kind == "dot":
        shape = circle(0.0, 0.0, larger * DOT_MM)
    else:
        x, y = -top.shape.radius_mm, 0.0
        shape = circle(0.0, 0.0, larger * DOT_MM)
    reach = float(np.hypot(*shape.T).max())
    room = 0.96 * top.shape.radius_mm - (reach if larger > 1.0 else 0.0)
    out = float(np.hypot(x, y))
    if larger > 1.0 and out > room:
        x, y = x * max(room, 0.0) / out, y * max(room, 0.0) / out
    points = (-1.0 if top.turned else 1.0) * (shape + [x, y])
    pen.axis.fill(*place(points).T, fc=ACCENT if larger > 1.0 else INK, ec=INK, lw=1.0, zorder=level)
