"""Closest approach of a body over the turn, point by point: what its surface is coloured by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from geometry.arrays import Array, Index, Mask
from geometry.assembly import Assembly
from geometry.clearance.excuses import excused
from geometry.clearance.pairs import law_of, places
from geometry.clearance.place import Place
from geometry.collision.closest_approach import closest_approach
from geometry.collision.points import distance_to
from geometry.kinematics.poses import transform
from geometry.solids import Mesh

EDGE_MM: Final = 6.0
"""Triangles are split down to this before they are coloured, so that a large flat face shows more than its corners."""
FAR_MM: Final = 13.0
"""Distances beyond this are not told apart."""
ERROR_MM: Final = 0.5
"""Proved error of the distances: a fraction of what a colour can tell."""


@dataclass(frozen=True, slots=True, eq=False)
class Nearness:
    """Closest approach over the turn of the points of a part: a mesh as fine as the colours need, and (n,) mm."""

    mesh: Mesh
    values_mm: Array


def nearness_of(assembly: Assembly, names: Sequence[str]) -> dict[str, Nearness]:
    """Closest approach over the turn of every point of some bodies to everything they could meet.

    Parameters
    ----------
    names : of the bodies; each key of what is given back is one of them
    """
    everything = places(assembly)
    clear = excused(assembly, everything) < 0
    return {name: _one(assembly, name, everything, clear) for name in names}


def _one(assembly: Assembly, name: str, everything: Sequence[Place], clear: Mask) -> Nearness:
    body = assembly.body(name)
    fine = split(body.part.mesh, EDGE_MM)
    points = transform(body.X_FA, fine.vertices)
    own = [k for k, place in enumerate(everything) if place.body is body]
    others, concerned = _against(own, everything, clear, points)
    if not others:
        return Nearness(fine, np.full(len(fine.vertices), FAR_MM))
    law = law_of(assembly, body.frame)
    found = closest_approach(law, points, others, FAR_MM, ERROR_MM, concerned)
    return Nearness(fine, found.distance_mm)


def _against(
    own: Sequence[int], everything: Sequence[Place], clear: Mask, points: Array
) -> tuple[list[Place], list[Index]]:
    """What could be met, and which points are held against it.

    A point belongs to the feature it lies at, and that may run beside the other by design: the faces of a big end
    are not coloured by their side clearance, the edges of its bolts are.
    """
    if not own:
        return [], []
    gaps = [np.min([distance_to(piece, points) for piece in everything[mine].pieces], axis=0) for mine in own]
    feature = np.argmin(gaps, axis=0)
    others, concerned = [], []
    for k, place in enumerate(everything):
        if place.body is everything[own[0]].body:
            continue
        index = np.nonzero(clear[own, k][feature])[0]
        if index.size:
            others.append(place)
            concerned.append(index)
    return others, concerned


def split(mesh: Mesh, edge_mm: float) -> Mesh:
    """The same surface with no edge longer than asked, still closed."""
    import trimesh  # slow to import, and the first picture would pay for it

    vertices, faces = trimesh.remesh.subdivide_to_size(  # type: ignore[no-untyped-call]
        mesh.vertices, mesh.triangles, edge_mm, max_iter=12
    )
    joined = trimesh.Trimesh(vertices, faces, process=False)
    joined.merge_vertices(digits_vertex=6)
    return Mesh(np.asarray(joined.vertices, dtype=float), np.asarray(joined.faces, dtype=np.int32))
