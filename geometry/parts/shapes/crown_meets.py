"""What of a crown a valve over it can meet: the highest point under its head, and the walls of its pocket.

All is closed form. Away from the pockets the crown's height depends on the distance from the piston's axis alone and
rises or falls all the way, so over a region bounded by arcs of circles it is greatest at the axis, at a point of an
arc nearest to or farthest from the axis, or at a corner where two arcs meet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import acos, atan2, cos, hypot, pi, sin
from typing import Final

from geometry.parts.shapes.crown import CrownShape, Recess

ROUNDING_MM: Final = 1e-9
EDGE_MM: Final = 1e-6
"""A disc that lies upon an edge by less than this does not lie upon it."""
TURN: Final = 2.0 * pi

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle in the plan of the crown, in the piston's frame."""

    x_mm: float
    y_mm: float
    radius_mm: float

    def depth_of(self, at: Point) -> float:
        """How far inside a point lies; negative outside."""
        return self.radius_mm - hypot(at[0] - self.x_mm, at[1] - self.y_mm)

    def at(self, angle_rad: float) -> Point:
        """A point of the rim."""
        return self.x_mm + self.radius_mm * cos(angle_rad), self.y_mm + self.radius_mm * sin(angle_rad)

    def meets(self, other: Circle) -> list[float]:
        """Angles (none or two) on the rim at which the other circle crosses it."""
        x, y = other.x_mm - self.x_mm, other.y_mm - self.y_mm
        apart = hypot(x, y)
        if apart < ROUNDING_MM or self.radius_mm < ROUNDING_MM:
            return []
        share = (apart * apart + self.radius_mm**2 - other.radius_mm**2) / (2.0 * apart * self.radius_mm)
        if not -1.0 < share < 1.0:
            return []
        towards = atan2(y, x)
        return [towards - acos(share), towards + acos(share)]


@dataclass(frozen=True, slots=True)
class PocketWall:
    """The stretch of a pocket's wall that is nearest to a valve's axis.

    Attributes
    ----------
    x_mm, y_mm : its nearest point, in the piston's frame
    rim_mm : its upper edge over the flat of the crown
    """

    x_mm: float
    y_mm: float
    rim_mm: float


def highest_under_mm(top: CrownShape, x_mm: float, y_mm: float, radius_mm: float) -> float:
    """Highest point of a crown under a round disc, over the flat of the crown (negative: below it).

    Parameters
    ----------
    top : the crown, with its pockets
    x_mm, y_mm, radius_mm : the disc in the piston's frame
    """
    disc, land = Circle(x_mm, y_mm, radius_mm - EDGE_MM), Circle(0.0, 0.0, top.radius_mm)
    found = []
    for level, within, beyond in _cells(top):
        heights = [_shape_mm(top, hypot(*p)) for p in _extremes([disc, land, *within], beyond)]
        if heights:
            found.append(min(max(heights), level))
    return max(found, default=-top.top_mm)


def pocket_walls(top: CrownShape, x_mm: float, y_mm: float) -> tuple[PocketWall, ...]:
    """Walls of every pocket over which a valve's axis stands, one for each stretch of even height.

    Where a pocket runs out through the piston's edge or into a deeper place it has no wall. Where its rim runs up the
    flank of a dome or dish, the wall is taken as high as it gets on that flank.

    Parameters
    ----------
    x_mm, y_mm : the valve's axis in the piston's frame
    """
    return tuple(
        wall
        for recess in top.recesses
        if _circle(recess).depth_of((x_mm, y_mm)) > 0.0
        for wall in _walls(top, recess, (x_mm, y_mm))
    )


def _circle(recess: Recess) -> Circle:
    return Circle(recess.x_mm, recess.y_mm, recess.radius_mm)


def _shape_mm(top: CrownShape, out_mm: float) -> float:
    """Height of flat, dish or dome at a distance from the axis, pockets left out."""
    flank = min(max(top.shape_mm - out_mm, 0.0), abs(top.rise_mm))
    return flank if top.rise_mm > 0.0 else -flank


def _cells(top: CrownShape) -> Iterator[tuple[float, list[Circle], list[Circle]]]:
    """The crown in cells: highest level, circles that a cell lies within, circles that it lies beyond."""
    yield float("inf"), [], [_circle(recess) for recess in top.recesses]
    for recess in top.recesses:
        deeper = [_circle(r) for r in top.recesses if r.depth_mm > recess.depth_mm]
        yield -recess.depth_mm, [_circle(recess)], deeper


def _extremes(within: Sequence[Circle], beyond: Sequence[Circle]) -> list[Point]:
    """Points of a region among which are those nearest to and farthest from the axis; empty: there is no region."""
    circles = [*within, *beyond]
    points: list[Point] = [(0.0, 0.0)]
    for circle in circles:
        out = atan2(circle.y_mm, circle.x_mm)
        meets = (angle for other in circles if other is not circle for angle in circle.meets(other))
        points += [circle.at(angle) for angle in (out, out + pi, *meets)]
    return [
        p
        for p in points
        if all(c.depth_of(p) >= -ROUNDING_MM for c in within)
        and all(c.depth_of(p) <= ROUNDING_MM for c in beyond)
    ]


def _walls(top: CrownShape, recess: Recess, valve: Point) -> Iterator[PocketWall]:
    """Walls of one pocket, stretch by stretch between the places where its rim crosses other edges of the crown."""
    rim, land = _circle(recess), Circle(0.0, 0.0, top.radius_mm)
    others = [r for r in top.recesses if r is not recess]
    edges = [land, *(_circle(r) for r in others)]
    if top.rise_mm:
        # where flank and flats meet, and where the flank of a dish is as deep as the pocket
        radii = (top.shape_mm, top.shape_mm - abs(top.rise_mm), top.shape_mm - recess.depth_mm)
        edges += [Circle(0.0, 0.0, radius) for radius in radii if radius > 0.0]
    for start, end in _stretches([angle for edge in edges for angle in rim.meets(edge)]):
        middle = rim.at((start + end) / 2)
        if land.depth_of(middle) <= 0.0:
            continue
        out = atan2(rim.y_mm, rim.x_mm)
        angles = [start, end, (start + end) / 2, *(a for a in (out, out + pi) if _on(a, start, end))]
        level = max(_shape_mm(top, hypot(*rim.at(a))) for a in angles)
        for other in others:
            if _circle(other).depth_of(middle) > ROUNDING_MM:
                level = min(level, -other.depth_mm)
        if level > -recess.depth_mm + ROUNDING_MM:
            yield PocketWall(*rim.at(_nearest(rim, valve, start, end)), level)


def _stretches(cuts: list[float]) -> list[tuple[float, float]]:
    """Stretches of a full turn between angles, each with its end above its start."""
    turned = sorted(angle % TURN for angle in cuts)
    if not turned:
        return [(0.0, TURN)]
    return list(zip(turned, [*turned[1:], turned[0] + TURN], strict=True))


def _on(angle: float, start: float, end: float) -> bool:
    return (angle - start) % TURN <= end - start


def _nearest(rim: Circle, valve: Point, start: float, end: float) -> float:
    """Angle of the point of a stretch that is nearest to a point within the rim."""
    x, y = valve[0] - rim.x_mm, valve[1] - rim.y_mm
    towards = atan2(y, x)
    if hypot(x, y) < ROUNDING_MM:
        return (start + end) / 2
    if _on(towards, start, end):
        return towards
    return min((start, end), key=lambda a: hypot(rim.at(a)[0] - valve[0], rim.at(a)[1] - valve[1]))
