"""A piston pushed in, in the solids: what its rod passes on the way down its bore, and how near.

The rod hangs upright, its cap off, and moves along the bore without turning: each of its convex pieces sweeps the
convex hull of its first and last place, so one distance of that hull, certified from both sides, holds for the whole
way. Two ways are asked of: from above the deck down to crown flush with the deck, and at the bottom dead centre on
down onto the crankpin.

Only what stands in the rod's own slice of the crank can be met: whatever lies before or behind it along the crank is
passed at the side clearance, which has a limit of its own. The bore itself is the subject of ``passage``, the leaning
rod against its own crankpin that of ``push``: both are left out here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np

from geometry.arrays import Array, Index
from geometry.assembly import Assembly
from geometry.checks.push import PushIn, push_in
from geometry.collision.gjk import PiecePairs, nearest
from geometry.collision.support import Circles, Gathered, PieceTable, circles_of
from geometry.feature import Feature, Fit, Group
from geometry.kinematics.laws import Pose
from geometry.kinematics.layout import BoreSite
from geometry.kinematics.poses import compose, rot_x_deg, translation
from geometry.kinematics.slider_crank import dead_centres
from geometry.parts.part import Body
from geometry.solids import IDENTITY, Hull

STEP_DEG: Final = 10.0
"""Step of the crank at which the safe stretches are gone over in the solids."""
ACCURACY_MM: Final = 0.01
FAR_MM: Final = 25.0
"""Beyond this nothing is told apart."""
IN_SLICE_MM: Final = 1e-6
FEW: Final = 3
"""A feature of more flat-sided pieces is taken as filled: larger than it is, never smaller."""
NOT_THERE_YET: Final = frozenset({Group.HEAD, Group.VALVE, Group.PAN})
"""What is fitted after the pistons."""


@dataclass(frozen=True, slots=True)
class Met:
    """What a rod comes nearest to on its way.

    Attributes
    ----------
    body, feature : what it is; empty where nothing is nearer than ``FAR_MM``
    least_mm : certified least distance, zero where they meet
    """

    body: str
    feature: str
    least_mm: float


NOTHING: Final = Met("", "", FAR_MM)


@dataclass(frozen=True, slots=True)
class SafePush:
    """Where the crank may stand, and stands best, while one piston is pushed in.

    Attributes
    ----------
    plane : safe angles by the leaning rod against its crankpin
    safe_deg, safe_after_top_deg : those of its stretches in which the solids meet nothing either
    best_deg, best_after_top_deg : the bore's bottom dead centre, else the middle of the widest stretch; None: nowhere
    on_the_way : what is nearest at the best angle, down to crown flush with the deck; None: no angle is safe
    onto_the_pin : what is nearest on the rest of the way at the best angle; None: that is not the bottom dead centre,
        and the rod has to lean on the way
    """

    plane: PushIn
    safe_deg: tuple[tuple[float, float], ...]
    safe_after_top_deg: tuple[tuple[float, float], ...]
    best_deg: float | None
    best_after_top_deg: float | None
    on_the_way: Met | None
    onto_the_pin: Met | None


def safe_push(assembly: Assembly, site: BoreSite) -> SafePush:
    """Safe crank positions for one bore: the plane figure's, gone over in the solids."""
    plane = push_in(assembly, site)
    top = float(dead_centres(assembly.linkage).top_deg[assembly.layout.index(site.bore)])
    kept: list[tuple[float, float]] = []
    for start, end in plane.safe_after_top_deg:
        angles = np.linspace(start, end, max(2, 1 + int(np.ceil((end - start) / STEP_DEG))))
        met = down_to_flush(assembly, site, top + angles)
        kept += _runs(angles, [one.least_mm > 0.0 for one in met])
    best = _best(kept)
    best_deg = None if best is None else float((top + best) % 360.0)
    begin = [(float((top + a) % 360.0), b - a) for a, b in kept]
    return SafePush(
        plane,
        tuple((first, first + span) for first, span in begin),
        tuple(kept),
        best_deg,
        best,
        None if best_deg is None else down_to_flush(assembly, site, np.array([best_deg]))[0],
        down_to_pin(assembly, site, best_deg) if best == 180.0 and best_deg is not None else None,
    )


