"""A measured surface as features: its own triangles, sorted by place and, within a place, by nearness."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from geometry.parts.solids import Array, Feature, Group, Hull, Mesh

PlaceOf: TypeAlias = Callable[[Array], NDArray[np.str_]]
"""Corners of triangles (n, 3, 3) in the frame of the part to the name of the place of each."""
RUN: Final = 32
"""Triangles that follow each other in a feature lie close together in runs of about this many."""


def patch_features(name: str, mesh: Mesh, place_of: PlaceOf, group: Group) -> tuple[Feature, ...]:
    """The triangles of a mesh, each an exact flat piece, in one feature for each place.

    Parameters
    ----------
    name : of every feature, such as ``measured_block``
    place_of : names the place of each triangle in words, such as ``bay 2, left side``
    group : of every feature
    """
    corners = mesh.vertices[mesh.triangles]
    places = place_of(corners)
    found = []
    for place in np.unique(places):
        mine = corners[places == place]
        order = neighbours_in_a_row(mine.mean(axis=1))
        triangles = tuple(Hull(triangle) for triangle in mine[order])
        found.append(Feature(name, triangles, str(place), group=group, surface=True))
    return tuple(found)


def neighbours_in_a_row(points: Array, run: int = RUN) -> NDArray[np.intp]:
    """An order of points (n, 3) in which every ``run`` from the first on lie close together.

    The points are halved along their longest extent, and each half again.
    """
    order = np.arange(len(points))
    pending = [(0, len(points))]
    while pending:
        low, high = pending.pop()
        if high - low <= run:
            continue
        # a whole number of runs on the near side keeps the runs of a feature apart from each other
        half = max(1, round((high - low) / (2 * run))) * run
        if half >= high - low:
            continue
        part = order[low:high]
        mine = points[part]
        axis = int(np.ptp(mine, axis=0).argmax())
        order[low:high] = part[np.argpartition(mine[:, axis], half)]
        pending += [(low, low + half), (low + half, high)]
    return order
