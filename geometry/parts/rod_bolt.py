"""The rod bolts: head, shank, nut and the end of the thread.

Frame: origin on the bolt's axis at the joint of rod and cap, +z to the small end. The pieces are round, as wide
as the corners of hexagon or twelve-point head: they hold every position a head can be tightened to, and exceed
the flats of a hexagon by 0.134 of the radius. Thread and seat radii are left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, pi
from typing import TYPE_CHECKING, Final, Literal

from geometry.built import Built
from geometry.feature import Feature, Group
from geometry.kinematics.layout import BoreSite, Layout
from geometry.kinematics.poses import translation
from geometry.parts.part import Body, Part, PartType
from geometry.parts.shapes import meshing
from geometry.parts.shapes.rod_shape import BIG_END_FITS
from geometry.solids import Cylinder, Mesh
from geometry.spec.engine import Engine
from geometry.spec.rod import RodBolt

if TYPE_CHECKING:
    from manifold3d import Manifold

FLANGE_HIGH: Final = 0.25
POINTS_WIDE: Final = 0.88
"""A twelve-point head: a round flange a quarter of its height, the points a little narrower."""
EDGE: Final = 0.12
"""Chamfer of head, nut and thread end, by the radius; 30 degrees for heads and nuts."""
SLOPE_30: Final = 0.5774
CORNERED: Final = ("head", "nut")
"""Lengths of a bolt that have corners."""


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """Two bolts for each rod, named by the thrust side that each stands on as installed."""
    parts: dict[tuple[float, float], Part] = {}
    found = []
    for site in layout.bores:
        build = built.bore(site.bore)
        bolt = spec.rod.bolt.model_copy(update={"length_mm": spec.rod.bolt.length_mm + build.bolt_longer_mm})
        for side, out in zip((-1.0, 1.0), build.bolt_out_mm, strict=True):
            # A cap screw moves as one; of a bolt with a nut the nut stays where it is.
            lift = out if bolt.kind == "bolt_and_nut" else 0.0
            key = (lift, bolt.length_mm)
            if key not in parts:
                parts[key] = _part(bolt, lift)
            down = out if bolt.kind == "cap_screw" else 0.0
            X = translation([0.0, side * bolt.spacing_mm / 2, -down])
            n = site.bore
            found.append(Body(f"rod_bolt {n} {thrust_side(site, side)}", parts[key], f"R{n}", X, n))
    return found


def thrust_side(site: BoreSite, y_mm: float) -> Literal["major", "minor"]:
    """The thrust side on which a bolt stands that lies at ``y_mm`` of its rod's frame; only the sign counts."""
    return "major" if (y_mm > 0) == (site.thrust_ring_deg == 90.0) else "minor"


def spans_mm(bolt: RodBolt, lift_mm: float = 0.0) -> dict[str, tuple[float, float, float]]:
    """Each length of the bolt: radius, lower and upper end, by the place a builder would name."""
    shank, head = bolt.diameter_mm / 2, bolt.head_diameter_mm / 2
    if bolt.kind == "cap_screw":
        return {
            "head": (head, -bolt.seat_mm - bolt.head_height_mm, -bolt.seat_mm),
            "shank": (shank, -bolt.seat_mm, bolt.length_mm - bolt.seat_mm),
        }
    under_head = bolt.shoulder_mm + lift_mm
    nut_low = -bolt.seat_mm - (bolt.nut_height_mm or 0.0)
    tip = under_head - bolt.length_mm
    spans = {
        "head": (head, under_head, under_head + bolt.head_height_mm),
        "shank": (shank, max(nut_low, tip), under_head),
        "nut": ((bolt.nut_diameter_mm or 0.0) / 2, nut_low, -bolt.seat_mm),
    }
    if tip < nut_low:
        spans["thread end"] = (shank, tip, nut_low)
    return spans


