"""Where a surface passes through itself.

Two triangles that are not in one plane and share more than a point always have an edge of one that goes through
the other. So every edge is tried against every triangle whose box it may enter; the boxes of runs of neighbours
are compared first. What goes through by less than ``DEEP_MM`` is put down to the rounding of the file.
Triangles that lie on each other in one plane are not found by this.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Array
from geometry.measured.patches import RUN, neighbours_in_a_row

DEEP_MM: Final = 0.01
WITHIN: Final = 1e-4
"""How far inside a triangle an edge must go through it, as a share of the triangle's height."""
AT_ONCE: Final = 2000
"""Pairs of runs compared together: enough for numpy, few enough for memory."""


def crossings(corners: Array) -> Array:
    """Points (k, 3) at which edges of triangles (n, 3, 3) go through other triangles of the same surface."""
    corners = corners[neighbours_in_a_row(corners.mean(axis=1))]
    found = []
    for a, b in _neighbours(corners):
        for edges, faces in ((a, b), (b, a)):
            for k in range(3):
                start, end = corners[edges, k], corners[edges, (k + 1) % 3]
                found.append(_through(start, end, corners[faces]))
    return np.concatenate(found) if found else np.zeros((0, 3))


def _neighbours(corners: Array) -> Iterator[tuple[NDArray[np.intp], NDArray[np.intp]]]:
    """Pairs of triangles (m,), (m,) whose boxes overlap, each pair once, in batches."""
    low, high = corners.min(axis=1), corners.max(axis=1)
    starts = np.arange(0, len(corners), RUN)
    run_low, run_high = (np.minimum.reduceat(low, starts), np.maximum.reduceat(high, starts))
    rows = max(1, 4_000_000 // len(starts))
    for first in range(0, len(starts), rows):
        meet = _overlapping(run_low, run_high, slice(first, first + rows))
        i, j = np.nonzero(meet)
        i = i + first
        i, j = i[i <= j], j[i <= j]
        for k in range(0, i.size, AT_ONCE):
            yield _within_runs(low, high, i[k : k + AT_ONCE], j[k : k + AT_ONCE])


def _overlapping(low: Array, high: Array, rows: slice) -> NDArray[np.bool_]:
    """Which boxes of some rows overlap which boxes of all."""
    meet = np.ones((len(low[rows]), len(low)), dtype=bool)
    for axis in range(3):
        meet &= low[rows, None, axis] <= high[None, :, axis]
        meet &= high[rows, None, axis] >= low[None, :, axis]
    return meet


def _within_runs(
    low: Array, high: Array, i: NDArray[np.intp], j: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    each = np.arange(RUN)
    a, b = np.broadcast_arrays((i[:, None] * RUN + each)[:, :, None], (j[:, None] * RUN + each)[:, None, :])
    keep = (a < b) & (b < len(low))
    a, b = a[keep], b[keep]
    for axis in range(3):
        meet = (low[a, axis] <= high[b, axis]) & (high[a, axis] >= low[b, axis])
        a, b = a[meet], b[meet]
    return a, b


def _through(start: Array, end: Array, face: Array) -> Array:
    """Points at which edges (m, 3) to (m, 3) go through the insides of triangles (m, 3, 3)."""
    first, second = face[:, 1] - face[:, 0], face[:, 2] - face[:, 0]
    normal = np.cross(first, second)
    size = np.linalg.norm(normal, axis=1)
    above = np.einsum("ij,ij->i", normal, start - face[:, 0])
    below = np.einsum("ij,ij->i", normal, end - face[:, 0])
    cut = (above * below < 0) & (np.minimum(np.abs(above), np.abs(below)) > DEEP_MM * size) & (size > 0)
    above, below, normal, size = above[cut], below[cut], normal[cut], size[cut]
    point = start[cut] + (above / (above - below))[:, None] * (end[cut] - start[cut])
    arm = point - face[cut, 0]
    square = size * size
    u = np.einsum("ij,ij->i", np.cross(arm, second[cut]), normal) / square
    v = np.einsum("ij,ij->i", np.cross(first[cut], arm), normal) / square
    inside = (u > WITHIN) & (v > WITHIN) & (u + v < 1.0 - WITHIN)
    return np.asarray(point[inside])
