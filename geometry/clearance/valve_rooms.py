"""How near the piston in one bore comes to each of its valves, by the same pairs and search as every clearance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geometry.assembly import Assembly
from geometry.clearance.over_crown import ALONG
from geometry.clearance.pairs import Pair, over_crowns, places
from geometry.collision.certify import TOLERANCE_MM, Approach, Memory, certify_all
from geometry.kinematics.layout import BoreSite
from geometry.kinematics.poses import inverse, rot_x_deg
from geometry.parts.part import Body


@dataclass(frozen=True, slots=True, eq=False)
class ValveRoom:
    """One valve over the piston of its bore through the whole cycle.

    Attributes
    ----------
    valve : ``intake`` or ``exhaust``
    number : its place in the file's list of valves, from 1
    pair : what stands in for the crown under the valve, and the valve
    approach : certified least gap along the bore
    at_B_mm : middle of the valve's lower face in the bore's frame, at the crank angle of the least gap
    """

    valve: str
    number: int
    pair: Pair
    approach: Approach
    at_B_mm: tuple[float, float, float]

    @property
    def room_mm(self) -> float:
        """The least gap along the bore; below zero the piston hits the valve by that much."""
        return self.approach.min_mm


def valve_rooms(assembly: Assembly, site: BoreSite) -> tuple[ValveRoom, ...]:
    """Every valve of one bore over the piston that is in it, in the order of the file."""
    return valve_rooms_of([(assembly, site)])[0]


def valve_rooms_of(asked: Sequence[tuple[Assembly, BoreSite]]) -> list[tuple[ValveRoom, ...]]:
    """``valve_rooms`` of several bores of one design, each of an engine as put together, by one search."""
    pairs = [_pairs(assembly, site) for assembly, site in asked]
    every = [pair for own in pairs for pair in own]
    if not every:
        return [() for _ in asked]
    found = iter(
        certify_all(
            [(pair.a, pair.b) for pair in every],
            [pair.period_deg for pair in every],
            TOLERANCE_MM,
            memory=_memory(id(asked[0][0].spec)),
        )
    )
    return [
        tuple(
            ValveRoom(valve.valve, number, pair, approach, _low_B_mm(assembly, site, pair.b.body, approach))
            for number, (valve, pair, approach) in enumerate(
                zip(assembly.spec.head.valves, own, found, strict=False), start=1
            )
        )
        for (assembly, site), own in zip(asked, pairs, strict=True)
    ]


def _pairs(assembly: Assembly, site: BoreSite) -> list[Pair]:
    """Each valve of one bore with what stands in for the crown under it."""
    mine = [b for b in assembly.bodies if b.bore == site.bore and b.part.kind in ("piston", "valve")]
    return [p for p in over_crowns(assembly, places(assembly, mine)) if p.limit in ALONG.values()]


@lru_cache(maxsize=4)
def _memory(spec_id: int) -> Memory:
    """Answers kept per engine, so that bores that are alike are solved once."""
    return Memory()


def _low_B_mm(
    assembly: Assembly, site: BoreSite, valve: Body, approach: Approach
) -> tuple[float, float, float]:
    X_EB = rot_x_deg(site.bank_deg)
    X_EB[0, 3] = site.x_mm
    X_BA = inverse(X_EB) @ assembly.frame_poses(approach.crank_deg)[valve.frame] @ valve.X_FA
    x, y, z = (float(v) for v in np.asarray(X_BA[:3, 3]))
    return x, y, z
