"""The piston: crown with pockets and front mark, ring belt with grooves, skirt panels, pin bosses.

Frame: A of the piston itself, which is P for a piston that stands right: origin on the bore axis at pin height,
+z to the crown, front mark towards -x, the pin at y = the pin offset.

A slipper piston of true, simple solids. Each skirt panel is an arc of a circle smaller than the bore by the
skirt's clearance and half its ovality, its centre moved out to its own side by that half: at the thrust face it
has the full diameter, and it falls away towards the pin axis. Side walls tie the panels to the bosses, and the
bosses stand in pillars under the crown. The pieces fill ring grooves, pin bore, dish, valve pockets and mark,
and nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from geometry.arrays import Array
from geometry.built import Built
from geometry.errors import GeometryError
from geometry.feature import Feature, Fit, Group, seats
from geometry.kinematics.layout import Layout
from geometry.kinematics.poses import translation
from geometry.parts.part import Body, Part, PartType
from geometry.parts.shapes import meshing
from geometry.parts.shapes.crown import CrownShape, crown, handed, inward_sign, mark_place
from geometry.parts.shapes.placing import BACK_TO_FRONT, along_x
from geometry.solids import IDENTITY, Box, Cylinder, Hull, Mesh, Piece, Revolved, rectangle
from geometry.spec.engine import Engine
from geometry.stack import crown_height_mm

if TYPE_CHECKING:
    from manifold3d import Manifold

LAND_BELOW_MM: Final = 3.0
"""Land under the last groove."""
BEHIND_GROOVE_MM: Final = 3.5
"""Wall of the ring belt behind its deepest groove."""
BOSS_BEYOND_MM: Final = 2.5
"""Boss outside the end of the pin, for its lock."""
PILLAR: Final = 0.8
"""Half width of the pillar over a boss, by the boss's radius."""
SIDE_WALL: Final = 1.3
SIDE_WALL_LOW: Final = 0.5
"""Thickness of a side wall by the skirt's, and how far it reaches below the pin by the boss's radius."""
MARK_DEEP_MM: Final = 0.4
IN_BORE: Final = seats(Fit.BORE)
NOTCH_MM: Final = 2.5
OVERLAP_MM: Final = 0.5


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """One piston for each bore; pistons whose pockets lie to one side differ from bank to bank."""
    parts: dict[tuple[float, float, float, int | None], Part] = {}
    found = []
    for site in layout.bores:
        n = site.bore
        build = built.bore(n)
        origin = layout.site(build.piston_from) if build.piston_from is not None else site
        one = built.design(spec, n)
        height = crown_height_mm(one, build)
        odd = None if one is spec else origin.bore
        key = (inward_sign(origin) if handed(spec.piston) else 1.0, origin.offset_mm, height, odd)
        if key not in parts:
            parts[key] = _part(one, *key[:3])
        X_PA = BACK_TO_FRONT if build.piston_turned else IDENTITY
        found.append(Body(f"piston {n}", parts[key], f"P{n}", X_PA, n))
    return found


def _part(spec: Engine, inward: float, offset_mm: float, height_mm: float) -> Part:
    top = crown(spec, inward, height_mm)
    bottom = belt_bottom_mm(spec, height_mm)
    if bottom <= -spec.piston.skirt.bottom_mm:
        raise GeometryError(
            "skirt", "piston.skirt.bottom", "the skirt ends above the end of the ring belt", "a longer skirt"
        )
    features = (
        *_crown_features(spec, top, bottom),
        *_skirt_features(spec, top, bottom, offset_mm),
        *_boss_features(spec, top, offset_mm),
    )
    material = spec.piston.material
    look = "cast_iron" if material == "cast_iron" else "aluminium"
    return Part("piston", look, features, partial(_mesh, spec, top, features, offset_mm), material)


def belt_bottom_mm(spec: Engine, height_mm: float) -> float:
    """Lower end of the ring belt above the pin."""
    last = spec.piston.grooves[-1]
    return height_mm - last.from_crown_mm - last.height_mm - LAND_BELOW_MM


