"""The places of an engine in motion at any point of a box, and which pairs of them are one problem all over it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple, TypeAlias

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.clearance.over_crown import StandIn, stand_ins
from geometry.clearance.pairs import Pair, placed
from geometry.clearance.place import Place
from geometry.collision.congruence import Fingerprints
from geometry.collision.mover import Mover
from geometry.doubts.kept import Workshop
from geometry.feature import Feature
from geometry.kinematics.laws import Law
from geometry.kinematics.layout import Layout
from geometry.kinematics.valve_lift import valve_of
from geometry.parts.part import Body
from geometry.solids import Piece
from geometry.spec.engine import Engine

Point: TypeAlias = "Mapping[str, float]"


class PlaceName(NamedTuple):
    """What a place is called, the same at every point: body, feature, which of several, part of it.

    ``valve`` is the bore and number of the valve that the place stands in for a crown under, None for features.
    """

    body: str
    feature: str
    place: str
    part: str
    valve: tuple[int, int] | None = None


PlaceNames: TypeAlias = tuple[PlaceName, PlaceName]


def spots_of(pair: Pair) -> PlaceNames:
    """What the two places of a pair are called."""
    return _spot(pair.a, pair.b), _spot(pair.b, pair.a)


def _spot(place: Place, other: Place) -> PlaceName:
    if (place.of.name, place.of.place) == (place.feature, place.place):
        return PlaceName(place.body.name, place.feature, place.place, place.of.part)
    # a stand-in for the crown is named otherwise than the feature that it was made from
    return PlaceName(place.body.name, place.feature, place.place, "", valve_of(other.body.frame))


class Movers:
    """Places in motion at any point of a box; equal ones share their pieces."""

    def __init__(self, workshop: Workshop) -> None:
        self.workshop = workshop
        self.prints = Fingerprints()
        self._pieces: dict[tuple[int, bytes], tuple[Piece, ...]] = {}
        self._features: dict[int, dict[tuple[str, str, str], Feature]] = {}
        self._held: list[object] = []
        self._movers: dict[tuple[str, str, str, str, int, Law], Mover] = {}

    def at(self, point: Point, spot: PlaceName) -> Mover | None:
        """A place at a point; None where it is not there."""
        stand = self.workshop.at(point)
        body = stand.body(spot.body)
        if body is None:
            return None
        law = stand.law(body.frame)
        pieces = self._crown(point, spot) if spot.valve else self._own(body, spot)
        if pieces is None:
            return None
        key = (*spot[:4], id(pieces), law)
        if key not in self._movers:
            self._movers[key] = Mover(f"{spot.feature} {spot.place} of {spot.body}", law, pieces)
        return self._movers[key]

    def pair_at(self, point: Point, spots: PlaceNames) -> tuple[Mover, Mover] | None:
        """Both places at a point; None where one is not there."""
        a, b = (self.at(point, spot) for spot in spots)
        return None if a is None or b is None else (a, b)

    def _own(self, body: Body, spot: PlaceName) -> tuple[Piece, ...] | None:
        part = id(body.part)
        if part not in self._features:
            self._held.append(body.part)
            self._features[part] = {(f.name, f.place, f.part): f for f in body.part.features}
        feature = self._features[part].get(spot[1:4])
        if feature is None:
            return None
        key = id(feature), body.X_FA.tobytes()
        if key not in self._pieces:
            self._pieces[key] = tuple(placed(piece, body) for piece in feature.pieces)
        return self._pieces[key]

    def _crown(self, point: Point, spot: PlaceName) -> tuple[Piece, ...] | None:
        def make(spec: Engine, layout: Layout, built: Built) -> tuple[StandIn, ...]:
            assert spot.valve is not None
            assembly = Assembly(spec, layout, built, layout.linkage, ())
            return tuple(stand_ins(assembly, *spot.valve, {}))

        found = self.workshop.made_at(point, ("crown", spot.valve), make)
        return next((s.pieces for s in found if (s.feature, s.place) == (spot.feature, spot.place)), None)


def alike(
    movers: Movers, problems: Sequence[tuple[PlaceNames, float]], points: Sequence[Point]
) -> list[list[int]]:
    """Pairs of places by what is one problem at every one of some points.

    Two pairs that are congruent at nominal values and at a point with all values off nominal by shares that have
    nothing to do with each other are so over the whole box: what makes them differ would show there.

    Parameters
    ----------
    problems : the places of each pair and its period in degrees
    points : nominal and others
    """
    found: dict[object, list[int]] = {}
    for k, (spots, period) in enumerate(problems):
        key = []
        for point in points:
            pair = movers.pair_at(point, spots)
            sides = None if pair is None else [(mover.law, mover.pieces) for mover in pair]
            key.append(None if sides is None else movers.prints.of(sides, period)[0])
        found.setdefault(tuple(key), []).append(k)
    return list(found.values())
