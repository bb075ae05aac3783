"""Poses that part files share: half turns, and pieces that lie along the crank."""

from __future__ import annotations

from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.kinematics.poses import compose, rot_x_deg, translation
from geometry.parts.shapes.meshing import ALONG_X


def about_z_deg(angle_deg: float) -> Array:
    """Turn about +z, from +x towards +y.

    Returns
    -------
    (4, 4) float
    """
    angle = np.radians(angle_deg)
    X = np.eye(4)
    X[:2, :2] = [[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]]
    return X


def along_x(x_mm: float, y_mm: float = 0.0, z_mm: float = 0.0, about_x_deg: float = 0.0) -> Array:
    """Pose of a piece whose axis +z lies along +x of the part and whose +y points to ``about_x_deg``.

    Parameters
    ----------
    x_mm, y_mm, z_mm : where the piece's origin stands
    about_x_deg : direction of the piece's +y, counted about +x from +z

    Returns
    -------
    (4, 4) float
    """
    return compose(translation([x_mm, y_mm, z_mm]), rot_x_deg(about_x_deg), ALONG_X)


def _exactly(X: Array) -> Array:
    X.setflags(write=False)
    return X


BACK_TO_FRONT: Final[Array] = _exactly(np.diag([-1.0, -1.0, 1.0, 1.0]))
"""Half a turn about +z: front and rear, and the two sides, change places."""
TUMBLED: Final[Array] = _exactly(np.diag([-1.0, 1.0, -1.0, 1.0]))
"""Half a turn about +y: top and bottom, front and rear change places, the sides stay."""
