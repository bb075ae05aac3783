"""The head gaskets, one on each deck."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from geometry.built import Built
from geometry.feature import Feature, Group
from geometry.kinematics.layout import Layout
from geometry.parts.part import Body, Part, PartType
from geometry.parts.shapes.block_section import block_section
from geometry.parts.shapes.deck_plate import body_name, plate_mesh, plate_pieces
from geometry.spec.engine import Engine


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """A plate as thick as the gasket is when tightened down, open over each bore."""
    found = []
    for bank in block_section(spec, layout).banks:
        opening, low = spec.gasket.bore_mm / 2, bank.deck_mm
        high = low + spec.gasket.thickness_mm
        pieces, behind = tuple(plate_pieces(bank, opening, low, high)), frozenset(bank.bores)
        plate = Feature("gasket", pieces, group=Group.HEAD, behind=behind)
        part = Part("gasket", "gasket", (plate,), partial(plate_mesh, bank, opening, low, high))
        found.append(Body(body_name("gasket", bank), part, "E", bank.X_EB))
    return found


PART = PartType("gasket", bodies)