def _runs(angles: Array, clear: Sequence[bool]) -> list[tuple[float, float]]:
    """Stretches between the first and the last of neighbouring angles that are clear."""
    found: list[tuple[float, float]] = []
    start: float | None = None
    for k, angle in enumerate(angles):
        if clear[k] and start is None:
            start = float(angle)
        if start is not None and (not clear[k] or k == len(angles) - 1):
            last = float(angle if clear[k] else angles[k - 1])
            found += [(start, last)] if last > start else []
            start = None
    return found


def _best(stretches: Sequence[tuple[float, float]]) -> float | None:
    """The bottom dead centre where it is safe, else the middle of the widest stretch."""
    if not stretches:
        return None
    if any(start <= 180.0 <= end or start <= 540.0 <= end for start, end in stretches):
        return 180.0
    start, end = max(stretches, key=lambda one: one[1] - one[0])
    return ((start + end) / 2) % 360.0


def down_to_flush(assembly: Assembly, site: BoreSite, crank_deg: Array) -> list[Met]:
    """The rod upright from above the deck down to crown flush with the deck, at crank angles (m,) that stand still."""
    spec = assembly.design(site.bore)
    flush = spec.block.deck_height_mm - spec.piston.compression_height_mm
    X_EB = compose(translation([site.x_mm, 0.0, 0.0]), rot_x_deg(site.bank_deg))
    X_ER = X_EB @ translation([0.0, site.offset_mm, flush - spec.rod.length_mm])
    rise = spec.crank.stroke_mm + spec.rod.big_end.outside_mm
    return _passed(assembly, site, np.asarray(crank_deg, dtype=float), (X_ER, rise))


def down_to_pin(assembly: Assembly, site: BoreSite, bottom_deg: float) -> Met:
    """The rod down along the bore onto its crankpin at bottom dead centre, standing as it will be seated."""
    spec = assembly.design(site.bore)
    X_ER = assembly.frame_poses(bottom_deg)[f"R{site.bore}"]
    low = spec.rod.length_mm - spec.crank.stroke_mm / 2
    flush = spec.block.deck_height_mm - spec.piston.compression_height_mm
    return _passed(assembly, site, np.array([bottom_deg]), (X_ER, flush - low))[0]


def _passed(assembly: Assembly, site: BoreSite, crank_deg: Array, way: tuple[Array, float]) -> list[Met]:
    """The nearest thing at each crank angle to the rod between a pose and the same pose higher along the bore."""
    X_ER, rise_mm = way
    up = rot_x_deg(site.bank_deg)[:3, 2] * rise_mm
    swept = [_swept(piece, up) for piece in _open_end(assembly, site, X_ER)]
    poses = assembly.frame_poses(crank_deg)
    names: list[tuple[str, str]] = []
    others: list[Circles] = []
    at: list[int] = []  # the crank angle's number; -1 for what stands still
    for one in _in_slice(assembly, site):
        for step in (-1,) if one.body.frame == "E" else range(len(crank_deg)):
            others.append(one.piece if step < 0 else _placed(one.piece, poses[one.body.frame][step]))
            names.append((one.body.name, f"{one.feature.name} {one.feature.place}".strip()))
            at.append(step)
    if not others:
        return [NOTHING] * len(crank_deg)
    distance, step_of = _distances(swept, others), np.array(at)
    found = []
    for step in range(len(crank_deg)):
        here = np.nonzero((step_of == step) | (step_of < 0))[0]
        worst = int(here[distance[here].argmin()])
        least = float(distance[worst])
        found.append(NOTHING if least >= FAR_MM else Met(*names[worst], least))
    return found


def _open_end(assembly: Assembly, site: BoreSite, X_ER: Array) -> Iterator[Circles]:
    """The rod without its cap, and bolts that stay in it, placed in the engine."""
    bolts = assembly.spec.rod.bolt.kind == "bolt_and_nut"
    for body in assembly.bodies:
        if body.bore != site.bore or body.frame != f"R{site.bore}":
            continue
        rod = body.part.kind == "rod"
        if rod or (bolts and body.part.kind == "rod_bolt"):
            for feature in body.part.features:
                if rod or feature.place in ("head", "shank"):
                    for piece in _filled(feature):
                        yield _placed(piece, X_ER @ body.X_FA)


def _filled(feature: Feature) -> list[Circles]:
    """The pieces of a feature; many with flat sides, such as a blade with its pockets, as the one hull round them."""
    pieces = [circles_of(piece) for piece in feature.pieces]
    if len(pieces) <= FEW or not all(isinstance(piece, Hull) for piece in feature.pieces):
        return pieces
    points = np.unique(np.vstack([piece.centre_mm for piece in pieces]), axis=0)
    return [replace(pieces[0], centre_mm=points, radius_mm=np.zeros(len(points)))]


