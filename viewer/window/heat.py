"""Closest approach of the chosen parts over the turn, point by point, ready to colour them by."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from geometry.arrays import Array, Index
from geometry.assembly import Assembly
from geometry.clearance.excuses import no_clearance
from geometry.clearance.pairs import law_of, places
from geometry.clearance.place import Place
from geometry.collision.closest_approach import closest_approach
from geometry.collision.points import distance_to
from geometry.kinematics.poses import transform
from geometry.solids import Mesh
from viewer.scene.groups import group_of
from viewer.scene.model import Nearness
from viewer.window.finding import BackgroundSearch, Failed

EDGE_MM = 6.0
"""Triangles are split down to this before they are coloured, so that a large flat face shows more than its corners."""
FAR_MM = 13.0
ERROR_MM = 0.5
"""Proved error of the colouring: a fraction of what a colour can tell."""
COLOURED = ("rods", "rod bolts")
WORKING = "working out the closest approach ..."
_Asked = tuple[Assembly, tuple[str, ...]]
"""Engine as put together, and the names of the bodies to colour."""


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
    points = transform(body.X_FA, fine.vertices)
    own = [place for place in everything if place.body is body]
    others, concerned = _against(assembly, own, everything, points)
    if not others:
        return Nearness(fine, np.full(len(fine.vertices), FAR_MM))
    law = law_of(assembly, body.frame)
    found = closest_approach(law, points, others, FAR_MM, ERROR_MM, concerned)
    return Nearness(fine, found.distance_mm)


def _against(
    assembly: Assembly, own: Sequence[Place], everything: Sequence[Place], points: Array
) -> tuple[list[Place], list[Index]]:
    """What could be met, and which points are held against it.

    A point belongs to the feature it lies at, and that may run beside the other by design: the faces of a big end
    are not coloured by their side clearance, the edges of its bolts are.
    """
    if not own:
        return [], []
    gaps = [np.min([distance_to(piece, points) for piece in mine.pieces], axis=0) for mine in own]
    feature = np.argmin(gaps, axis=0)
    others, concerned = [], []
    for place in everything:
        if place.body is own[0].body:
            continue
        meets = np.array([no_clearance(assembly, mine, place) is None for mine in own])
        index = np.nonzero(meets[feature])[0]
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


class HeatMap:
    """The colouring of what is chosen: worked out beside the window; what is known is kept."""

    def __init__(self) -> None:
        self._finding: BackgroundSearch[dict[str, Nearness]] = BackgroundSearch(nearness_of)
        self._known: dict[_Asked, dict[str, Nearness]] = {}
        self._failed: dict[_Asked, Failed] = {}
        self._asked: _Asked | None = None

    def of(self, assembly: Assembly, bore: int, picked: str) -> dict[str, Nearness]:
        """The colouring of what is chosen; empty until it has been worked out."""
        asked = (assembly, coloured_bodies(assembly, bore, picked))
        if asked not in self._known and asked not in self._failed and asked != self._asked:
            self._asked = asked
            self._finding.start(*asked)
        return self._known.get(asked, {})

    def missing(self, assembly: Assembly, bore: int, picked: str) -> str:
        """Why there is no colouring of what is chosen: it is being worked out, or what came in the way."""
        failed = self._failed.get((assembly, coloured_bodies(assembly, bore, picked)))
        return WORKING if failed is None else f"the closest approach cannot be worked out: {failed.words}"

    def ready(self) -> bool:
        """Whether a colouring has just ended, with colours or without."""
        found = self._finding.take()
        if found is None or self._asked is None:
            return False
        if isinstance(found, Failed):
            self._failed[self._asked] = found
        else:
            self._known[self._asked] = found
        self._asked = None
        return True

    def forget(self) -> None:
        """Want nothing more and know nothing more: the engines have changed."""
        self._finding.stop()
        self._known, self._failed, self._asked = {}, {}, None
