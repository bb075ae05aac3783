"""The outline of rod and cap in numbers, from which both their pieces and their meshes are made.

Frame: R of the rod itself: origin at the big-end centre, +z to the small end, x along the crank, the joint at
z = 0 and the bolts along z at y = half their spacing to either side. What the engine file leaves open is in
proportion: bosses round the bolts are as wide as the seat needs, and the blade flows into both ends in a round
flare of a few flat steps, which are the true shape of this rod.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.errors import GeometryError
from geometry.feature import Fit, seats
from geometry.parts.shapes.meshing import arc
from geometry.solids import Hull
from geometry.spec.rod import Rod, RodBolt

FLARE_STEPS: Final = 3
FLARE_BIG: Final = 0.7
FLARE_SMALL: Final = 0.9
"""Radius of the flare, by the radius of the end it runs into."""
SWELL: Final = 0.6
"""Share of the step from blade to end that the blade thickens by in the flare."""
CORNER: Final = 0.4
CORNER_STEPS: Final = 5
"""Rounding of a boss seen along the bolt, by the rod's width."""
BIG_END_FITS: Final = seats(Fit.CRANKPIN, Fit.CHEEKS)
BLADE_FITS: Final = seats(Fit.CRANKPIN, Fit.CHEEKS, Fit.PISTON_PIN)
SMALL_END_FITS: Final = seats(Fit.CHEEKS, Fit.PISTON_PIN, Fit.BOSSES)
"""What each stretch of a rod runs in; the blade reaches into both ends."""


@dataclass(frozen=True, slots=True, eq=False)
class Blade:
    """The blade without its pockets: sections from the big end up, each a rectangle across the rod.

    Attributes
    ----------
    z_mm, half_y_mm, half_x_mm : (k,) height and half widths of each section
    straight : index of the section at which the straight part starts; it ends at the next one
    """

    z_mm: Array
    half_y_mm: Array
    half_x_mm: Array
    straight: int

    def hulls(self) -> list[Hull]:
        """The flares as slices, from the big end up, the straight part left out."""
        return [self.slice(k) for k in range(len(self.z_mm) - 1) if k != self.straight]

    def slice(self, k: int) -> Hull:
        """The solid between section k and the next."""
        return Hull(np.vstack([self._section(k), self._section(k + 1)]))

    def _section(self, k: int) -> Array:
        x, y, z = self.half_x_mm[k], self.half_y_mm[k], self.z_mm[k]
        return np.array([[x, y, z], [x, -y, z], [-x, y, z], [-x, -y, z]])

    def half_width_mm(self, z_mm: float) -> float:
        """Half the width of the straight part at a height."""
        k = self.straight
        return float(np.interp(z_mm, self.z_mm[k : k + 2], self.half_y_mm[k : k + 2]))


def seat_radius_mm(bolt: RodBolt) -> float:
    """Half of what needs room on the seat of the bolt: head or nut, across corners."""
    return max(bolt.head_diameter_mm, bolt.nut_diameter_mm or 0.0) / 2


def blade(rod: Rod, length_mm: float) -> Blade:
    """Lay the blade between both ends of a rod of this length.

    Raises
    ------
    GeometryError
        When the blade is as wide as one of the ends, or the ends leave no blade between them.
    """
    big, small = rod.big_end.outside_mm / 2, rod.small_end.outside_mm / 2
    lower, upper = rod.beam.width_big_mm / 2, rod.beam.width_small_mm / 2
    for key, half, radius in (("big", lower, big), ("small", upper, small)):
        if half >= radius:
            raise GeometryError(
                "beam",
                f"rod.beam.width_{key}",
                f"the blade is {2 * half:.2f} mm wide, its {key} end {2 * radius:.2f} mm",
                f"a width smaller than rod.{key}_end.outside",
            )
    start = np.array([lower, np.sqrt(big**2 - lower**2)])
    end = np.array([upper, length_mm - np.sqrt(small**2 - upper**2)])
    if end[1] <= start[1]:
        raise GeometryError(
            "beam",
            "rod.length",
            "big and small end leave no blade between them",
            "a longer rod or smaller ends",
        )
    for share in (1.0, 0.5, 0.25, 0.1, 0.02):
        at_big = _flare(start, end, np.zeros(2), big, share * FLARE_BIG * big)
        at_small = _flare(end, start, np.array([0.0, length_mm]), small, share * FLARE_SMALL * small)
        if at_big[-1, 1] < at_small[-1, 1]:
            break
    return _sections(rod, at_big, at_small[::-1])


