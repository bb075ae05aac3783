"""Valves: a flat round head and a stem, parallel to the bore, each on its own frame that goes down with its lift.

Frame: A of the valve itself, origin at the middle of the lower face of its head, +z up the stem. The file gives place
and diameter of the head; its thickness, its stem and that it stands parallel to the bore are assumptions.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Final

from geometry.built import Built
from geometry.feature import Feature, Fit, Group, seats
from geometry.kinematics.layout import Layout
from geometry.kinematics.poses import translation
from geometry.kinematics.valve_lift import ValveTiming, frame_name, valve_timings
from geometry.parts.head import chamber
from geometry.parts.part import Body, Part, PartType
from geometry.parts.shapes import meshing
from geometry.parts.shapes.crown import inward_sign
from geometry.solids import Cylinder, Mesh
from geometry.spec.engine import Engine
from geometry.stack import face_mm

HEAD_MM: Final = 2.5
"""Thickness of a valve's head at its edge, taken all the way in; usual is less, no source."""
STEM_RADIUS_MM: Final = 4.0
BEYOND_MM: Final = 1.0
"""How far the stem of an open valve reaches into the roof of the chamber."""


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """Every valve of every bore; the same valve of all bores is one part."""
    face = face_mm(spec)
    found = []
    for timing in valve_timings(spec):
        part = _part(spec, timing)
        for site in layout.bores:
            valve = timing.valve
            at = [-valve.forward_mm, inward_sign(site) * valve.inward_mm, face - timing.seat_below_mm]
            name, frame = body_name(spec, timing.number, site.bore), frame_name(site.bore, timing.number)
            found.append(Body(name, part, frame, translation(at), site.bore))
    return found


def body_name(spec: Engine, number: int, bore: int) -> str:
    """Such as ``intake_valve 3``; with a number behind where a bore has several of a kind."""
    which = rank(spec, number)
    return f"{spec.head.valves[number - 1].valve}_valve {bore}" + (f" {which}" if which else "")


def rank(spec: Engine, number: int) -> int:
    """Which of several valves of its kind in a bore, from 1 in the order of the file; 0 where it is the only one."""
    kind = spec.head.valves[number - 1].valve
    alike = [k for k, valve in enumerate(spec.head.valves, start=1) if valve.valve == kind]
    return alike.index(number) + 1 if len(alike) > 1 else 0


def _part(spec: Engine, timing: ValveTiming) -> Part:
    radius = timing.valve.diameter_mm / 2
    stem = max(chamber(spec).depth_mm + timing.seat_below_mm + timing.curve.full_mm + BEYOND_MM, 2 * HEAD_MM)
    pieces = (
        Cylinder(radius, HEAD_MM, translation([0.0, 0.0, HEAD_MM / 2])),
        Cylinder(min(STEM_RADIUS_MM, radius / 2), stem, translation([0.0, 0.0, stem / 2])),
    )
    which = rank(spec, timing.number)
    feature = Feature(
        f"{timing.valve.valve}_valve", pieces, f"no. {which}" if which else "",
        group=Group.VALVE, runs_in=seats(Fit.VALVE),
    )  # fmt: skip
    return Part("valve", "steel", (feature,), partial(_mesh, pieces))


def _mesh(pieces: tuple[Cylinder, ...]) -> Mesh:
    return meshing.to_mesh(meshing.union([meshing.piece_solid(p, meshing.ROUND_SEGMENTS) for p in pieces]))


PART = PartType("valve", bodies)
