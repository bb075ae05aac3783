"""Where the things stand that a check judges: crank angle to see them at, and ends of the dimension in frame E."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from geometry.assembly import Assembly
from geometry.built import BoreBuild
from geometry.checks.corners import Corner, nearest_corner
from geometry.checks.trouble_spot import Point
from geometry.kinematics.layout import BoreSite
from geometry.kinematics.slider_crank import dead_centres
from geometry.parts.rod_bolt import spans_mm, thrust_side
from geometry.parts.shapes.ring_shape import gap_half_deg, gap_in_bore_mm, groove_of
from geometry.rings.clocked import gap_angles
from geometry.stack import crown_height_mm, face_mm

RING_BODY = {
    "top": "top_ring", "second": "second_ring", "upper_rail": "upper_rail", "expander": "expander",
    "lower_rail": "lower_rail",
}  # fmt: skip
"""Kind of part of each ring, by its name on the clock."""
Role = Literal["major", "minor"]


@dataclass(frozen=True, slots=True)
class SpotPlace:
    """Where to look: crank angle (None: any), parts concerned, ends of the dimension in E."""

    crank_deg: float | None
    bodies: tuple[str, ...]
    a_mm: Point | None
    b_mm: Point


def top_deg(assembly: Assembly, site: BoreSite) -> float:
    """True top dead centre of a bore, 0 to below 360."""
    return float(dead_centres(assembly.linkage).top_deg[assembly.layout.index(site.bore)])


def bottom_deg(assembly: Assembly, site: BoreSite) -> float:
    """True bottom dead centre of a bore, 0 to below 360."""
    return float(dead_centres(assembly.linkage).bottom_deg[assembly.layout.index(site.bore)])


def _carried(
    assembly: Assembly, frame: str, crank_deg: float, bodies: tuple[str, ...], *points: Sequence[float]
) -> SpotPlace:
    """One or two points of a moving frame, in E at a crank angle."""
    X_EF = assembly.frame_poses(crank_deg)[frame]
    found = [tuple(float(v) for v in (X_EF @ np.array([*point, 1.0]))[:3]) for point in points]
    ends = [(x, y, z) for x, y, z in found]
    return SpotPlace(crank_deg % 360.0, bodies, ends[0] if len(ends) > 1 else None, ends[-1])


def ring_gap(assembly: Assembly, site: BoreSite, role: str, other: str = "") -> SpotPlace:
    """The two ends of a ring's gap at the bore's wall, the piston at its top; or one gap and that of another ring."""
    bodies = tuple(f"{RING_BODY[ring]} {site.bore}" for ring in (role, other) if ring)
    if other:
        points = [_middle(_gap_ends(assembly, site, ring)) for ring in (role, other)]
    else:
        points = list(_gap_ends(assembly, site, role))
    return _carried(assembly, f"P{site.bore}", top_deg(assembly, site), bodies, *points)


def _middle(ends: tuple[Point, Point]) -> Point:
    (ax, ay, az), (bx, by, bz) = ends
    return (ax + bx) / 2, (ay + by) / 2, (az + bz) / 2


def _gap_ends(assembly: Assembly, site: BoreSite, role: str) -> tuple[Point, Point]:
    """Both ends of a gap in the piston's frame, at half the height of the groove that the ring lies in."""
    build, one = assembly.built.bore(site.bore), assembly.design(site.bore)
    angles = gap_angles(assembly.spec, site, build)
    # a ring that is missing is looked for where its gap should stand
    ring_deg = angles[role] if role in angles else gap_angles(assembly.spec, site, BoreBuild()).get(role, 0.0)
    home = role if role in ("top", "second") else "oil"
    if build.rings_exchanged and home != "oil":
        home = "second" if home == "top" else "top"
    groove = groove_of(one, home) or one.piston.grooves[-1]
    height = crown_height_mm(one, build) - groove.from_crown_mm - groove.height_mm / 2
    radius = (build.bore_diameter_mm or one.block.bore.diameter_mm) / 2
    half = gap_half_deg(_gap_mm(assembly, site, role), radius)

    def at(angle_deg: float) -> Point:
        turn = math.radians(angle_deg)
        return -radius * math.cos(turn), radius * math.sin(turn), height

    return at(ring_deg - half), at(ring_deg + half)


