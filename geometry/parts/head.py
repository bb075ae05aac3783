"""The heads as far as a piston meets them: a slab with its face and a plain round chamber over each bore.

Real chambers are not round. The recess here has the stated volume and leaves a flat band around the bore, so
that the distance between crown and face is true there; what happens inside the chamber is not claimed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from math import pi
from typing import Final

from geometry.built import Built
from geometry.feature import Feature, Fit, Group, seats
from geometry.kinematics.layout import Layout
from geometry.parts.part import Body, Part, PartType
from geometry.parts.shapes import meshing
from geometry.parts.shapes.block_features import bank_outline
from geometry.parts.shapes.block_section import Bank, block_section
from geometry.parts.shapes.convex import prisms
from geometry.parts.shapes.deck_plate import body_name, plate_pieces
from geometry.solids import IDENTITY, Mesh, rectangle
from geometry.spec.engine import Engine
from geometry.stack import face_mm

CHAMBER_SHARE: Final = 0.85
"""Radius of the chamber over that of the bore: a usual band of flat face around it, no source."""
ROUND_CHAMBER: Final = "the chambers are taken as plain round recesses of the stated volume"
SLAB_MM: Final = 14.0
SHALLOWEST_MM: Final = 0.5


@dataclass(frozen=True, slots=True)
class Chamber:
    """The recess over a bore, from the head's face upwards; none when its depth is zero."""

    radius_mm: float
    depth_mm: float


def chamber(spec: Engine) -> Chamber:
    """The chamber as a plain cylinder of the stated volume, wide enough for a domed crown."""
    bore, crown = spec.block.bore.diameter_mm / 2, spec.piston.crown
    radius = CHAMBER_SHARE * bore
    if crown.shape == "dome" and crown.diameter_mm is not None:
        radius = min(max(radius, crown.diameter_mm / 2 + 2.0), 0.98 * bore)
    depth = spec.head.chamber_cm3 * 1000.0 / (pi * radius**2)
    return Chamber(radius, depth if depth >= SHALLOWEST_MM else 0.0)


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """One head on each bank, in the bank's frame."""
    found = []
    for bank in block_section(spec, layout).banks:
        part = Part("head", spec.block.material, tuple(_features(spec, bank)), partial(_mesh, spec, bank))
        found.append(Body(body_name("head", bank), part, "E", bank.X_EB))
    return found


def _features(spec: Engine, bank: Bank) -> Iterator[Feature]:
    place = "" if bank.name == "line" else f"{bank.name} bank"
    face, recess = face_mm(spec), chamber(spec)
    outline = bank_outline(bank)
    holds = seats(Fit.VALVE, numbers=bank.bores)
    if recess.depth_mm > 0:
        roof = face + recess.depth_mm
        band = tuple(plate_pieces(bank, recess.radius_mm, face, roof))
        yield Feature("head_face", band, place, group=Group.HEAD, seat_of=holds)
        over = tuple(prisms(outline, roof, roof + SLAB_MM, IDENTITY))
        yield Feature("chamber", over, place, group=Group.HEAD, seat_of=holds, assumed=ROUND_CHAMBER)
    else:
        whole = tuple(prisms(outline, face, face + SLAB_MM, IDENTITY))
        yield Feature("head_face", whole, place, group=Group.HEAD, seat_of=holds)


def _mesh(spec: Engine, bank: Bank) -> Mesh:
    face, recess = face_mm(spec), chamber(spec)
    high = face + recess.depth_mm + SLAB_MM
    slab = bank_outline(bank).extrude(high - face).translate((0.0, 0.0, face))
    if recess.depth_mm > 0:
        low, roof = face - 1.0, face + recess.depth_mm
        hole = meshing.revolve(rectangle(0.0, recess.radius_mm, low, roof))
        slab = meshing.difference(slab, [hole.translate((x, 0.0, 0.0)) for x in bank.bores_x_mm])
    return meshing.to_mesh(slab)


PART = PartType("head", bodies)
