"""Rigid poses as 4x4 arrays: turn about x, shift, chain, invert, and carry points from frame to frame.

A pose is named ``X_AB``: the pose of frame B measured in frame A, so that ``p_A = X_AB @ p_B`` for a point
written with a 1 at its end. Labels chain: ``X_EP = compose(X_EB, X_BP)``. Every function takes arrays of
poses or of angles and adds the leading axes by numpy's rules.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from geometry.arrays import Array


def rot_x_deg(angle_deg: ArrayLike) -> Array:
    """Turn about +x, from +y towards +z.

    Parameters
    ----------
    angle_deg : (...) float, deg

    Returns
    -------
    (..., 4, 4) float : pose of a frame that is turned by the angle and shares its origin

    Examples
    --------
    >>> rot_x_deg(90.0).round(12)[:3, :3].tolist()
    [[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]
    """
    angle = np.radians(np.asarray(angle_deg, dtype=float))
    cosine, sine = np.cos(angle), np.sin(angle)
    X = np.zeros((*angle.shape, 4, 4))
    X[..., 0, 0] = X[..., 3, 3] = 1.0
    X[..., 1, 1] = X[..., 2, 2] = cosine
    X[..., 1, 2] = -sine
    X[..., 2, 1] = sine
    return X


def translation(origin_mm: ArrayLike) -> Array:
    """Shift without turning.

    Parameters
    ----------
    origin_mm : (..., 3) float, mm

    Returns
    -------
    (..., 4, 4) float : pose of a frame whose origin is at that point
    """
    origin = np.asarray(origin_mm, dtype=float)
    X = np.zeros((*origin.shape[:-1], 4, 4))
    X[...] = np.eye(4)
    X[..., :3, 3] = origin
    return X


def compose(X_AB: Array, *onward: Array) -> Array:
    """Chain poses from left to right: ``compose(X_AB, X_BC, X_CD)`` is ``X_AD``.

    Parameters
    ----------
    X_AB, *onward : (..., 4, 4) float, leading axes broadcast

    Returns
    -------
    (..., 4, 4) float
    """
    result = np.asarray(X_AB, dtype=float)
    for X in onward:
        result = result @ X
    return result


def inverse(X_AB: Array) -> Array:
    """Pose of A measured in B, by transposing the rotation: exact for a rigid pose.

    Parameters
    ----------
    X_AB : (..., 4, 4) float, rigid

    Returns
    -------
    (..., 4, 4) float : ``X_BA``
    """
    X_AB = np.asarray(X_AB, dtype=float)
    R_BA = np.swapaxes(X_AB[..., :3, :3], -1, -2)
    X_BA = np.zeros_like(X_AB)
    X_BA[..., :3, :3] = R_BA
    X_BA[..., :3, 3] = -np.einsum("...ij,...j->...i", R_BA, X_AB[..., :3, 3])
    X_BA[..., 3, 3] = 1.0
    return X_BA


def transform(X_AB: Array, points_B_mm: ArrayLike) -> Array:
    """Points known in frame B, measured in frame A.

    Parameters
    ----------
    X_AB : (..., 4, 4) float
    points_B_mm : (k, 3) or (3,) float, mm

    Returns
    -------
    (..., k, 3) or (..., 3) float, mm
    """
    points = np.asarray(points_B_mm, dtype=float)
    turned = points @ np.swapaxes(X_AB[..., :3, :3], -1, -2)
    shift = X_AB[..., :3, 3]
    return np.asarray(turned + (shift if points.ndim == 1 else shift[..., None, :]))