def _crown_features(spec: Engine, top: CrownShape, bottom: float) -> list[Feature]:
    radius, inner = top.radius_mm, belt_inner_mm(spec, top.radius_mm)
    disc_low = max(top.under_mm, bottom)
    thick = top.top_mm - disc_low
    disc = Cylinder(radius, thick, translation([0.0, 0.0, disc_low + thick / 2]))
    found = [Feature("piston_crown", (disc,), "crown", group=Group.PISTON, runs_in=IN_BORE)]
    if bottom < disc_low:
        belt = Revolved(rectangle(inner, radius, bottom, disc_low))
        found.append(Feature("piston_crown", (belt,), "ring belt", group=Group.PISTON, runs_in=IN_BORE))
    if top.rise_mm > 0.0:
        z0, z1 = top.top_mm, top.top_mm + top.rise_mm
        flank = top.shape_mm - top.rise_mm
        dome = Revolved(np.array([[0.0, z0], [top.shape_mm, z0], [flank, z1], [0.0, z1]]))
        found.append(Feature("piston_crown", (dome,), "dome", group=Group.PISTON, runs_in=IN_BORE))
    return found


def belt_inner_mm(spec: Engine, radius_mm: float) -> float:
    """Inner radius of the ring belt: a wall behind the deepest groove."""
    roots = [groove.root_mm / 2 for groove in spec.piston.grooves]
    return max(min([radius_mm, *roots]) - BEHIND_GROOVE_MM, 0.3 * radius_mm)


def skirt_circle_mm(spec: Engine) -> tuple[float, float]:
    """Radius of a panel's outer arc, and how far its centre lies out to its own side."""
    full = (spec.block.bore.diameter_mm - spec.piston.skirt.clearance_mm) / 2
    shift = spec.piston.skirt.ovality_mm / 2
    return full - shift, shift


def _skirt_features(spec: Engine, top: CrownShape, bottom: float, offset_mm: float) -> list[Feature]:
    skirt = spec.piston.skirt
    outer, shift = skirt_circle_mm(spec)
    inner, half = outer - skirt.thickness_mm, skirt.spread_deg / 2
    upper = max(bottom, -skirt.bottom_mm) + OVERLAP_MM
    profile = rectangle(inner, outer, -skirt.bottom_mm, upper)
    major = 1.0 if spec.engine.rotation == "clockwise" else -1.0
    found = []
    for side in (1.0, -1.0):
        panel = Revolved(
            profile, side * 90.0 - half, side * 90.0 + half, translation([0.0, side * shift, 0.0])
        )
        walls = tuple(_side_wall(spec, top, offset_mm, side, end) for end in (1.0, -1.0))
        place = "major thrust side" if side == major else "minor thrust side"
        found.append(Feature("piston_skirt", (panel,), place, group=Group.PISTON, runs_in=IN_BORE))
        walls_at = f"{place}, side wall"
        found.append(Feature("piston_skirt", walls, walls_at, group=Group.PISTON, runs_in=IN_BORE))
    return found


def _side_wall(spec: Engine, top: CrownShape, offset_mm: float, side: float, end: float) -> Hull:
    """A wall from the end of a panel (``side`` of y, ``end`` of x) to the boss, up to the crown's underside."""
    skirt = spec.piston.skirt
    outer, shift = skirt_circle_mm(spec)
    thick = SIDE_WALL * skirt.thickness_mm
    middle = outer - skirt.thickness_mm / 2
    edge = outer * float(np.sin(np.radians(min(skirt.spread_deg, 170.0) / 2)))
    edge = min(edge, middle)
    at_panel = np.array([edge - thick / 2 - 0.1, np.sqrt(middle**2 - edge**2) + shift])
    radius = spec.piston.boss.outside_mm / 2
    x_boss = min(boss_span_mm(spec, top.radius_mm, offset_mm)[1] - thick / 2, float(at_panel[0]))
    at_boss = np.array([x_boss, side * offset_mm + PILLAR * radius - thick / 2])
    way = (at_panel - at_boss) / np.linalg.norm(at_panel - at_boss)
    across = thick / 2 * np.array([way[1], -way[0]])
    corners = np.array([at_boss + across, at_boss - across, at_panel - across, at_panel + across])
    corners *= np.array([end, side])
    low, high = -min(SIDE_WALL_LOW * radius, skirt.bottom_mm), top.under_mm + OVERLAP_MM
    return Hull(np.vstack([np.column_stack([corners, np.full(4, z)]) for z in (low, high)]))