def _gap_mm(assembly: Assembly, site: BoreSite, role: str) -> float:
    """Width of a ring's gap in its bore as built; an expander's ends butt."""
    build, one = assembly.built.bore(site.bore), assembly.design(site.bore)
    rings = one.rings
    rail = 0.0 if rings.oil is None else rings.oil.rail_gap_mm
    second = rings.top if rings.second is None else rings.second
    written = {"top": rings.top.gap_mm, "second": second.gap_mm, "expander": 0.0}.get(role, rail)
    return 0.0 if role == "expander" else gap_in_bore_mm(one, build, role, written)


def crown(assembly: Assembly, site: BoreSite) -> SpotPlace:
    """The crown at its top dead centre and the head's face over it, on the bore's axis."""
    one, build = assembly.design(site.bore), assembly.built.bore(site.bore)
    crank, bodies = top_deg(assembly, site), (f"piston {site.bore}",)
    at = (0.0, 0.0, crown_height_mm(one, build))
    place = _carried(assembly, f"P{site.bore}", crank, bodies, at)
    return replace(place, a_mm=place.b_mm, b_mm=_in_bore(site, (0.0, 0.0, face_mm(assembly.spec))))


def skirt(assembly: Assembly, site: BoreSite) -> SpotPlace:
    """The skirt's major thrust side and the wall beside it, the piston at its top."""
    one = assembly.design(site.bore)
    wall = (assembly.built.bore(site.bore).bore_diameter_mm or one.block.bore.diameter_mm) / 2
    side = 1.0 if site.thrust_ring_deg == 90.0 else -1.0
    height = -one.piston.skirt.bottom_mm / 2
    own = one.block.bore.diameter_mm / 2 - one.piston.skirt.clearance_mm / 2
    ends = (0.0, side * own, height), (0.0, side * wall, height)
    return _carried(assembly, f"P{site.bore}", top_deg(assembly, site), (f"piston {site.bore}",), *ends)


def pin_end(assembly: Assembly, site: BoreSite) -> SpotPlace:
    """The piston pin's front end and the wall before it."""
    one = assembly.design(site.bore)
    wall = (assembly.built.bore(site.bore).bore_diameter_mm or one.block.bore.diameter_mm) / 2
    bodies = (f"piston_pin {site.bore}", f"piston {site.bore}")
    ends = (-one.piston.pin.length_mm / 2, 0.0, 0.0), (-wall, 0.0, 0.0)
    return _carried(assembly, f"P{site.bore}", top_deg(assembly, site), bodies, *ends)


def fillet_corner(assembly: Assembly, site: BoreSite, corner: Corner | None = None) -> SpotPlace:
    """A corner of rod, cap or shell and the nearest point of the crankpin's fillet; default the nearest of all."""
    corner = corner or nearest_corner(assembly, site)
    part = {"rod": "rod", "cap": "rod_cap", "shell": "upper_shell"}[corner.edge]
    ends = [(x, 0.0, corner.upward * out) for x, out in (corner.own, corner.arc)]
    bodies = (f"{part} {site.bore}", "crank")
    return _carried(assembly, f"R{site.bore}", bottom_deg(assembly, site), bodies, *ends)


def oil_film(assembly: Assembly, site: BoreSite) -> SpotPlace:
    """The big end's bearing: crankpin and upper shell where the load presses."""
    one = assembly.design(site.bore)
    pin, shell = one.crank.pin.diameter_mm / 2, one.rod.big_end.bore_mm / 2 - one.rod.bearing.wall_mm
    bodies = (f"upper_shell {site.bore}", f"lower_shell {site.bore}", "crank")
    ends = (0.0, 0.0, pin), (0.0, 0.0, shell)
    return _carried(assembly, f"R{site.bore}", bottom_deg(assembly, site), bodies, *ends)


