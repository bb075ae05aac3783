"""The section across the crank at one bore, with all that rod, cap and bolts sweep in it: plain data of a drawing.

Points are (y, z) of the engine frame E, mm: to the right seen from the rear, and up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import manifold3d
import numpy as np
from manifold3d import CrossSection, JoinType, OpType

from geometry.arrays import Array, Mask
from geometry.assembly import Assembly
from geometry.checks.clearances import Clearance, judged_of
from geometry.clearance.full_turn import Near, full_turn
from geometry.clearance.limits import limit_for
from geometry.clearance.pairs import Pair, law_of
from geometry.clearance.words import ordered
from geometry.collision.distance_curve import distance_curve
from geometry.parts.part import Body
from geometry.solids import Cylinder
from viewer.scene.solid import as_solid

SWEPT: Final = ("rod", "rod_cap", "rod_bolt")
STEP_DEG: Final = 2.0
POINT_MM: Final = 1.0
"""Between two points of an outline that glows or does not."""
SIMPLE_MM: Final = 0.02
"""How far an outline may leave the solid's facets, so that a file stays small."""
BITE: Final = "bite"
"""The kind of the shape that rod, cap and bolts share with what they strike."""
SIDEWAYS_DEG: Final = 90.0
MOST_PLACES: Final = 3
ROUND: Final = 128
"""Sides of the circle that a bolt's head is held as."""
OFF_AXIS: Final = 0.3
"""How far from the middle of the rod the plane may stand, by the bolts' diameter, so that it still cuts them."""
Outlines = tuple[Array, ...]


@dataclass(frozen=True, slots=True, eq=False)
class CutShape:
    """What the plane cuts of one body.

    Attributes
    ----------
    kind : of its part
    outlines : (n, 2) each, holes clockwise
    band : outlines of the strip round it that is to stay free; empty where nothing of this sweep comes near it
    """

    kind: str
    outlines: Outlines
    band: Outlines = ()


@dataclass(frozen=True, slots=True, eq=False)
class SweptSkin:
    """Rod, cap and bolts at one angle.

    Attributes
    ----------
    outlines : (n, 2) each, closed
    strengths : (n,) each: 0 where the limit is kept, rising to 1 where it touches
    """

    crank_deg: float
    outlines: Outlines
    strengths: tuple[Array, ...]


@dataclass(frozen=True, slots=True, eq=False)
class SweptSection:
    """The drawing's data.

    Attributes
    ----------
    x_mm, middle_mm : where the plane stands along the crank, and where the middle of the rod stands
    shapes : all that the plane cuts, at the angle of each place; at one angle where there is no place
    skins : all that rod, cap and bolts sweep
    places : the closest of them to what they could strike, the worst first
    never_nearer_mm : proved, of everything that they could strike and that is not among the places
    """

    bore: int
    x_mm: float
    middle_mm: float
    shapes: tuple[tuple[CutShape, ...], ...]
    skins: tuple[SweptSkin, ...]
    places: tuple[Clearance, ...]
    never_nearer_mm: float


def sweep_of(assembly: Assembly, bore: int) -> SweptSection:
    """All that rod, cap and bolts of a bore sweep in the plane in which they come nearest to block, pan or camshaft.

    Raises
    ------
    InputError
        There is no such bore.
    """
    assembly.layout.site(bore)
    own = [body for body in assembly.bodies if body.bore == bore and body.part.kind in SWEPT]
    turn = full_turn(assembly)
    near = [n for n in turn.near if _is_theirs(n.pair, bore)]
    places = _closest(judged_of(assembly, near))
    x, middle = _plane(assembly, bore, own[0].frame, places)
    limits = {ordered(n.pair)[1].body: limit_for(assembly.spec, n.pair.limit).least_mm for n in near}
    shapes = tuple(_shapes(assembly, bore, angle, x, limits) for angle in _angles(places))
    skins = _skins(assembly, own, near, x)
    told = {id(place.near) for place in places}
    rest = [n.approach.floor_mm for n in near if id(n) not in told]
    rest += [far.bound_mm for far in turn.far if _is_theirs(far.pair, bore)]
    return SweptSection(bore, x, middle, shapes, skins, places, min(rest, default=np.inf))


def _angles(places: Sequence[Clearance]) -> list[float]:
    return [place.near.approach.crank_deg for place in places] or [SIDEWAYS_DEG]