def boss_span_mm(spec: Engine, land_mm: float, offset_mm: float) -> tuple[float, float]:
    """From where to where the rear boss reaches along x: past the pin's end, and within the ring belt."""
    boss, pin = spec.piston.boss, spec.piston.pin
    corner = boss.outside_mm / 2 + abs(offset_mm)
    within = float(np.sqrt(max(land_mm**2 - corner**2, 0.0))) - OVERLAP_MM
    outer = min(pin.length_mm / 2 + BOSS_BEYOND_MM, within)
    if outer <= boss.gap_mm / 2:
        raise GeometryError(
            "boss", "piston.boss.gap", "the gap between the pin bosses leaves no boss inside the piston",
            "a narrower gap or a smaller boss",
        )  # fmt: skip
    return boss.gap_mm / 2, outer


def _boss_features(spec: Engine, top: CrownShape, offset_mm: float) -> list[Feature]:
    inner, outer = boss_span_mm(spec, top.radius_mm, offset_mm)
    radius, length = spec.piston.boss.outside_mm / 2, outer - inner
    high = top.under_mm + OVERLAP_MM
    found = []
    for side, place in ((-1.0, "front"), (1.0, "rear")):
        x = side * (inner + outer) / 2
        round_boss = Cylinder(radius, length, along_x(x, offset_mm))
        pillar = Box((length, 2 * PILLAR * radius, high), translation([x, offset_mm, high / 2]))
        boss = (round_boss, pillar)
        seat_of = seats(Fit.BOSSES)
        found.append(Feature("pin_boss", boss, place, group=Group.PISTON, runs_in=IN_BORE, seat_of=seat_of))
    return found


def _mesh(spec: Engine, top: CrownShape, features: tuple[Feature, ...], offset_mm: float) -> Mesh:
    pieces: list[Piece] = [piece for feature in features for piece in feature.pieces]
    whole = meshing.union([meshing.piece_solid(piece) for piece in pieces])
    pin = spec.piston.pin
    bore = meshing.cylinder(pin.diameter_mm / 2, 2 * top.radius_mm, along_x(0.0, offset_mm))
    cutters = [*_groove_cutters(spec, top), bore, *_recess_cutters(top), *_mark_cutters(spec, top)]
    return meshing.to_mesh(meshing.difference(whole, cutters))


def _groove_cutters(spec: Engine, top: CrownShape) -> list[Manifold]:
    beyond = top.radius_mm + 1.0
    found = []
    for groove in spec.piston.grooves:
        high = top.top_mm - groove.from_crown_mm
        low, root = high - groove.height_mm, groove.root_mm / 2
        found.append(meshing.revolve(rectangle(root, beyond, low, high)))
    return found


def _recess_cutters(top: CrownShape) -> list[Manifold]:
    """Dish and valve pockets, cut from above; a pocket goes through the dome too."""
    roof = top.top_mm + max(top.rise_mm, 0.0) + 1.0
    found = []
    if top.rise_mm < 0.0:
        floor, rim = top.top_mm + top.rise_mm, top.shape_mm + 1.0
        foot = top.shape_mm + top.rise_mm
        profile = [(0.0, floor), (foot, floor), (rim, top.top_mm + 1.0), (0.0, top.top_mm + 1.0)]
        found.append(meshing.revolve(profile))
    for recess in top.recesses:
        floor = top.top_mm - recess.depth_mm
        X = translation([recess.x_mm, recess.y_mm, (floor + roof) / 2])
        found.append(meshing.cylinder(recess.radius_mm, roof - floor, X, meshing.BORE_SEGMENTS))
    return found


def _mark_cutters(spec: Engine, top: CrownShape) -> list[Manifold]:
    """The front mark: an arrow pointing to the front, a dot, or a notch in the front edge."""
    kind = spec.piston.front_mark
    if kind == "notch":
        deep = top.top_mm - spec.piston.grooves[0].from_crown_mm / 2
        X = translation([-top.radius_mm, 0.0, deep + top.radius_mm])
        return [meshing.cylinder(NOTCH_MM, 2 * top.radius_mm, X)]
    x, y, z = mark_place(top)
    low, high = z - MARK_DEEP_MM, z + 1.0
    if kind == "dot":
        return [meshing.cylinder(2.5, high - low, translation([x, y, (low + high) / 2]))]
    return [meshing.extrude(ARROW + np.array([x, y]), low, high)]


ARROW: Final[Array] = np.array(
    [[-5.0, 0.0], [-0.5, -3.6], [-0.5, -1.2], [5.0, -1.2], [5.0, 1.2], [-0.5, 1.2], [-0.5, 3.6]]
)
"""An arrow that points to -x, within the room that the front mark is given."""


PART = PartType("piston", bodies)
