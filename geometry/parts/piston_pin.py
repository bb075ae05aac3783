"""The piston pin: a plain tube across the piston, along the crank.

Frame: origin in the middle of the pin, its axis along x. The piece fills the pin's bore.
"""

from __future__ import annotations

from collections.abc import Sequence

from geometry.built import Built, built_linkage
from geometry.feature import Feature, Fit, Group, seats
from geometry.kinematics.layout import Layout
from geometry.kinematics.poses import translation
from geometry.parts.part import Body, Part, PartType
from geometry.parts.shapes import meshing
from geometry.parts.shapes.placing import along_x
from geometry.solids import Cylinder, Mesh, rectangle
from geometry.spec.engine import Engine
from geometry.spec.piston import PistonPin


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """One pin for each bore, where the piston as it stands carries it; all share their part."""
    part = _part(spec.piston.pin)
    offsets = built_linkage(layout, built).offset_mm
    return [
        Body(f"piston_pin {site.bore}", part, f"P{site.bore}", translation([0.0, offset, 0.0]), site.bore)
        for site, offset in zip(layout.bores, offsets, strict=True)
    ]


def _part(pin: PistonPin) -> Part:
    tube = Cylinder(pin.diameter_mm / 2, pin.length_mm, along_x(0.0))
    in_bore, for_rod = seats(Fit.BORE), seats(Fit.PISTON_PIN)
    features = (Feature("piston_pin", (tube,), group=Group.PISTON, runs_in=in_bore, seat_of=for_rod),)
    return Part("piston_pin", "steel", features, lambda: _mesh(pin))


def _mesh(pin: PistonPin) -> Mesh:
    outer, inner, half = pin.diameter_mm / 2, pin.bore_mm / 2, pin.length_mm / 2
    turned = meshing.revolve(rectangle(inner, outer, -half, half), segments=meshing.ROUND_SEGMENTS)
    return meshing.to_mesh(meshing.transform(turned, along_x(0.0)))


PART = PartType("piston_pin", bodies)
