"""Closest approach of the chosen parts over the turn, point by point, ready to colour them by."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from geometry.assembly import Assembly
from geometry.clearance.approach import closest_approach
from geometry.clearance.pairs import Place, law_of, no_clearance, places
from geometry.parts.solids import Mesh
from geometry.poses import transform
from viewer.scene.groups import group_of
from viewer.scene.model import Nearness
from viewer.window.finding import Finding

EDGE_MM = 6.0
"""Triangles are split down to this before they are coloured, so that a large flat face shows more than its corners."""
FAR_MM = 13.0
COLOURED = ("rods", "rod bolts")


def coloured_bodies(assembly: Assembly, bore: int, picked: str) -> tuple[str, ...]:
    """What is coloured: the clicked part, else rod, cap and bolts of the chosen bore."""
    if picked and any(body.name == picked for body in assembly.bodies):
        return (picked,)
    return tuple(b.name for b in assembly.bodies if b.bore == bore and group_of(b.part.kind) in COLOURED)


def nearness_of(assembly: Assembly, names: Sequence[str]) -> dict[str, Nearness]:
    """Closest approach of every point of some bodies to everything they could meet."""
    everything = places(assembly)
    return {name: _one(assembly, name, everything) for name in names}


def _one(assembly: Assembly, name: str, everything: Sequence[Place]) -> Nearness:
    body = assembly.body(name)
    fine = split(body.part.mesh, EDGE_MM)
    own = [place for place in everything if place.body is body]
    others = [
        place.mover
        for place in everything
        if own and place.body is not body and any(no_clearance(assembly, mine, place) is None for mine in own)
    ]
    if not others:
        return Nearness(fine, np.full(len(fine.vertices), FAR_MM))
    points = transform(body.X_FA, fine.vertices)
    found = closest_approach(law_of(assembly, body.frame), points, others, FAR_MM)
    return Nearness(fine, found.distance_mm)


def split(mesh: Mesh, edge_mm: float) -> Mesh:
    """The same surface with no edge longer than asked, still closed."""
    import trimesh  # slow to import, and the first picture would pay for it

    vertices, faces = trimesh.remesh.subdivide_to_size(mesh.vertices, mesh.triangles, edge_mm, max_iter=12)
    joined = trimesh.Trimesh(vertices, faces, process=False)
    joined.merge_vertices(digits_vertex=6)
    return Mesh(np.asarray(joined.vertices, dtype=float), np.asarray(joined.faces, dtype=np.int32))


class Heat:
    """The colouring of what is chosen: worked out beside the window, remembered while the choice stays."""

    def __init__(self) -> None:
        self._finding: Finding[dict[str, Nearness]] = Finding(nearness_of)
        self._asked: tuple[Assembly, tuple[str, ...]] | None = None
        self._found: dict[str, Nearness] = {}

    def of(self, assembly: Assembly, bore: int, picked: str) -> dict[str, Nearness]:
        """The colouring of what is chosen; empty until it has been worked out."""
        names = coloured_bodies(assembly, bore, picked)
        if self._asked is None or self._asked[0] is not assembly or self._asked[1] != names:
            self._asked, self._found = (assembly, names), {}
            self._finding.start(assembly, names)
        return self._found

    def ready(self) -> bool:
        """Whether a colouring has just been finished."""
        found = self._finding.take()
        if found is not None:
            self._found = found
        return found is not None

    def stop(self) -> None:
        """Want nothing more."""
        self._finding.stop()
