"""The main bearing caps with their bolts: equal parts, one below each main web."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Final

import numpy as np
from manifold3d import CrossSection

from geometry.built import Built
from geometry.feature import Feature, Fit, Group, seats
from geometry.kinematics.layout import Layout
from geometry.kinematics.poses import translation
from geometry.parts.part import Body, Part, PartType
from geometry.parts.shapes import meshing
from geometry.parts.shapes.block_features import RING_MM
from geometry.parts.shapes.block_section import block_section
from geometry.parts.shapes.convex import polygon_between, prisms, region
from geometry.parts.shapes.meshing import ALONG_X
from geometry.parts.shapes.placing import BACK_TO_FRONT
from geometry.solids import IDENTITY, Hull, Mesh, Piece, Revolved, rectangle
from geometry.spec.engine import Engine

HEAD_ACROSS: Final = 1.73
HEAD_HEIGHT: Final = 0.64
"""Bolt head over the corners and its height, in bolt diameters: proportions of ISO 4014, from memory."""
HEADS: Final = "the heads of the main cap bolts are taken in proportion to the bolts"
ARROW_MM: Final = 0.8
ARROW_LONG: Final = 0.55
"""The raised arrow: how high it stands, and its length by the cap's thickness."""


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """One cap at each main bearing, numbered from the front; all share one part."""
    bore = block_section(spec, layout).main_bore_mm
    pieces, seat_of = tuple(cap_pieces(spec, bore)), seats(Fit.MAIN_BEARING)
    features = [Feature("main_cap", pieces, group=Group.BLOCK, seat_of=seat_of)]
    for place, sign in (("right", 1), ("left", -1)):
        head = (bolt_head(spec, sign),)
        features.append(Feature("main_cap_bolt", head, place, "steel", group=Group.BLOCK, assumed=HEADS))
    part = Part("main_cap", "cast_iron", tuple(features), partial(_mesh, spec, bore))
    return [
        Body(
            f"main_cap {number}",
            part,
            "E",
            translation([x, 0.0, 0.0]) @ (BACK_TO_FRONT if number in built.main_cap_turned else IDENTITY),
            main=number,
        )
        for number, x in enumerate(layout.main_x_mm, start=1)
    ]


def cap_pieces(spec: Engine, bore_mm: float) -> Iterator[Piece]:
    """The cap without bolts, in a frame on the crank axis at its middle: exact.

    Parameters
    ----------
    bore_mm : radius of the main bore
    """
    cap = spec.block.main_cap
    half, top = cap.thickness_mm / 2, spec.block.web_bottom_mm
    body = _body(spec) - region(polygon_between(bore_mm, bore_mm + RING_MM))
    yield from prisms(body, -half, half, ALONG_X)
    dip = float(np.degrees(np.arcsin(np.clip(top / bore_mm, -0.9, 0.9))))
    outer = bore_mm + RING_MM
    yield Revolved(rectangle(bore_mm, outer, -half, half), 180.0 - dip, 360.0 + dip, ALONG_X)
    yield _arrow(spec)


def bolt_head(spec: Engine, sign: int) -> Hull:
    """The hexagon head under the cap, right (+1) or left (-1)."""
    cap = spec.block.main_cap
    radius, height = HEAD_ACROSS * cap.bolt_diameter_mm / 2, HEAD_HEIGHT * cap.bolt_diameter_mm
    at = np.radians(np.arange(6) * 60.0)
    ring = radius * np.column_stack([np.cos(at), np.sin(at)]) + [0.0, sign * cap.bolt_spacing_mm / 2]
    ends = [np.column_stack([ring, np.full(6, z)]) for z in (-cap.height_mm, -cap.height_mm - height)]
    return Hull(np.vstack(ends))


def _body(spec: Engine) -> CrossSection:
    cap, top = spec.block.main_cap, spec.block.web_bottom_mm
    half = cap.width_mm / 2
    return region(rectangle(-half, half, -cap.height_mm, top))


def _arrow(spec: Engine) -> Hull:
    """A raised arrow on the underside that points to the front."""
    cap = spec.block.main_cap
    length = cap.thickness_mm * ARROW_LONG
    outline = np.array([[-length / 2, 0.0], [length / 2, length / 2], [length / 2, -length / 2]])
    ends = [np.column_stack([outline, np.full(3, z)]) for z in (-cap.height_mm, -cap.height_mm - ARROW_MM)]
    return Hull(np.vstack(ends))


def _mesh(spec: Engine, bore_mm: float) -> Mesh:
    half = spec.block.main_cap.thickness_mm / 2
    body = meshing.transform(_body(spec).extrude(2 * half).translate((0.0, 0.0, -half)), ALONG_X)
    hole = meshing.cylinder(bore_mm, 2 * half + 2.0, ALONG_X)
    stands_out = [bolt_head(spec, 1), bolt_head(spec, -1), _arrow(spec)]
    solids = [meshing.difference(body, [hole]), *(meshing.hull(piece.points_mm) for piece in stands_out)]
    return meshing.to_mesh(meshing.union(solids))


PART = PartType("main_cap", bodies)
