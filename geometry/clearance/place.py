"""One feature of one body in motion, and what it is to others."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.collision.mover import Mover
from geometry.feature import Feature, Group, Seat
from geometry.parts.part import Body


@dataclass(frozen=True, slots=True, eq=False)
class Place(Mover):
    """One feature of one body in motion: all that the search asks of a ``Mover``, and what it is to others.

    Attributes
    ----------
    feature : its name, such as ``rod_bolt``
    place : which of several, such as ``major side``
    body : the body it belongs to
    group : which least clearances hold for it
    sides : the major and the minor thrust side of its bore, in words; empty where it moves in none
    x_mm : (lowest, highest) extent along the crank; nothing moves along it
    of : the feature itself, with all that its part says about it
    runs_in, seat_of : the running fits that it takes part in, each with its number
    """

    feature: str
    place: str
    body: Body
    group: Group
    sides: tuple[str, str] | tuple[()]
    x_mm: tuple[float, float]
    of: Feature
    runs_in: frozenset[Seat]
    seat_of: frozenset[Seat]

    @property
    def surface(self) -> bool:
        """Whether it is made of the triangles of a measured surface."""
        return self.of.surface

    @property
    def bore(self) -> int | None:
        """The bore that it belongs to, also where it is the block's own."""
        return self.body.bore if self.body.bore is not None else self.of.bore


def numbered(body: Body, fits: frozenset[Seat]) -> frozenset[Seat]:
    """Running fits of a feature, the body's own number put in where they have none."""
    return frozenset(
        seat if seat.number is not None else Seat(seat.fit, body.number_of(seat.fit)) for seat in fits
    )
