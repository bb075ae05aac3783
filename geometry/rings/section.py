"""Outlines of ring sections, to scale, and the twist that a section gives itself.

Every outline is a closed polygon (k, 2), counter-clockwise, columns radial and axial, mm: radial 0 at the
wall of the bore and negative towards the piston, axial 0 at the lower side of the ring and its height at the
upper side.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin, tan
from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.errors import GeometryError
from geometry.rings.require import finite, positive
from geometry.spec.rings import Face, Inside

BARREL_DROP, BARREL_APEX = 0.006, 1 / 3
"""Drop of a barrel face at its edges, and height of an asymmetrical barrel's highest line, per ring height. This and
all that follows: usual proportions, from memory, drawn to be recognised."""
TAPER_DEG: Final = 1.0
HOOK_DEPTH, HOOK_HEIGHT, HOOK_UNDERCUT = 0.12, 0.35, 0.10
"""Recess below a scraping edge: radial per wall, axial and the undercut behind the edge per ring height."""
BEVEL: Final = 0.35
"""Leg of a 45 degree inside bevel, per ring height."""
STEP_DEPTH, STEP_HEIGHT = 0.25, 0.30
"""Inside step: radial per wall, axial per ring height."""
KEYSTONE_DEG, HALF_KEYSTONE_DEG = 3.0, 7.0
"""Slope of each flank of a keystone ring, and of the one flank of a half keystone."""
_ARC_POINTS: Final = 33


def outline(face: Face, inside: Inside, height_mm: float, wall_mm: float, exaggerate: float = 1.0) -> Array:
    """Draw the section of a one-piece ring, right way up.

    Parameters
    ----------
    face, inside : running face and inner edge
    height_mm : axial height at the running face, mm
    wall_mm : radial wall, mm
    exaggerate : factor on barrel drop and taper, which to scale are too small to see

    Returns
    -------
    (k, 2) float, mm, radial and axial, counter-clockwise.

    Raises
    ------
    GeometryError : a size that is not above zero, or features that eat up the ring
    """
    positive("ring.height", height_mm)
    positive("ring.wall", wall_mm)
    positive("exaggerate", exaggerate)
    profile = _face_profile(face, height_mm, wall_mm, exaggerate)
    inner = _inner_profile(face, inside, height_mm, wall_mm)
    if profile[:, 0].min() <= max(radial for radial, _ in inner):
        raise GeometryError(
            "section_too_thin", "wall", "face and inner edge meet", "a thicker wall or a lower ring"
        )
    return np.vstack([_on_flanks(face, profile, height_mm), np.array(inner)])


def _flank_slopes(face: Face) -> tuple[float, float]:
    """Give the fall of the upper and the rise of the lower flank per mm towards the inside."""
    if face == "keystone":
        return tan(radians(KEYSTONE_DEG)), tan(radians(KEYSTONE_DEG))
    return (tan(radians(HALF_KEYSTONE_DEG)), 0.0) if face == "half_keystone" else (0.0, 0.0)


def _on_flanks(face: Face, profile: Array, height_mm: float) -> Array:
    """Slide the two ends of the face profile onto sloping flanks."""
    upper, lower = _flank_slopes(face)
    moved = profile.copy()
    moved[0, 1] = -profile[0, 0] * lower
    moved[-1, 1] = height_mm + profile[-1, 0] * upper
    return moved


def _face_profile(face: Face, height: float, wall: float, exaggerate: float) -> Array:
    """List the running face from its lower to its upper edge."""
    if face in ("barrel", "barrel_asymmetric"):
        middle = 0.5 if face == "barrel" else BARREL_APEX
        at = np.linspace(0, 1, _ARC_POINTS)
        drop = BARREL_DROP * height * exaggerate * ((at - middle) / max(middle, 1 - middle)) ** 2
        return np.column_stack([drop.min() - drop, at * height])
    lean = 0.0
    if face in ("taper", "taper_napier"):
        lean = tan(radians(TAPER_DEG)) * exaggerate
    if face in ("napier", "taper_napier", "scraper"):
        depth, edge = HOOK_DEPTH * wall, HOOK_HEIGHT * height
        behind = edge if face == "scraper" else edge + HOOK_UNDERCUT * height
        rows = [(-depth, 0.0), (-depth, behind), (0.0, edge), (-lean * (height - edge), height)]
        return np.array(rows)
    return np.array([(0.0, 0.0), (-lean * height, height)])


def _inner_profile(face: Face, inside: Inside, height: float, wall: float) -> list[tuple[float, float]]:
    """List the inside from its upper to its lower end."""
    upper, lower = _flank_slopes(face)
    bevel, deep, high = BEVEL * height, STEP_DEPTH * wall, STEP_HEIGHT * height

    def top(radial: float) -> float:
        return height + radial * upper

    def bottom(radial: float) -> float:
        return -radial * lower

    above, below = [(-wall, top(-wall))], [(-wall, bottom(-wall))]
    if inside == "bevel_top":
        above = [(bevel - wall, top(bevel - wall)), (-wall, top(-wall) - bevel)]
    elif inside == "step_top":
        above = [
            (deep - wall, top(deep - wall)),
            (deep - wall, top(-wall) - high),
            (-wall, top(-wall) - high),
        ]
    elif inside == "bevel_bottom":
        below = [(-wall, bottom(-wall) + bevel), (bevel - wall, bottom(bevel - wall))]
    elif inside == "step_bottom":
        raised = bottom(-wall) + high
        below = [(-wall, raised), (deep - wall, raised), (deep - wall, bottom(deep - wall))]
    return above + below


def upside_down(section: Array, height_mm: float) -> Array:
    """Turn an outline over, as a ring fitted the wrong way up; still counter-clockwise."""
    turned = section * np.array([1.0, -1.0]) + np.array([0.0, positive("ring.height", height_mm)])
    return np.ascontiguousarray(turned[::-1])


def twist_ratio(section: Array) -> float:
    """Tell which way, and how readily, a ring of this section twists when it is closed into the bore.

    Closing bends the ring: fibres outside its middle line are stretched, fibres inside pressed. Stretched
    fibres pull inward, pressed ones push outward; where the section is not the same above and below, the two
    act at different heights and turn it. The turning moment is proportional to the product of inertia of the
    section.

    Parameters
    ----------
    section : (k, 2) outline, mm

    Returns
    -------
    Product of inertia over the second moment of the radial coordinate, both about the centroid. Positive is a
    positive twist: the upper edge of the face leans in, the lower edge presses on the wall. Zero for a
    section that is the same above and below.
    """
    area, first, second = _moments(section)
    radial, axial = first / area
    product = second[2] - area * radial * axial
    return float(product / (second[0] - area * radial**2))


def _moments(section: Array) -> tuple[float, Array, Array]:
    """Give area, first moments (radial, axial), second moments (radial^2, axial^2, product), by Green."""
    x, y = section[:, 0], section[:, 1]
    x1, y1 = np.roll(x, -1), np.roll(y, -1)
    cross = x * y1 - x1 * y
    first = np.array([np.sum((x + x1) * cross), np.sum((y + y1) * cross)]) / 6
    second = np.array([
        np.sum((x * x + x * x1 + x1 * x1) * cross) / 12,
        np.sum((y * y + y * y1 + y1 * y1) * cross) / 12,
        np.sum((x * y1 + 2 * x * y + 2 * x1 * y1 + x1 * y) * cross) / 24,
    ])  # fmt: skip
    return float(np.sum(cross)) / 2, first, second


def twisted(section: Array, twist_deg: float) -> Array:
    """Lean an outline over as a twist does, and put it back against the wall.

    Parameters
    ----------
    section : (k, 2) outline, mm
    twist_deg : positive leans the top of the face inward

    Returns
    -------
    (k, 2) float, mm, its outermost point on the wall, its lowest where the lowest was.
    """
    angle = radians(finite("twist", twist_deg))
    turn = np.array([[cos(angle), sin(angle)], [-sin(angle), cos(angle)]])
    leant = section @ turn
    return np.asarray(leant - np.array([leant[:, 0].max(), leant[:, 1].min() - section[:, 1].min()]))


@dataclass(frozen=True, slots=True, eq=False)
class OilPack:
    """Section of a three-piece oil ring, mm, axial 0 at the lower side of the lower rail."""

    upper_rail: Array
    expander: Array
    lower_rail: Array


def oil_pack(height_mm: float, rail_height_mm: float, rail_wall_mm: float) -> OilPack:
    """Draw a three-piece oil ring; the expander is simplified to a spacer with ears behind the rails.

    Parameters
    ----------
    height_mm : height of the pack, mm
    rail_height_mm, rail_wall_mm : thickness and radial wall of a rail, mm

    Raises
    ------
    GeometryError : two rails that leave no room for the expander
    """
    h, w = positive("height", height_mm), positive("rail.wall", rail_wall_mm)
    t = positive("rail.height", rail_height_mm)
    if 2 * t >= h:
        raise GeometryError("no_expander_room", "rail.height", "the rails fill the pack", "thinner rails")
    around = np.linspace(-np.pi / 2, np.pi / 2, _ARC_POINTS)
    nose = t / 4
    face = np.column_stack([nose * (np.cos(around) - 1), t / 2 * (1 + np.sin(around))])
    rail = np.vstack([face, [(-w, t), (-w, 0.0)]])
    front, back, ear = -0.35 * w, -1.0 * w, -1.2 * w
    spacer = [(front, t), (front, h - t), (back, h - t), (back, h - t / 4), (ear, h - t / 4), (ear, t / 4)]
    expander = np.array([*spacer, (back, t / 4), (back, t)], dtype=np.float64)
    return OilPack(rail + np.array([0.0, h - t]), expander, rail)
