"""What stands in for a crown against the valves above it, pockets and all, so that the search can certify it.

A crown with its pockets is hollow, but piston and valve both move along the bore and in no other direction. So two
convex stand-ins, fixed to the piston, say exactly what clay between them would:

- *along the bore*: a cylinder below the valve, as wide as its head, whose top is the highest point of the crown under
  it (``parts.crown_meets``). Its distance from the valve is the gap along the bore, above zero and below, and the two
  meet if and only if valve and piston do.
- *sideways*: for each stretch of the pocket's wall a block that touches it where it is nearest to the valve, square
  to the way there and as high as the wall. Its distance from the valve is that of the wall's nearest point, in any
  direction; where the valve cuts into the wall, the depth is the way back out of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot
from typing import Final, TypeAlias

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.kinematics.layout import BoreSite
from geometry.kinematics.poses import translation
from geometry.parts.shapes.crown import CrownShape, crown, inward_sign
from geometry.parts.shapes.crown_meets import ROUNDING_MM, PocketWall, highest_under_mm, pocket_walls
from geometry.parts.valve import rank
from geometry.solids import Box, Cylinder, Piece
from geometry.spec.top import Valve
from geometry.stack import crown_height_mm

Crowns: TypeAlias = dict[tuple[float, float, int | None], CrownShape]
"""Crowns by the side that counts inward, by compression height, and by the bore of a piston that is an odd one: laying
one out takes a while."""
ALONG: Final = {"intake": "piston_to_intake_valve", "exhaust": "piston_to_exhaust_valve"}
"""Name of the least gap along the bore for each kind of valve."""
DEEP: Final = 4.0
"""Depth of a stand-in by the valve's radius: so deep that up is the shortest way out."""


@dataclass(frozen=True, slots=True, eq=False)
class StandIn:
    """Convex pieces of a crown, exact against one valve.

    Attributes
    ----------
    feature, place : as it is named in tables and in ``--curve``
    limit : name of the least clearance it is held to
    pieces : in the frame P of its bore
    """

    feature: str
    place: str
    limit: str
    pieces: tuple[Piece, ...]


def stand_ins(assembly: Assembly, bore: int, number: int, crowns: Crowns) -> Iterator[StandIn]:
    """What one valve, by its number in the file, can meet of the piston that is in a bore.

    Parameters
    ----------
    crowns : crowns laid out before, to be reused and added to
    """
    site, valve = assembly.layout.site(bore), assembly.spec.head.valves[number - 1]
    which = rank(assembly.spec, number)
    place = f"under the {valve.valve} valve" + (f" no. {which}" if which else "")
    top, turn = crown_in(assembly, site, crowns)
    at = axis_mm(site, valve)
    radius = valve.diameter_mm / 2
    highest = top.top_mm + highest_under_mm(top, turn * at[0], turn * at[1], radius)
    below = Cylinder(radius, DEEP * radius, translation([*at, highest - DEEP * radius / 2]))
    yield StandIn("piston_crown", place, ALONG[valve.valve], (below,))
    walls = pocket_walls(top, turn * at[0], turn * at[1])
    if walls:
        blocks = tuple(_block(top, turn, at, wall, radius) for wall in walls)
        yield StandIn("valve_pocket", place, "valve_to_pocket", blocks)


def crown_in(assembly: Assembly, site: BoreSite, crowns: Crowns) -> tuple[CrownShape, float]:
    """The crown of the piston that is in a bore, and the sign of its own x and y in the bore: -1 turned round."""
    one, built = assembly.design(site.bore), assembly.built.bore(site.bore)
    origin = site if built.piston_from is None else assembly.layout.site(built.piston_from)
    odd = None if one is assembly.spec else origin.bore
    key = inward_sign(origin), crown_height_mm(one, built), odd
    if key not in crowns:
        crowns[key] = crown(one, *key[:2])
    return crowns[key], -1.0 if built.piston_turned else 1.0


def axis_mm(site: BoreSite, valve: Valve) -> tuple[float, float]:
    """Where a valve's axis stands in the frame of its bore."""
    return -valve.forward_mm, inward_sign(site) * valve.inward_mm


def _block(top: CrownShape, turn: float, at: tuple[float, float], wall: PocketWall, radius: float) -> Box:
    """A block beyond the nearest point of a wall, square to the way there from the valve's axis."""
    x, y = turn * wall.x_mm, turn * wall.y_mm
    way = np.array([x - at[0], y - at[1]])
    length = hypot(*way)
    u = way / length if length > ROUNDING_MM else np.array([1.0, 0.0])
    deep = DEEP * radius
    X: Array = np.eye(4)
    X[:3, 0], X[:3, 1] = [u[0], u[1], 0.0], [-u[1], u[0], 0.0]
    X[:3, 3] = [x + u[0] * deep / 2, y + u[1] * deep / 2, top.top_mm + wall.rim_mm - deep / 2]
    return Box((deep, 2 * deep, deep), X)
