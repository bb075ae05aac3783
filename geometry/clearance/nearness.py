"""Closest approach of a body over the turn, point by point: what its surface is coloured by.

Every value is at most ``ERROR_MM`` above the true least distance of its point (proved; usually far less), and never
below it. Where a body's least distance to another lies between two corners of its mesh, the mesh gets a corner there,
with the value that the clearances certify: so the least value of a body is its certified least distance.

Bodies that are alike, and stand alike to all that comes near them, are solved once: the same part in the same place
of its frame, and for each feature of it and of theirs that may come near the same problem by ``congruence``.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

import numpy as np

from geometry.arrays import Array, Index, Mask
from geometry.assembly import Assembly
from geometry.clearance.excuses import excused
from geometry.clearance.pairs import law_of, over_crowns, places
from geometry.clearance.place import Place
from geometry.clearance.surface import split, with_point
from geometry.collision.broad_phase import boxed, reach_bounds
from geometry.collision.certify import TOLERANCE_MM, Approach, Memory, certify_all
from geometry.collision.closest_approach import ClosestApproach, Told, untold
from geometry.collision.congruence import Fingerprints
from geometry.collision.points import PointDistances
from geometry.feature import Group
from geometry.kinematics.laws import period_deg
from geometry.kinematics.poses import inverse, transform
from geometry.parts.part import Body
from geometry.solids import Mesh

EDGE_MM: Final = 6.0
"""Triangles are split down to this before they are coloured, so that a large flat face shows more than its corners."""
FAR_MM: Final = 13.0
"""Distances beyond this are not told apart, unless everything is about as far."""
NEAR_SHARE: Final = 0.4
"""The least distance of what is coloured is within this share of what is told apart."""
DOUBLINGS: Final = 4
ERROR_MM: Final = 0.5
"""Proved error of the distances: a fraction of what a colour can tell."""


@dataclass(frozen=True, slots=True, eq=False)
class Nearness:
    """Closest approach over the turn of the points of a part: a mesh as fine as the colours need, and (n,) mm.

    ``far_mm`` stands where nothing comes nearer.
    """

    mesh: Mesh
    values_mm: Array
    far_mm: float = FAR_MM


def nearness_of(assembly: Assembly, names: Sequence[str], told: Told = untold) -> dict[str, Nearness]:
    """Closest approach over the turn of every point of some bodies to everything they could meet.

    Parameters
    ----------
    names : of the bodies; each key of what is given back is one of them
    told : told which share of the work is done; may raise to end it
    """
    around, far = _around(assembly), FAR_MM
    for doubling in range(DOUBLINGS + 1):
        found = around.nearness(names, far, told)
        least = min((float(near.values_mm.min(initial=far)) for near in found.values()), default=0.0)
        if least <= NEAR_SHARE * far or doubling == DOUBLINGS:
            break
        far *= 2.0
    return found


def _part(told: Told, number: int, count: int) -> Told:
    """For the work on one of several, which count alike."""
    return lambda share: told((number + share) / count)


@dataclass(slots=True, eq=False)
class _Known:
    """What is known of bodies that are alike, in the words of the first that was asked of.

    Attributes
    ----------
    own, near : its features, and those that may come near it, by their numbers
    certain : whether it has its certified least distances
    """

    body: Body
    own: Index
    near: Index
    nearness: Nearness
    certain: bool = False


def forget() -> None:
    """Keep nothing of the engine that was asked of last."""
    _around.cache_clear()


@lru_cache(maxsize=1)
def _around(assembly: Assembly) -> Surroundings:
    """What stands round the bodies of the engine that was asked of last, and what has been worked out of it."""
    found = places(assembly)
    crowns = list(over_crowns(assembly, found))
    everything = [*found, *(pair.a for pair in crowns)]
    certain = np.zeros((len(found), len(everything)), dtype=bool)
    certain[:, : len(found)] = excused(assembly, found) < 0
    number = {id(place): k for k, place in enumerate(found)}
    for k, pair in enumerate(crowns):
        certain[number[id(pair.b)], len(found) + k] = True
    clear = certain.copy()
    group = np.array([place.group for place in found])
    bore = np.array([place.body.bore or 0 for place in found])
    clear[:, : len(found)] |= (
        (group == Group.PISTON)[:, None] & (group == Group.VALVE) & (bore[:, None] == bore)
    )
    bound = reach_bounds([boxed(place) for place in everything])[: len(found)]
    return Surroundings(assembly, everything, clear, certain, bound)


@dataclass(slots=True, eq=False)
class Surroundings:
    """Everything in an engine that a body could meet.

    Attributes
    ----------
    places : (m,) every feature of every body, n of them, and after these what stands in for the crowns under the valves
    clear : (n, m) against which of them the points of a feature are held: the points of a crown, pockets and all,
        against the valves, the points of a valve against what stands in for the crown
    certain : (n, m) which of these are a clearance that can be certified: the pieces of a crown have no pockets
    bound_mm : (n, m) that they keep at least
    """

    assembly: Assembly
    places: list[Place]
    clear: Mask
    certain: Mask
    bound_mm: Array
    _known: dict[Hashable, _Known] = field(default_factory=dict)
    _kinds: dict[Hashable, Index] = field(default_factory=dict)
    _prints: Fingerprints = field(default_factory=Fingerprints)
    _memory: Memory = field(default_factory=Memory)

    def nearness(self, names: Sequence[str], far_mm: float, told: Told = untold) -> dict[str, Nearness]:
        """How near bodies come to the others; what is farther than ``far_mm`` is not told apart."""
        found = {}
        for number, name in enumerate(names):
            found[name] = self._of(name, far_mm, _part(told, number, len(names)))
        new = [known for known in dict.fromkeys(found.values()) if not known.certain]
        for known, held in zip(new, self._least(new), strict=True):
            known.nearness, known.certain = _with_least(known, held), True
        return {name: known.nearness for name, known in found.items()}

    def _of(self, name: str, far_mm: float, told: Told) -> _Known:
        asked = name, far_mm
        if asked not in self._known:
            self._known[asked] = self._found(self.assembly.body(name), far_mm, told)
        return self._known[asked]

    def _found(self, body: Body, far_mm: float, told: Told) -> _Known:
        """How near the corners of its mesh come, or what is known of a body that is alike."""
        mesh = split(body.part.mesh, EDGE_MM)
        own = np.array([k for k in range(len(self.clear)) if self.places[k].body is body], dtype=np.intp)
        bound = self.bound_mm[own].min(axis=0, initial=np.inf, where=self.clear[own])
        others = np.nonzero(bound < far_mm)[0]
        if not others.size:
            return _Known(
                body, own, others, Nearness(mesh, np.full(len(mesh.vertices), far_mm), far_mm), True
            )
        search = ClosestApproach(
            law_of(self.assembly, body.frame), transform(body.X_FA, mesh.vertices),
            [self.places[k] for k in others], far_mm, ERROR_MM,
            self._feature(body, own, mesh), self.clear[np.ix_(own, others)],
        )  # fmt: skip
        near = others[search.near]
        key = self._key(body, own, near, far_mm)
        if key not in self._known:
            values = search.solved(told).distance_mm
            self._known[key] = _Known(body, own, near, Nearness(mesh, values, far_mm))
        return self._known[key]

    def _feature(self, body: Body, own: Index, mesh: Mesh) -> Index:
        """Which of its body's features each corner of its mesh lies at; of equal parts it is worked out once.

        That may run beside another by design: the faces of a big end are not coloured by their side clearance, the
        edges of its bolts are.
        """
        key = id(body.part), body.X_FA.tobytes()
        if key not in self._kinds:
            pieces = [(k, piece) for k, mine in enumerate(own) for piece in self.places[mine].pieces]
            table, points = (
                PointDistances([piece for _, piece in pieces]),
                transform(body.X_FA, mesh.vertices),
            )
            best, feature = np.full(len(points), np.inf), np.zeros(len(points), dtype=np.intp)
            for number, (k, _) in enumerate(pieces):
                off = table.at(np.full(len(points), number), points, best)
                feature[off < best] = k
                best = np.minimum(best, off)
            self._kinds[key] = feature
        return self._kinds[key]

    def _key(self, body: Body, own: Index, near: Index, far_mm: float) -> Hashable:
        """What bodies share that have the same answer."""
        first, pairs = self.places[own[0]], []
        for k in near.tolist():
            other = self.places[k]
            sides = [(first.law, first.pieces), (other.law, other.pieces)]
            key, _ = self._prints.of(sides, period_deg(first.law, other.law))
            pairs.append((key, self.clear[own, k].tobytes()))
        return id(body.part), body.X_FA.tobytes(), far_mm, frozenset(pairs)

    def _least(self, asked: Sequence[_Known]) -> list[list[tuple[Place, Approach]]]:
        """The certified least distance of each body to each other one that comes near, all worked out together."""
        pairs = [
            (number, self.places[i], self.places[k])
            for number, known in enumerate(asked) for i in known.own.tolist() for k in known.near.tolist()
            if self.certain[i, k] and self.bound_mm[i, k] < known.nearness.far_mm / 2
        ]  # fmt: skip
        far = max((known.nearness.far_mm / 2 for known in asked), default=FAR_MM)
        periods = [period_deg(a.law, b.law) for _, a, b in pairs]
        found = certify_all([(a, b) for _, a, b in pairs], periods, TOLERANCE_MM, far, self._memory)
        least: list[dict[str, tuple[Place, Approach]]] = [{} for _ in asked]
        for (number, mine, other), approach in zip(pairs, found, strict=True):
            held = least[number].get(other.body.name)
            if not approach.bound_only and (held is None or approach.min_mm < held[1].min_mm):
                least[number][other.body.name] = mine, approach
        return [list(of_body.values()) for of_body in least]


def _with_least(known: _Known, held: Sequence[tuple[Place, Approach]]) -> Nearness:
    """The same with a corner at each certified least distance, where it says so."""
    mesh, values = known.nearness.mesh, known.nearness.values_mm.copy()
    for mine, approach in held:
        X_AE = inverse(mine.law.poses(approach.crank_deg) @ known.body.X_FA)
        mesh, corner = with_point(mesh, transform(X_AE, approach.at_a_mm), EDGE_MM)
        if corner == len(values):
            values = np.append(values, np.inf)
        values[corner] = min(values[corner], approach.min_mm)
    return Nearness(mesh, values, known.nearness.far_mm)
