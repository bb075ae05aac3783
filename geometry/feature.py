"""What a part says about the places on it that a builder would point at: typed data on which clearance decides."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum

from geometry.solids import Piece


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
