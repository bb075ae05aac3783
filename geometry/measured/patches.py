"""A measured surface as features: its own triangles, sorted by place and, within a place, by nearness."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Array
from geometry.feature import Feature
from geometry.solids import Hull, Mesh

Stretches: TypeAlias = Sequence[tuple[Feature, NDArray[np.bool_]]]
"""Features without pieces, each with the triangles (n,) that belong to it unless an earlier one has them."""
RUN: Final = 32
"""Triangles that follow each other in a feature lie close together in runs of about this many."""


def patch_features(mesh: Mesh, stretches: Stretches) -> tuple[Feature, ...]:
    """The triangles of a mesh, each an exact flat piece, in one feature for each stretch that has any, by place."""
    corners = mesh.vertices[mesh.triangles]
    free = np.ones(len(corners), dtype=bool)
    found = []
    for stretch, mask in stretches:
        mine = corners[mask & free]
        free &= ~mask
        if len(mine):
            order = neighbours_in_a_row(mine.mean(axis=1))
            found.append(
                replace(stretch, pieces=tuple(Hull(triangle) for triangle in mine[order]), surface=True)
            )
    return tuple(sorted(found, key=lambda feature: feature.place))


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