def _in_slice(assembly: Assembly, site: BoreSite) -> Iterator[_Standing]:
    """The pieces in the rod's slice of all that stands there while a piston goes in, every other rod on its pin."""
    half = assembly.design(site.bore).rod.big_end.width_mm / 2
    for one in _standing(assembly):
        in_slice = min(one.high_mm, site.x_mm + half) - max(one.low_mm, site.x_mm - half) > IN_SLICE_MM
        if not in_slice or site.bore in (one.body.bore, one.feature.bore):
            continue
        own = [
            seat.fit for seat in one.feature.seat_of
            if (one.body.number_of(seat.fit) if seat.number is None else seat.number) == site.bore
        ]  # fmt: skip
        if Fit.BORE not in own and Fit.CRANKPIN not in own:
            yield one


@dataclass(frozen=True, slots=True, eq=False)
class _Standing:
    """A piece of a body in the frame that it rides on, and how far it reaches along the crank at any angle."""

    body: Body
    feature: Feature
    piece: Circles
    low_mm: float
    high_mm: float


@lru_cache(maxsize=2)
def _standing(assembly: Assembly) -> tuple[_Standing, ...]:
    found = []
    for body in assembly.bodies:
        moves = body.frame[0] in "PR" and body.bore is not None
        x_mm = assembly.layout.site(body.bore).x_mm if moves and body.bore is not None else 0.0
        for feature in body.part.features:
            if feature.group not in NOT_THERE_YET:
                for piece in feature.pieces:
                    circles = _placed(circles_of(piece), body.X_FA)
                    low, high = _along(circles)
                    found.append(_Standing(body, feature, circles, low + x_mm, high + x_mm))
    return tuple(found)


def _placed(piece: Circles, X_EA: Array) -> Circles:
    if X_EA is IDENTITY:
        return piece
    turn, shift = X_EA[:3, :3], X_EA[:3, 3]
    return replace(
        piece, centre_mm=piece.centre_mm @ turn.T + shift, axis=turn @ piece.axis, first=turn @ piece.first,
        second=turn @ piece.second, origin=turn @ piece.origin + shift,
    )  # fmt: skip


def _swept(piece: Circles, by_mm: Array) -> Circles:
    """The hull of a piece and of the same piece moved: all that it sweeps."""
    return replace(
        piece,
        centre_mm=np.vstack([piece.centre_mm, piece.centre_mm + by_mm]),
        radius_mm=np.tile(piece.radius_mm, 2),
    )


def _along(piece: Circles) -> tuple[float, float]:
    """How far a piece reaches along the crank: at most."""
    reach = piece.radius_mm * float(np.sqrt(max(0.0, 1.0 - piece.axis[0] ** 2)))
    return float((piece.centre_mm[:, 0] - reach).min()), float((piece.centre_mm[:, 0] + reach).max())


def _distances(swept: Sequence[Circles], others: Sequence[Circles]) -> Array:
    """A proved lower bound (n,) of the distance of each of the others to everything swept, 0 where they meet."""
    left, right = np.meshgrid(np.arange(len(swept)), np.arange(len(others)), indexing="ij")
    pairs = _Pairs(swept, left.ravel()), _Pairs(others, right.ravel())
    count = left.size
    still = Pose(np.ones(count), *(np.zeros(count) for _ in range(4)))
    scene = PiecePairs(pairs[0].gathered, pairs[1].gathered, still, still)
    start = pairs[1].middle - pairs[0].middle
    start[0] += 1e-9
    found = nearest(scene, start, np.full(count, ACCURACY_MM), np.full(count, FAR_MM))
    least = np.where(found.overlap, 0.0, np.maximum(found.gap, 0.0))
    return np.asarray(least.reshape(len(swept), len(others)).min(axis=0))


class _Pairs:
    """One side of many pairs of pieces."""

    def __init__(self, pieces: Sequence[Circles], index: Index) -> None:
        table = PieceTable(pieces)
        self.gathered: Gathered = table.gather(index, table.middle[index], table.half[index])
        middles = np.array([piece.centre_mm.mean(axis=0) for piece in pieces]).T
        self.middle: Array = middles[:, index].copy()