def _flare(start: Array, end: Array, centre: Array, radius_mm: float, flare_mm: float) -> Array:
    """Corners (FLARE_STEPS + 1, 2) of (y, z) from the round end to the edge of the blade.

    The flare is an arc that touches both the edge of the blade (from ``start`` to ``end``) and the circle.
    """
    along = (end - start) / np.linalg.norm(end - start)
    outward = np.array([abs(along[1]), -along[0] * np.sign(along[1])])
    base = start + flare_mm * outward - centre
    # |base + s along| = radius + flare: the arc's centre is that far from the end's
    half = float(base @ along)
    s = -half + np.sqrt(half**2 - float(base @ base) + (radius_mm + flare_mm) ** 2)
    middle = start + s * along + flare_mm * outward
    ends = (centre - middle, -outward)
    first, last = (float(np.degrees(np.arctan2(v[1], v[0]))) for v in ends)
    turn = (last - first + 180.0) % 360.0 - 180.0
    return arc((float(middle[0]), float(middle[1])), flare_mm, first, first + turn, FLARE_STEPS)


def _sections(rod: Rod, at_big: Array, at_small: Array) -> Blade:
    """Stack the flares' corners and let the blade thicken towards the ends."""
    half = rod.beam.thickness_mm / 2
    share = (np.linspace(1.0, 0.0, FLARE_STEPS + 1)) ** 2
    swell_big = max(0.0, SWELL * (rod.big_end.width_mm / 2 - half))
    swell_small = max(0.0, SWELL * (rod.small_end.width_mm / 2 - half))
    corners = np.vstack([at_big, at_small])
    half_x = half + np.concatenate([swell_big * share, swell_small * share[::-1]])
    return Blade(corners[:, 1], corners[:, 0], half_x, FLARE_STEPS)


@dataclass(frozen=True, slots=True)
class BladePocket:
    """The pocket on either face of the blade.

    Attributes
    ----------
    low_mm, high_mm : its ends along the rod
    half_low_mm, half_high_mm : half its width there
    corner_mm : radius of its rounded ends
    """

    low_mm: float
    high_mm: float
    half_low_mm: float
    half_high_mm: float
    corner_mm: float

    @property
    def slope(self) -> float:
        """How much half the width changes per length."""
        return (self.half_high_mm - self.half_low_mm) / (self.high_mm - self.low_mm)

    def outline(self, steps: int) -> Array:
        """Corners (k, 2) of (across, along), the ends rounded."""
        c = self.corner_mm
        low, high = self.low_mm + c, self.high_mm - c
        at_low, at_high = self.half_low_mm + c * self.slope, self.half_high_mm - c * self.slope
        rounds = [
            arc((side * (half - c), z), c, start, start + 90.0, steps)
            for side, half, z, start in (
                (1.0, at_low, low, 270.0),
                (1.0, at_high, high, 0.0),
                (-1.0, at_high, high, 90.0),
                (-1.0, at_low, low, 180.0),
            )
        ]
        return np.vstack(rounds)