def big_end(assembly: Assembly, site: BoreSite, *parts: str) -> SpotPlace:
    """The joint of rod and cap on its major side; ``parts`` are kinds of the bodies concerned."""
    one = assembly.design(site.bore)
    side = 1.0 if site.thrust_ring_deg == 90.0 else -1.0
    at = (0.0, side * one.rod.big_end.bore_mm / 2, 0.0)
    bodies = tuple(f"{part} {site.bore}" for part in parts or ("rod", "rod_cap"))
    return _carried(assembly, f"R{site.bore}", bottom_deg(assembly, site), bodies, at)


def bolt(assembly: Assembly, site: BoreSite, role: Role | None = None, out_mm: float = 0.0) -> SpotPlace:
    """A bolt of a rod at its head; with ``out_mm`` from its seat to the head that stands so far off.

    Parameters
    ----------
    role : the thrust side that it stands on; None: both bolts are concerned
    """
    bolt = assembly.design(site.bore).rod.bolt
    side = 1.0 if thrust_side(site, 1.0) == (role or "major") else -1.0
    _, low, high = spans_mm(bolt)["head"]
    seat, out = (high, -out_mm) if bolt.kind == "cap_screw" else (low, out_mm)
    axis = side * bolt.spacing_mm / 2
    ends = [(0.0, axis, seat), (0.0, axis, seat + out)] if out_mm else [(0.0, axis, (low + high) / 2)]
    sides = (role,) if role is not None else ("major", "minor")
    bodies = tuple(f"rod_bolt {site.bore} {one}" for one in sides)
    return _carried(assembly, f"R{site.bore}", bottom_deg(assembly, site), bodies, *ends)


def side_at(site: BoreSite, y_mm: float) -> Role:
    """The thrust side that lies at ``y_mm`` of the rod's frame; only the sign counts."""
    return thrust_side(site, y_mm)


def rod_across(assembly: Assembly, site: BoreSite) -> SpotPlace:
    """The big end across its bolts, which must pass its bore."""
    bolt = assembly.design(site.bore).rod.bolt
    half = bolt.spacing_mm / 2 + bolt.head_diameter_mm / 2
    bodies = (f"rod {site.bore}",)
    ends = (0.0, -half, 0.0), (0.0, half, 0.0)
    return _carried(assembly, f"R{site.bore}", bottom_deg(assembly, site), bodies, *ends)


def bore_bottom(assembly: Assembly, site: BoreSite) -> SpotPlace:
    """The lower edge of a bore's wall, on its major thrust side."""
    return at_depth(assembly, site, assembly.spec.block.bore.length_mm)


def at_depth(assembly: Assembly, site: BoreSite, depth_mm: float) -> SpotPlace:
    """A bore's wall, and the wall opposite, so far below the deck."""
    block = assembly.spec.block
    ends = [
        _in_bore(site, (0.0, way * block.bore.diameter_mm / 2, block.deck_height_mm - depth_mm))
        for way in (-1.0, 1.0)
    ]
    return SpotPlace(bottom_deg(assembly, site), ("block",), ends[0], ends[1])


def main_cap(assembly: Assembly, number: int) -> SpotPlace:
    """A main bearing's cap from below, counted from the front; it stands still."""
    x_mm, height = assembly.layout.main_x_mm[number - 1], assembly.spec.block.main_cap.height_mm
    return SpotPlace(None, (f"main_cap {number}",), None, (float(x_mm), 0.0, -height))


def crank_nose(assembly: Assembly) -> SpotPlace:
    """The crank's front main journal."""
    return SpotPlace(None, ("crank",), None, (float(assembly.layout.main_x_mm[0]), 0.0, 0.0))


def _in_bore(site: BoreSite, point: Point) -> Point:
    """A point of the bore's frame in E."""
    x, y, z = point
    bank = math.radians(site.bank_deg)
    return site.x_mm + x, y * math.cos(bank) - z * math.sin(bank), y * math.sin(bank) + z * math.cos(bank)
