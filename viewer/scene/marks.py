"""Arrows and dials that tell front, rotation, thrust side and pin axis: shapes as plain meshes and lines."""

from __future__ import annotations

import manifold3d
import numpy as np

from geometry.arrays import Array
from geometry.kinematics.poses import rot_x_deg
from geometry.solids import Mesh
from viewer.scene.solid import as_mesh

DIAL_STEP_DEG = 2.0
TURN_DEG = 250.0
BAND_DEG, TIP_PAST_DEG = 150.0, 40.0
"""How far round a shaft its arrow goes, and how far past the side that is seen its tip lies."""


def extruded(outline_mm: Array, thickness_mm: float) -> Mesh:
    """A flat shape with some thickness, from z = 0 up.

    Parameters
    ----------
    outline_mm : (k, 2) float, counter-clockwise
    """
    return as_mesh(manifold3d.CrossSection([outline_mm]).extrude(thickness_mm))


def arrow(length_mm: float, width_mm: float, thickness_mm: float) -> Mesh:
    """A flat arrow along +x from the origin, lying in the xy plane."""
    half, stem = width_mm / 2, width_mm * 0.21
    neck = max(length_mm - width_mm, 0.3 * length_mm)
    right = [(0.0, -stem), (neck, -stem), (neck, -half), (length_mm, 0.0)]
    left = [(x, -y) for x, y in reversed(right[:-1])]
    return extruded(np.array(right + left), thickness_mm)


def turning_arrow(
    radius_mm: float,
    width_mm: float,
    thickness_mm: float,
    sense: int,
    turn_deg: float = TURN_DEG,
    start_deg: float = -35.0,
) -> Mesh:
    """A flat bent arrow about the x axis, pointing the way that the crank turns.

    Parameters
    ----------
    sense : +1 turns from +y towards +z, -1 the other way
    turn_deg, start_deg : how far round it goes, and where it begins, from +y towards +z for +1, from -y for -1
    """
    half, stem = width_mm / 2, width_mm * 0.24
    tip = np.radians(turn_deg)
    neck = tip - 1.4 * width_mm / radius_mm
    body = np.linspace(0.0, neck, 60)
    polar = np.vstack(
        [
            np.column_stack([np.full(60, radius_mm + stem), body]),
            [[radius_mm + half, neck], [radius_mm, tip], [radius_mm - half, neck]],
            np.column_stack([np.full(60, radius_mm - stem), body[::-1]]),
        ]
    )
    # The open part of the ring stands low, on the side where the tip comes down and is easy to see.
    angle = polar[:, 1] + np.radians(start_deg)
    outline = np.column_stack([polar[:, 0] * np.cos(angle), polar[:, 0] * np.sin(angle)])
    if sense < 0:
        outline = (outline * [-1.0, 1.0])[::-1]
    flat = extruded(outline, thickness_mm)
    return Mesh(flat.vertices[:, [2, 0, 1]] - [thickness_mm / 2, 0.0, 0.0], flat.triangles)


def band_arrow(radius_mm: float, width_mm: float, thickness_mm: float, sense: int, toward_deg: float) -> Mesh:
    """A bent arrow laid round a shaft along x like a band, so that it is seen from the side; closed.

    Parameters
    ----------
    sense : +1 turns from +y towards +z, -1 the other way
    toward_deg : direction of the eye, from +y towards +z; the tip lies a little past it
    """
    turn, head = np.radians(BAND_DEG), 1.3 * width_mm / radius_mm
    along = np.concatenate([np.linspace(0.0, turn - head, 40), np.linspace(turn - head, turn, 12)])
    half = np.where(np.arange(52) < 40, 0.24 * width_mm, width_mm / 2 * (turn - along) / head)
    half[-1] = 1e-3 * width_mm  # a tip of no width would not be closed
    angle = np.radians(toward_deg) + sense * (along - turn + np.radians(TIP_PAST_DEG))
    rings = []
    for radius, side in (
        (radius_mm, -1),
        (radius_mm, 1),
        (radius_mm + thickness_mm, 1),
        (radius_mm + thickness_mm, -1),
    ):
        rings.append(np.column_stack([side * half, radius * np.cos(angle), radius * np.sin(angle)]))
    vertices = np.concatenate(rings)  # four edges, 52 points each
    faces: list[tuple[int, int, int]] = []
    for edge in range(4):
        here, beside = 52 * edge, 52 * ((edge + 1) % 4)
        for k in range(51):
            faces += [(here + k, beside + k, beside + k + 1), (here + k, beside + k + 1, here + k + 1)]
    for end, way in ((0, -1), (51, 1)):
        corners = [end, 52 + end, 104 + end, 156 + end][::way]
        faces += [(corners[0], corners[1], corners[2]), (corners[0], corners[2], corners[3])]
    triangles = np.array(faces, dtype=np.int32)
    return Mesh(vertices, triangles[:, ::-1] if sense < 0 else triangles)


def circle(radius_mm: float, z_mm: float) -> Array:
    """A circle about z as (k, 2, 3) segments."""
    angle = np.radians(np.arange(0.0, 360.0 + 1e-9, DIAL_STEP_DEG))
    points = np.column_stack(
        [radius_mm * np.cos(angle), radius_mm * np.sin(angle), np.full(len(angle), z_mm)]
    )
    return np.stack([points[:-1], points[1:]], axis=1)


def ring_direction(ring_deg: float) -> Array:
    """Unit vector of a ring angle in the piston's frame: 0 at the front, 90 at +y, clockwise from above."""
    angle = np.radians(ring_deg)
    return np.array([-np.cos(angle), np.sin(angle), 0.0])


def ticks(inner_mm: float, outer_mm: float, z_mm: float, step_deg: float) -> Array:
    """Radial marks of a dial as (k, 2, 3) segments."""
    directions = np.array([ring_direction(a) for a in np.arange(0.0, 360.0, step_deg)])
    lift = np.array([0.0, 0.0, z_mm])
    return np.stack([inner_mm * directions + lift, outer_mm * directions + lift], axis=1)


def pointing_forward(at_mm: Array, lean_deg: float = 0.0) -> Array:
    """Pose of an arrow along +x that is to point to the engine's front, at a point of E.

    Parameters
    ----------
    lean_deg : turned about its own length; 0 lies flat, 90 faces the sides
    """
    X = rot_x_deg(lean_deg)
    X[:3, :3] = X[:3, :3] @ np.diag([-1.0, -1.0, 1.0])
    X[:3, 3] = at_mm
    return X
