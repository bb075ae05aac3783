"""Lines, filled shapes and words of the flat layer over a picture, in pixels, as plain data."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from geometry.arrays import Array
from viewer.looks import Colour
from viewer.scene.placing import Rectangle

Measure = Callable[[str, float, bool], tuple[float, float]]
"""Width and height in px of words at a size in px, plain or bold."""


def width_of(measure: Measure, size_px: float, bold: bool) -> Callable[[str], float]:
    """Width in px of words at one size."""
    return lambda text: measure(text, size_px, bold)[0]


WHITE: Colour = (1.0, 1.0, 1.0)
PAPER: Colour = (0.985, 0.988, 0.992)


@dataclass(frozen=True, slots=True)
class Words:
    """Text at a place: ``box`` is its ground, the words stand in its middle (or at its left edge)."""

    text: str
    box: Rectangle
    size_px: float
    bold: bool
    colour: Colour
    ground: Colour | None = None
    frame: Colour | None = None
    left_aligned: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A flat line of px points (k, 2), perhaps closed and filled, perhaps broken into dashes."""

    points_px: Array
    colour: Colour
    width_px: float
    filled: bool = False
    dashed: bool = False


@dataclass(slots=True)
class Lettering:
    """Everything flat in a picture, in drawing order."""

    lines: list[Line] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)

    @property
    def boxes(self) -> list[Rectangle]:
        """Places in use."""
        return [w.box for w in self.words]

    def stroke(self, points_px: ArrayLike, colour: Colour, width_px: float, dashed: bool = False) -> None:
        """Add a line through points (k, 2)."""
        self.lines.append(Line(np.asarray(points_px, dtype=float), colour, width_px, dashed=dashed))

    def fill(self, corners_px: ArrayLike, colour: Colour) -> None:
        """Add a filled convex shape with corners (k, 2)."""
        self.lines.append(Line(np.asarray(corners_px, dtype=float), colour, 1.0, filled=True))

    def dot(self, centre_px: ArrayLike, radius_px: float, colour: Colour) -> None:
        """Add a filled round spot."""
        self.fill(disc(np.asarray(centre_px), radius_px), colour)


def disc(centre: Array, radius: float) -> Array:
    """Corners of a round spot, (28, 2) px."""
    angle = np.linspace(0.0, 2 * np.pi, 28, endpoint=False)
    return np.asarray(centre + radius * np.column_stack([np.cos(angle), np.sin(angle)]))


def pointer(layer: Lettering, tail: Array, tip: Array, colour: Colour, unit: float, strong: bool) -> None:
    """An arrow of the compass."""
    way = tip - tail
    length = float(np.linalg.norm(way))
    along = way / max(length, 1e-9)
    aside = np.array([-along[1], along[0]])
    head = min((13.0 if strong else 9.0) * unit, 0.8 * length)
    neck = tip - along * head
    layer.stroke(np.array([tail, neck]), colour, (4.0 if strong else 2.0) * unit)
    wing = aside * head * 0.48
    layer.fill(np.array([tip, neck + wing, neck - wing]), colour)


def end_on(layer: Lettering, centre: Array, away: float, colour: Colour, unit: float, strong: bool) -> None:
    """A direction seen end on: a dot in a ring when it comes towards the eye, a cross when it goes away."""
    radius = (11.0 if strong else 6.0) * unit
    width = (3.0 if strong else 1.6) * unit
    ring = disc(centre, radius)
    layer.fill(ring, PAPER)
    layer.stroke(np.vstack([ring, ring[:1]]), colour, width)
    if away < 0:
        layer.dot(centre, 0.36 * radius, colour)
        return
    arm = 0.62 * radius
    for slope in (1.0, -1.0):
        ends = centre + arm * np.array([[-1.0, -slope], [1.0, slope]])
        layer.stroke(ends, colour, width)


def rim(line: Line, wider_px: float) -> Line:
    """A pale line under another one, or round a filled shape, that sets it off from what lies behind."""
    points = np.vstack([line.points_px, line.points_px[:1]]) if line.filled else line.points_px
    return Line(points, PAPER, wider_px + (0.0 if line.filled else line.width_px))
