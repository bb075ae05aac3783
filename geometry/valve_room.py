"""Room between a piston's crown and the valves above it, in closed form.

A valve is taken as a flat disc square to the bore, as it stands when the piston passes top dead centre between
exhaust and intake. The piston comes straight up under it, so only heights along the bore count: what meets first
is the highest point of the crown under the disc. A pocket makes room only for a disc that fits inside it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from geometry.assembly import Assembly
from geometry.layout import BoreSite
from geometry.motion import dead_centres
from geometry.parts.crown import Crown, crown, inward_sign
from geometry.spec.top import Valve


@dataclass(frozen=True, slots=True)
class ValveRoom:
    """One valve over its piston at top dead centre.

    Attributes
    ----------
    valve : ``intake`` or ``exhaust``
    room_mm : how far the piston could rise further before it meets the valve; below zero it hits by that much
    over_edge_mm : how far the disc reaches over the edge of the nearest pocket; zero or below: it fits inside
    at_B_mm : middle of the disc's lower face in the bore's frame
    """

    valve: str
    room_mm: float
    over_edge_mm: float | None
    at_B_mm: tuple[float, float, float]


def valve_rooms(assembly: Assembly, site: BoreSite) -> tuple[ValveRoom, ...]:
    """Every valve of one bore over the piston that is in it, the tightest first."""
    spec, built = assembly.spec, assembly.built.bore(site.bore)
    origin = site if built.piston_from is None else assembly.layout.site(built.piston_from)
    height = spec.piston.compression_height_mm + built.compression_height_change_mm
    top = crown(spec, inward_sign(origin), height)
    flat = float(dead_centres(assembly.linkage).top_height_mm[assembly.layout.index(site.bore)]) + height
    face = spec.block.deck_height_mm + spec.gasket.thickness_mm
    turn = -1.0 if built.piston_turned else 1.0
    rooms = [_room(top, flat, face, turn, valve, inward_sign(site)) for valve in spec.head.valves]
    return tuple(sorted(rooms, key=lambda room: room.room_mm))


def _room(top: Crown, flat_mm: float, face_mm: float, turn: float, valve: Valve, inward: float) -> ValveRoom:
    x, y = -valve.forward_mm, inward * valve.inward_mm
    radius, low = valve.diameter_mm / 2, face_mm - valve.below_deck_mm
    over = [
        (math.hypot(x - turn * r.x_mm, y - turn * r.y_mm) + radius - r.radius_mm, r.depth_mm)
        for r in top.recesses
    ]
    highest = _highest_mm(top, math.hypot(x, y), radius)
    for reach, depth in over:
        if reach <= 0.0:
            highest = min(highest, -depth)
    nearest = min((reach for reach, _ in over), default=None)
    return ValveRoom(valve.valve, low - flat_mm - highest, nearest, (x, y, low))


def _highest_mm(top: Crown, out_mm: float, radius_mm: float) -> float:
    """Highest point of dish, dome or flat under a disc whose middle lies ``out_mm`` from the axis."""
    if top.rise_mm >= 0.0:
        nearest = max(0.0, out_mm - radius_mm)
        return min(max(top.shape_mm - nearest, 0.0), top.rise_mm)
    farthest = out_mm + radius_mm
    return -min(max(top.shape_mm - farthest, 0.0), -top.rise_mm)