def _shapes(
    assembly: Assembly, bore: int, crank_deg: float, x_mm: float, limits: Mapping[Body, float]
) -> tuple[CutShape, ...]:
    poses = assembly.frame_poses(crank_deg)
    cuts = {b: cut_of(b, poses[b.frame], x_mm) for b in assembly.bodies if _is_seen(b, bore)}
    own = _united([cut for body, cut in cuts.items() if body.part.kind in SWEPT])
    struck = _united([cut for body, cut in cuts.items() if body in limits])
    bite = CutShape(BITE, _outlines(own ^ struck))
    return (*(_shape(body, cut, limits.get(body, 0.0)) for body, cut in cuts.items()), bite)


def _plane(assembly: Assembly, bore: int, frame: str, places: Sequence[Clearance]) -> tuple[float, float]:
    """Where the plane stands, and where the middle of the rod stands."""
    middle = float(law_of(assembly, frame).poses(np.array([0.0]))[0, 0, 3])
    if not places:
        return middle, middle
    room = OFF_AXIS * assembly.design(bore).rod.bolt.diameter_mm
    at = float(ends_of(places[0])[0][0])
    return float(np.clip(at, middle - room, middle + room)), middle


def _is_theirs(pair: Pair, bore: int) -> bool:
    """Whether it is of a rod, cap or bolt of this bore against what they could strike: block, pan or camshaft."""
    a, b = ordered(pair)
    return a.body.bore == bore and a.body.part.kind in SWEPT and b.body.frame in ("E", "cam")


def _is_seen(body: Body, bore: int) -> bool:
    own = body.bore == bore and body.part.kind in ("piston", "piston_pin", *SWEPT)
    return body.frame in ("E", "cam", "C") or own


def _closest(found: Sequence[Clearance]) -> tuple[Clearance, ...]:
    """The worst of each thing that could be struck."""
    seen: set[tuple[str, str]] = set()
    kept = []
    for clearance in found:
        other = ordered(clearance.near.pair)[1]
        if (other.feature, other.place) not in seen:
            seen.add((other.feature, other.place))
            kept.append(clearance)
    return tuple(kept[:MOST_PLACES])


def ends_of(place: Clearance) -> tuple[Array, Array]:
    """The two ends (3,) in E of a place, that of the moving part first."""
    pair, near = place.near.pair, place.near.approach
    ends = (near.at_a_mm, near.at_b_mm)
    return ends if ordered(pair)[0] is pair.a else ends[::-1]


def cut_of(body: Body, X_EF: Array, x_mm: float) -> CrossSection:
    """What a plane across the crank cuts of a body; nothing where its mesh is open.

    A bolt's head is the circle round its corners, as it is held in every clearance.
    """
    X = X_EF @ body.X_FA
    solid = as_solid(body.part.mesh)
    if solid is None:
        return CrossSection()
    found = solid.transform(_seen_along(X)).slice(x_mm)
    for feature in body.part.features:
        for piece in feature.pieces if feature.round_head else ():
            assert isinstance(piece, Cylinder)
            head = manifold3d.Manifold.cylinder(
                piece.length_mm, piece.radius_mm, circular_segments=ROUND, center=True
            )
            found += head.transform(_seen_along(X @ piece.X_AP)).slice(x_mm)
    return found.simplify(SIMPLE_MM)


def _seen_along(X_EA: Array) -> Array:
    """A pose (3, 4) into the frame in which y, z and x of the engine come first, second and last."""
    return np.ascontiguousarray(X_EA[[1, 2, 0], :])


def _shape(body: Body, cut: CrossSection, limit_mm: float = 0.0) -> CutShape:
    band = cut.offset(limit_mm, JoinType.Round) - cut if limit_mm > 0.0 else CrossSection()
    return CutShape(body.part.kind, _outlines(cut), _outlines(band))


def _united(cuts: Sequence[CrossSection]) -> CrossSection:
    return CrossSection.batch_boolean(list(cuts), OpType.Add)


def _outlines(cut: CrossSection) -> Outlines:
    return tuple(np.asarray(polygon, dtype=float) for polygon in cut.to_polygons())


def _rims(cut: CrossSection) -> list[Array]:
    """Outer outlines, closed, in short steps; holes for pins move about inside and say nothing."""
    found = []
    for points in _outlines(cut):
        if _area(points) > 0.0:
            found.append(_stepped(np.vstack([points, points[:1]])))
    return found


def _area(points: Array) -> float:
    y, z = points.T
    return float(np.dot(y, np.roll(z, -1)) - np.dot(z, np.roll(y, -1))) / 2