def pocket(rod: Rod, shape: Blade) -> BladePocket | None:
    """The pocket that makes the section an I or an H; None where web and flanges leave no room for one."""
    beam = rod.beam
    k = shape.straight
    low, high = float(shape.z_mm[k]) + beam.flange_mm / 2, float(shape.z_mm[k + 1]) - beam.flange_mm / 2
    if beam.section == "I":
        if beam.web_mm >= beam.thickness_mm:
            return None
        half_low = shape.half_width_mm(low) - beam.flange_mm
        half_high = shape.half_width_mm(high) - beam.flange_mm
    else:
        half_low = half_high = beam.thickness_mm / 2 - beam.flange_mm
        if beam.web_mm / 2 >= min(shape.half_width_mm(low), shape.half_width_mm(high)):
            return None
    narrow = min(half_low, half_high)
    if narrow <= 0.5 or high - low <= 2 * narrow:
        return None
    return BladePocket(low, high, half_low, half_high, 0.9 * narrow)


def boss_outline(rod: Rod, inner_mm: float, shrink_mm: float = 0.0) -> Array:
    """Corners (k, 2) of (x, y) of the boss round the bolt at +y, its outer corners rounded."""
    half = rod.big_end.width_mm / 2
    outer = rod.bolt.spacing_mm / 2 + seat_radius_mm(rod.bolt) - shrink_mm
    radius = min(CORNER * rod.big_end.width_mm, outer - inner_mm)
    right = arc((half - radius, outer - radius), radius, 0.0, 90.0, CORNER_STEPS)
    left = right[::-1] * np.array([-1.0, 1.0])
    return np.vstack([[half, inner_mm], right, left, [-half, inner_mm]])


def boss_inner_mm(rod: Rod, height_mm: float) -> float:
    """Where a boss ends towards the middle: inside the ring at the boss's height, or behind the bolt."""
    ring = np.sqrt(max((rod.big_end.outside_mm / 2) ** 2 - height_mm**2, 0.0)) - 1.0
    return float(max(min(rod.bolt.spacing_mm / 2 - seat_radius_mm(rod.bolt), ring), 1.0))


def prism(levels: list[tuple[Array, float]], side: float) -> Hull:
    """The hull over outlines (k, 2) of (x, y) at heights z, mirrored to y < 0 where ``side`` is -1."""
    mirror = np.array([1.0, side])
    return Hull(np.vstack([np.column_stack([xy * mirror, np.full(len(xy), z)]) for xy, z in levels]))


def triangles_of_corners(hole: BladePocket) -> list[Array]:
    """Triangles (3, 2) of (across, along) that fill what the rounded corners of a pocket leave of its rectangle.

    One leg follows the side of the pocket; both are a little longer than the corner's radius, since that side leans.
    """
    leg = hole.corner_mm * (1.0 + 2.0 * abs(hole.slope))
    found = []
    for side in (1.0, -1.0):
        for half, z, way in ((hole.half_low_mm, hole.low_mm, 1.0), (hole.half_high_mm, hole.high_mm, -1.0)):
            along = [side * (half + way * leg * hole.slope), z + way * leg]
            found.append(np.array([[side * half, z], [side * (half - leg), z], along]))
    return found


@dataclass(frozen=True, slots=True)
class ShellTang:
    """The lug that keeps a bearing shell in its place, as a block in the upper half, and its notch.

    Attributes
    ----------
    x_mm, width_mm : middle and width along the crank
    outer_mm : how far it reaches from the big-end centre
    inner_mm : where it starts, inside the shell
    height_mm : from the joint up
    """

    x_mm: float
    width_mm: float
    outer_mm: float
    inner_mm: float
    height_mm: float


def tang(rod: Rod) -> ShellTang:
    """The tang of the upper shell: at +y, behind the middle; the lower shell's lies beside it, in front.

    How far it stands out is for the eye: a millimetre, less where the bolt passes close by.
    """
    radius = rod.big_end.bore_mm / 2
    behind = rod.bolt.spacing_mm / 2 - rod.bolt.diameter_mm / 2 - radius
    out = min(1.0, 0.4 * behind)
    width = min(rod.bearing.tang_mm, rod.bearing.width_mm / 3)
    middle = rod.bearing.width_mm / 4
    return ShellTang(middle, width, radius + out, radius - rod.bearing.wall_mm / 2, 0.12 * radius)
