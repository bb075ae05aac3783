"""What a convex piece sweeps when it spins full turns about an axis along x, turned as on a lathe.

At each place x along the axis the swept solid reaches from the least to the largest radius of the piece there. Of the
hull of points p the largest radius at x is at most the upper hull of (x, |p|), because the length of a mean is at
most the mean of the lengths; the least is at least the lower hull of (x, n . p) for any unit vector n across the axis,
because |p| >= n . p. Between two corners of the upper hull the true radius falls short of it by at most twice what it
does halfway: the difference is concave and nothing at both ends.
"""

from __future__ import annotations

from itertools import pairwise

import manifold3d
import numpy as np

from geometry.arrays import Array
from geometry.collision.watertight import Share

SAME_MM = 1e-7


def turned(
    points_mm: Array, at_mm: tuple[float, float, float], share: Share, number: int
) -> tuple[manifold3d.Manifold, float]:
    """The solid swept by the hull of points, and how far it may exceed the true sweep of that hull.

    Parameters
    ----------
    points_mm : (n, 3) in the frame of the body, x along the axis of spinning
    at_mm : place of the body's origin in E, on the axis
    share : the parts of the excess
    number : of the piece
    """
    x, across = points_mm[:, 0] + at_mm[0], points_mm[:, 1:]
    radius = np.linalg.norm(across, axis=1)
    step, grow = share.step_rad(float(radius.max())), share.grow_mm(number)
    top = _upper(x, radius)
    short = [_short(across[a], across[b]) for a, b in pairwise(top)]
    low, low_x, loose = _bottom(x, across, radius)
    high = (radius[top] + grow) / np.cos(step)
    outline = np.concatenate([np.column_stack([high, x[top]]), np.column_stack([low - grow, low_x])])
    # a concave top and a convex bottom: the outline is convex, and grown along the axis by moving it both ways
    grown = np.concatenate([outline + [0.0, move] for move in (-grow, grow)])
    solid = manifold3d.CrossSection.hull_points(grown).revolve(int(np.ceil(np.pi / step)))
    # the lathe turns about its z: its x, y, z are y, z, x of the engine
    to_engine = np.array([[0.0, 0.0, 1.0, 0.0], [1.0, 0.0, 0.0, at_mm[1]], [0.0, 1.0, 0.0, at_mm[2]]])
    facets = float(radius.max()) * (1 / np.cos(step) - 1)
    return solid.transform(to_engine), max([*short, loose]) + facets + float(np.sqrt(2.0)) * grow


def _upper(x: Array, value: Array) -> list[int]:
    """Indices of the corners of the upper hull of (x, value) by rising x; of equal ones the first."""
    order = np.lexsort((np.arange(len(x)), -np.round(value / SAME_MM), np.round(x / SAME_MM)))
    chain: list[int] = []
    for k in order:
        if chain and x[k] - x[chain[-1]] < SAME_MM:
            continue  # a lower one at the same place
        while len(chain) > 1:
            i, j = chain[-2], chain[-1]
            if (value[j] - value[i]) * (x[k] - x[i]) > (value[k] - value[i]) * (x[j] - x[i]):
                break
            chain.pop()
        chain.append(int(k))
    return chain


def _short(a: Array, b: Array) -> float:
    """Twice what the radius halfway between two points falls short of the mean of their radii."""
    return float(np.linalg.norm(a) + np.linalg.norm(b) - np.linalg.norm(a + b))


def _bottom(x: Array, across: Array, radius: Array) -> tuple[Array, Array, float]:
    """A lower hull of the radius: its corners' radii (0 at the axis) and places, and how far it may be too low."""
    ends = [across[np.abs(x - end) < SAME_MM] for end in (x.min(), x.max())]
    if not _around(across):
        # the nearest place of a polygon is a corner or lies square below an edge
        edges = np.diff(across, axis=0, append=across[:1]) @ np.array([[0.0, 1.0], [-1.0, 0.0]])
        ways = np.vstack([across, edges * np.sign((edges * across).sum(axis=1))[:, None]])
        lengths = np.linalg.norm(ways, axis=1)
        ways = ways[lengths > SAME_MM] / lengths[lengths > SAME_MM, None]
        way = ways[np.argmax((across @ ways.T).min(axis=0))]
        depth, aside = across @ way, across @ [-way[1], way[0]]
        if depth.min() > 0:
            corners = _upper(x, -depth)
            return depth[corners], x[corners], max(_past(x, depth, aside, k) for k in corners)
    # the axis runs through the piece, or past it at one end only
    loose = max(0.0 if _around(end) else float(np.linalg.norm(end, axis=1).min()) for end in ends)
    return np.zeros(2), np.array([x.min(), x.max()]), loose


def _past(x: Array, depth: Array, aside: Array, corner: int) -> float:
    """How much farther from the axis than ``depth`` the hull of the points is that share a corner's place and depth."""
    same = (np.abs(x - x[corner]) < SAME_MM) & (np.abs(depth - depth[corner]) < SAME_MM)
    off = max(float(aside[same].min()), -float(aside[same].max()), 0.0)
    return float(np.hypot(depth[corner], off) - depth[corner])


def _around(across: Array) -> bool:
    """Whether the origin lies within the hull of points (n, 2): no half-plane is free of them."""
    if (np.linalg.norm(across, axis=1) < SAME_MM).any():
        return True
    angles = np.sort(np.arctan2(across[:, 1], across[:, 0]))
    return bool(np.diff(angles, append=angles[0] + 2 * np.pi).max() <= np.pi)