def _stepped(points: Array) -> Array:
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    more = np.arange(0.0, along[-1], POINT_MM)
    at = np.unique(np.concatenate([along, more]))
    return np.column_stack([np.interp(at, along, points[:, k]) for k in (0, 1)])


def _skins(
    assembly: Assembly, own: Sequence[Body], near: Sequence[Near], x_mm: float
) -> tuple[SweptSkin, ...]:
    """The outlines at every angle, and how far each point of them is within its limit."""
    angles = np.arange(0.0, 360.0, STEP_DEG)
    poses = law_of(assembly, own[0].frame).poses(angles)
    cuts = [cut_of(body, poses[0], x_mm) for body in own]
    turn, shift = poses[0][1:3, 1:3], poses[0][1:3, 3]
    local = [(rim - shift) @ turn for rim in _rims(_united(cuts))]
    skins = [tuple(rim @ X[1:3, 1:3].T + X[1:3, 3] for rim in local) for X in poses]
    strengths = [tuple(np.zeros(len(rim)) for rim in skin) for skin in skins]
    for body in {ordered(n.pair)[1].body for n in near}:
        theirs = [n for n in near if ordered(n.pair)[1].body is body]
        for k, turned, distance, limit in _within_limit(assembly, theirs, angles):
            edge = _edges(cut_of(body, assembly.frame_poses(turned)[body.frame], x_mm))
            if len(edge):
                gaps = [gap_mm(edge, rim) for rim in skins[k]]
                # The nearest place may lie before or behind the plane: there the plane shows more room than there is.
                over = max(min(float(gap.min()) for gap in gaps) - distance, 0.0)
                for strength, gap in zip(strengths[k], gaps, strict=True):
                    np.maximum(strength, np.clip(1.0 - (gap - over) / limit, 0.0, 1.0), out=strength)
    return tuple(SweptSkin(float(a), s, g) for a, s, g in zip(angles, skins, strengths, strict=True))


def _within_limit(
    assembly: Assembly, near: Sequence[Near], angles_deg: Array
) -> list[tuple[int, float, float, float]]:
    """Where pairs are within their limit: number of the angle, the crank angle of the cycle, distance and limit."""
    found: dict[tuple[int, float], tuple[float, float]] = {}
    for n in near:
        limit = limit_for(assembly.spec, n.pair.limit).least_mm
        if n.approach.floor_mm >= limit:
            continue
        turned = np.arange(0.0, n.pair.period_deg, STEP_DEG)
        distance = distance_curve(n.pair.a, n.pair.b, turned).distance_mm
        for at in np.nonzero(distance < limit)[0]:
            key = int(at) % len(angles_deg), float(turned[at])
            if key not in found or distance[at] < found[key][0]:
                found[key] = float(distance[at]), limit
    return [(k, turned, *values) for (k, turned), values in found.items()]


def _edges(cut: CrossSection) -> Array:
    """Edges (m, 2, 2) of the outlines of a cut."""
    found = [np.stack([p, np.roll(p, -1, axis=0)], axis=1) for p in _outlines(cut)]
    return np.concatenate(found) if found else np.zeros((0, 2, 2))


def gap_mm(edges_mm: Array, points_mm: Array) -> Array:
    """Distance (n,) of points to the region within some edges, below zero inside.

    Parameters
    ----------
    edges_mm : (m, 2, 2) closed outlines, holes among them
    points_mm : (n, 2)
    """
    start, way = edges_mm[:, 0], edges_mm[:, 1] - edges_mm[:, 0]
    away = points_mm[:, None, :] - start
    share = np.clip((away * way).sum(axis=2) / np.maximum((way**2).sum(axis=1), 1e-12), 0.0, 1.0)
    least = np.linalg.norm(away - share[..., None] * way, axis=2).min(axis=1)
    return np.asarray(np.where(_inside(edges_mm, points_mm), -least, least))


def _inside(edges_mm: Array, points_mm: Array) -> Mask:
    """Whether points lie within closed outlines: a ray to the right crosses an odd number of edges."""
    (y0, z0), (y1, z1) = np.moveaxis(edges_mm, 0, -1)
    y, z = points_mm[:, :1], points_mm[:, 1:]
    spans = (z0 <= z) != (z1 <= z)
    rise = np.where(z1 == z0, 1.0, z1 - z0)
    return np.asarray((spans & (y < y0 + (z - z0) / rise * (y1 - y0))).sum(axis=1) % 2 == 1)