def behind_circle_mm(bolt: RodBolt) -> float:
    """How far a head or nut lies, at most, inside the circle round its corners: by plane geometry.

    Between two corners of a hexagon its flat stands at cos 30 degrees of the circle; two hexagons turned by 30
    degrees, which make twelve points, meet at cos 30 / cos 15.
    """
    hexagon = max(bolt.head_diameter_mm, bolt.nut_diameter_mm or 0.0) / 2 * (1.0 - cos(pi / 6))
    twelve = bolt.head_diameter_mm / 2 * (1.0 - POINTS_WIDE * cos(pi / 6) / cos(pi / 12))
    return twelve if bolt.kind == "cap_screw" else hexagon


def _part(bolt: RodBolt, lift_mm: float) -> Part:
    spans = spans_mm(bolt, lift_mm)
    features = tuple(
        Feature("rod_bolt", (_round(*span),), at, group=Group.ROD, runs_in=BIG_END_FITS, round_head=at in CORNERED)
        for at, span in spans.items()
    )  # fmt: skip
    return Part("rod_bolt", "steel", features, lambda: _mesh(bolt, spans))


def _round(radius: float, low: float, high: float) -> Cylinder:
    return Cylinder(radius, high - low, translation([0.0, 0.0, (low + high) / 2]))


def _mesh(bolt: RodBolt, spans: dict[str, tuple[float, float, float]]) -> Mesh:
    lowest = min(low for place, (_, low, _) in spans.items() if place in ("shank", "thread end"))
    radius, _, highest = spans["shank"]
    if bolt.kind == "cap_screw":
        solids = [_stem(radius, lowest - FLANGE_HIGH * bolt.head_height_mm, highest, up=True)]
        solids += _twelve_point(*spans["head"])
    else:
        solids = [_stem(radius, lowest, highest + FLANGE_HIGH * bolt.head_height_mm, up=False)]
        solids += [_hexagon(*spans["head"], edge_up=True), _hexagon(*spans["nut"], edge_up=False)]
    return meshing.to_mesh(meshing.union(solids))


def _stem(radius: float, low: float, high: float, up: bool) -> Manifold:
    """The shank, its thread end chamfered and its other end hidden in the head."""
    edge = min(2 * EDGE * radius, (high - low) / 2)
    return _chamfered(radius, low, high, edge, edge, up)


def _rounded(radius: float, low: float, high: float, edge_up: bool) -> Manifold:
    """A full cylinder with the 30 degree chamfer that leaves the corners of a hexagon as wide as said."""
    return _chamfered(radius, low, high, EDGE * radius, EDGE * radius * SLOPE_30, edge_up)


def _chamfered(radius: float, low: float, high: float, edge: float, drop: float, up: bool) -> Manifold:
    """A full cylinder, its upper or lower edge cut back by ``edge`` and down by ``drop``."""
    corners = [(0.0, low), (radius, low), (radius, high - drop), (radius - edge, high), (0.0, high)]
    if not up:
        corners = [(0.0, low), (radius - edge, low), (radius, low + drop), (radius, high), (0.0, high)]
    return meshing.revolve(corners, segments=meshing.ROUND_SEGMENTS)


def _hexagon(radius: float, low: float, high: float, edge_up: bool) -> Manifold:
    prism = meshing.extrude(_corners(radius, 0.0), low, high)
    return meshing.intersection([prism, _rounded(radius, low, high, edge_up)])


def _corners(radius: float, start_deg: float) -> list[tuple[float, float]]:
    ring = meshing.arc((0.0, 0.0), radius, start_deg, start_deg + 300.0, 5)
    return [(float(x), float(y)) for x, y in ring]


def _twelve_point(radius: float, low: float, high: float) -> list[Manifold]:
    """Flange under the seat, twelve points below it."""
    split = high - FLANGE_HIGH * (high - low)
    flange = meshing.revolve(
        [(0.0, split), (radius, split), (radius, high), (0.0, high)], segments=meshing.ROUND_SEGMENTS
    )
    points = POINTS_WIDE * radius
    star = meshing.plate([_corners(points, 0.0), _corners(points, 30.0)], low, split)
    return [flange, meshing.intersection([star, _rounded(points, low, split, edge_up=False)])]


PART = PartType("rod_bolt", bodies)
