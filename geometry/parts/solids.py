"""The shapes every part is made of: a mesh for the eye and exact convex pieces for clearance.

A *piece* is a closed solid in the frame of its part. Each class below is exact: its support function has a
closed form, so that a clearance computed from it carries no facets. ``Revolved`` is the one class that may be
concave (towards its own axis, when its profile stays clear of the axis); it splits into sectors whose convex
hulls come as near to the true solid as asked.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
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
    """A full round cylinder, centred on the origin of its own frame, axis along +z there."""

    radius_mm: float
    length_mm: float
    X_AP: Array = field(default_factory=lambda: IDENTITY)
    """(4, 4) pose of the piece's own frame in the frame A of the part."""


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
    is concave on the inside (bore wall, skirt) and ``clearance`` splits it into sectors as finely as it needs.
    A bore wall sets ``outward`` True: whatever lies beyond its outer radius counts as solid too, so that depth
    of interference is the radial one.
    """

    profile_mm: Array
    start_deg: float = 0.0
    end_deg: float = 360.0
    X_AP: Array = field(default_factory=lambda: IDENTITY)
    outward: bool = False


Piece: TypeAlias = Cylinder | Box | Hull | Lobe | Revolved


class Group(Enum):
    """What a feature counts as where a least clearance is looked up, in the order a builder would name two."""

    ROD = "rod"
    PISTON = "piston"
    CRANK = "crank"
    CAM = "cam"
    VALVE = "valve"
    HEAD = "head"
    PAN = "pan"
    BLOCK = "block"
    RING = "ring"
    SHELL = "shell"


class Fit(Enum):
    """How one feature runs in another by design; the trade measures each with a figure of its own."""

    MAIN_BEARING = "main journal in web and cap"
    CAM_BEARING = "cam journal in its tunnel"
    BORE = "piston and rings in their bore"
    CRANKPIN = "big end on the crankpin, with its shells between"
    CHEEKS = "big end between the cheeks of its throw"
    PISTON_PIN = "rod on the piston pin"
    BOSSES = "small end between the pin bosses"
    VALVE = "valve in its seat and guide"


@dataclass(frozen=True, slots=True)
class Seat:
    """One running fit of an engine.

    Attributes
    ----------
    fit : which kind
    number : main bearing from the front, or bore; None: that of the body which the feature belongs to
    """

    fit: Fit
    number: int | None = None


@dataclass(frozen=True, slots=True)
class Unsaid:
    """Metal that is drawn by constants of ours, since the engine file does not describe it.

    Attributes
    ----------
    what : in words, such as "the slot in the end walls"
    towards : groups that the constants leave room for: a distance to them would only give the constant back
    """

    what: str
    towards: frozenset[Group] = frozenset(Group)


@dataclass(frozen=True, slots=True, eq=False)
class Feature:
    """A named place on a part that a builder would point at, made of pieces: ``rod_bolt``, ``pan_rail``.

    Name and place are for people; whether two features can be a clearance follows from the typed data below.

    Attributes
    ----------
    name, place : what it is, and which of several on the same part ("outer side", "left bank")
    group : which least clearances hold for it; every feature has one, or the engine is not put together
    part : which part of the place, where only the clearances tell them apart
    bore : the bore that it is about, where its body serves several
    runs_in, seat_of : the running fits that it is the moving, and the other half of
    behind : bores whose walls stand between it and the pistons in them, and the valves over them
    surface : the pieces are triangles of a measured surface, and not a solid
    unsaid : what the engine file does not describe; distances to it are left out
    assumed : what about its shape is assumed, where a distance to it is kept all the same; empty elsewhere
    round_head : a head or nut held as the cylinder round its corners, since it may stop at any angle
    """

    name: str
    pieces: tuple[Piece, ...]
    place: str = ""
    material: str = ""
    group: Group | None = field(kw_only=True, default=None)
    part: str = field(kw_only=True, default="")
    bore: int | None = field(kw_only=True, default=None)
    runs_in: frozenset[Seat] = field(kw_only=True, default=frozenset())
    seat_of: frozenset[Seat] = field(kw_only=True, default=frozenset())
    behind: frozenset[int] = field(kw_only=True, default=frozenset())
    surface: bool = field(kw_only=True, default=False)
    unsaid: Unsaid | None = field(kw_only=True, default=None)
    assumed: str = field(kw_only=True, default="")
    round_head: bool = field(kw_only=True, default=False)


def seats(*fits: Fit, numbers: Iterable[int | None] = (None,)) -> frozenset[Seat]:
    """These fits, each for all the numbers; without numbers those of the body's own bore or main bearing."""
    every = tuple(numbers)
    return frozenset(Seat(fit, number) for fit in fits for number in every)


@dataclass(frozen=True, slots=True, eq=False)
class MassProperties:
    """Mass, centre of gravity and inertia of a part in its own frame.

    ``inertia_kg_mm2`` is (3, 3) about the centre of gravity, along the axes of the part's frame.
    """

    volume_mm3: float
    mass_kg: float
    centre_mm: Array
    inertia_kg_mm2: Array
