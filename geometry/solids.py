"""The shapes every part is made of: a mesh for the eye and exact convex pieces for clearance.

A *piece* is a closed solid in the frame of its part. Each class below is exact: its support function has a
closed form, so that a clearance computed from it carries no facets. ``Revolved`` is the one class that may be
concave (towards its own axis, when its profile stays clear of the axis); it splits into sectors whose convex
hulls come as near to the true solid as asked.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Array

IDENTITY: Array = np.eye(4)
IDENTITY.setflags(write=False)


@dataclass(frozen=True, slots=True, eq=False)
class Mesh:
    """Triangles of a closed surface, outward by the right-hand rule.

    Attributes
    ----------
    vertices : (n, 3) float, mm, in the frame of the part
    triangles : (m, 3) int, indices into ``vertices``
    """

    vertices: Array
    triangles: NDArray[np.int32]


@dataclass(frozen=True, slots=True, eq=False)
class Cylinder:
    """A full round cylinder, centred on the origin of its own frame, axis along +z there.

    In every class ``X_AP`` is the (4, 4) pose of the piece's own frame P in the frame A of the part.
    """

    radius_mm: float
    length_mm: float
    X_AP: Array = field(default_factory=lambda: IDENTITY)


@dataclass(frozen=True, slots=True, eq=False)
class Box:
    """A rectangular block centred on the origin of its own frame; ``size_mm`` holds the full edge lengths."""

    size_mm: tuple[float, float, float]
    X_AP: Array = field(default_factory=lambda: IDENTITY)


@dataclass(frozen=True, slots=True, eq=False)
class Hull:
    """The convex hull of points: exact for anything with flat faces (beams, prisms, wedges)."""

    points_mm: Array
    """(k, 3) float, mm, in the piece's own frame."""
    X_AP: Array = field(default_factory=lambda: IDENTITY)


@dataclass(frozen=True, slots=True, eq=False)
class Lobe:
    """The convex hull of two parallel round cylinders: cam lobes, crank cheeks, rod ends with a taper.

    The first circle is centred on the origin of the piece's own frame, the second at ``(0, distance, 0)``
    along +y there; both have their axis along +z and the length centred on z = 0.
    """

    radius_mm: float
    nose_radius_mm: float
    distance_mm: float
    length_mm: float
    X_AP: Array = field(default_factory=lambda: IDENTITY)


@dataclass(frozen=True, slots=True, eq=False)
class Revolved:
    """A convex profile turned about +z of its own frame from ``start_deg`` to ``end_deg``.

    ``profile_mm`` is a (k, 2) convex polygon of (r, z) with r >= 0. Angles run from +x towards +y. A profile
    that reaches r = 0 and spans 180 degrees or less, or the full 360, is convex; a profile clear of the axis
    is concave on the inside (bore wall, skirt) and ``collision`` splits it into sectors as finely as it needs.
    A bore wall sets ``outward`` True: whatever lies beyond its outer radius counts as solid too, so that depth
    of interference is the radial one.
    """

    profile_mm: Array
    start_deg: float = 0.0
    end_deg: float = 360.0
    X_AP: Array = field(default_factory=lambda: IDENTITY)
    outward: bool = False


def rectangle(low_x: float, high_x: float, low_y: float, high_y: float) -> Array:
    """Corners (4, 2) of a rectangle, counter-clockwise from the low ones; as a profile, x is the radius."""
    return np.array([[low_x, low_y], [high_x, low_y], [high_x, high_y], [low_x, high_y]])


Piece: TypeAlias = Cylinder | Box | Hull | Lobe | Revolved


@dataclass(frozen=True, slots=True, eq=False)
class MassProperties:
    """Mass, centre of gravity and inertia of a part in its own frame.

    Attributes
    ----------
    volume_mm3, mass_kg : of the whole part
    centre_mm : (3,) centre of gravity
    inertia_kg_mm2 : (3, 3) about the centre of gravity, along the axes of the part's frame
    """

    volume_mm3: float
    mass_kg: float
    centre_mm: Array
    inertia_kg_mm2: Array
