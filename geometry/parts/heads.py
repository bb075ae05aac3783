"""The circle round the corners of a head or nut: what its distance is certified to, where the picture shows flats."""

from __future__ import annotations

from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.kinematics.poses import inverse, transform
from geometry.parts.part import Body
from geometry.solids import Cylinder

AT_HEAD_MM: Final = 0.1
"""A point this near a head is a point of it."""
CORNERS: Final = 72


def head_circle(body: Body, X_EF: Array, point_mm: Array) -> Array | None:
    """The circle that a head or nut is held as, at the height of a point on it; None where the point is on none.

    Parameters
    ----------
    body : what the point lies on
    X_EF : (4, 4) pose of the frame that the body rides on
    point_mm : (3,) in E

    Returns
    -------
    (CORNERS + 1, 3) float, mm, in E, closed
    """
    for feature in body.part.features:
        for piece in feature.pieces if feature.round_head else ():
            assert isinstance(piece, Cylinder)
            X_EP = X_EF @ body.X_FA @ piece.X_AP
            x, y, z = transform(inverse(X_EP), point_mm)
            half = piece.length_mm / 2
            if np.hypot(x, y) < piece.radius_mm + AT_HEAD_MM and abs(z) < half + AT_HEAD_MM:
                at = np.linspace(0.0, 2 * np.pi, CORNERS + 1)
                around = piece.radius_mm * np.column_stack([np.cos(at), np.sin(at)])
                return transform(X_EP, np.column_stack([around, np.full(at.size, np.clip(z, -half, half))]))
    return None
