"""A rod bolt that stands out: the solids cut along it where it comes nearest, how far it is out and what it meets."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from geometry.checks.section import Amount
from geometry.mistakes.bolts.bolt_words import stands_out_mm
from geometry.mistakes.contact import TOLD_MM
from geometry.parts.shapes.convex import region
from geometry.parts.shapes.rod_shape import seat_radius_mm
from geometry.solids import Cylinder
from viewer.explained.case import MistakeCase
from viewer.explained.cut import GROUNDS, SectionPlane, along_axis
from viewer.explained.drawing import Drawing
from viewer.explained.pen import FAINT, INK, RIGHT, WRONG, Pen, Xy
from viewer.explained.plane import box, face, outlines, share

if TYPE_CHECKING:
    from manifold3d import CrossSection

    from geometry.assembly import Assembly

ROOM, LEAST_SHARE = 0.3, 0.37
"""Room round what matters, by the radius of head or nut; and how far in the trouble lies at least, so that it stands in
the middle third."""
LEVELS = {"block": 1.0, "crank": 1.2, "rod": 2.0, "cap": 2.0, "shell": 2.4, "bolt": 3.0}


@dataclass(frozen=True, slots=True, eq=False)
class BoltView:
    """One camera for both halves.

    Attributes
    ----------
    plane : through the bolt's axis, its origin in the middle of the rod's joint with the bolt
    radius_mm : of head or nut
    start_mm, end_mm : where the bolt ends that should, and where it does, along the plane's upright
    head_mm : from there to the far end of the head, upwards; zero where a thread stands out
    near : the two nearest points in the plane, on the bolt first; None where nothing is near
    side : to which side of its axis the bolt comes near, +1 the right of the drawing
    """

    plane: SectionPlane
    radius_mm: float
    start_mm: float
    end_mm: float
    head_mm: float
    near: tuple[Xy, Xy] | None
    side: float

    @property
    def spot(self) -> Xy:
        """The trouble: between the two nearest points, else where the bolt is out."""
        if self.near is not None:
            (x0, y0), (x1, y1) = self.near
            return (x0 + x1) / 2, (y0 + y1) / 2
        return 0.0, (self.start_mm + self.end_mm) / 2


def bolt_view(case: MistakeCase) -> BoltView:
    """The plane through the worse bolt and what it comes near, by the spot of the study."""
    spot, wrong, bolt = case.study.spot, case.wrong, case.wrong.spec.rod.bolt
    X_ER = wrong.frame_poses(spot.crank_deg)[f"R{case.place}"]
    at = spot.to_mm or (0.0, 0.0, 0.0)
    start_mm = spot.from_mm or at  # where it hits there is one point, in what both share
    about = np.array([*start_mm, 1.0])
    side = 1.0 if float((np.linalg.inv(X_ER) @ about)[1]) >= 0.0 else -1.0
    origin = (X_ER @ np.array([0.0, side * bolt.spacing_mm / 2, 0.0, 1.0]))[:3]
    across = X_ER[:3, 1]
    if spot.meets:  # the nearest point of a round head, its axis and the other part's
        across = np.array(start_mm) - origin
    plane = along_axis(origin, X_ER[:3, 2], across)
    near = None
    if spot.meets:
        near = plane.at(start_mm), plane.at(at)
    toward = 1.0 if near is None or near[0][0] >= 0.0 else -1.0
    start, end = stands_out_mm(wrong, case.place)
    head = (
        0.0
        if wrong.built.bore(case.place).bolt_longer_mm
        else float(np.sign(end - start)) * bolt.head_height_mm
    )
    return BoltView(plane, seat_radius_mm(bolt), start, end, head, near, toward)


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """The bolt upright, the end that stands out in the middle."""
    view = bolt_view(case)
    _frame(pen, view)
    other = [] if not case.study.spot.meets else [_cut(pen, case.right, case, view, case.study.spot.meets)]
    if case.wrong.built.bore(case.place).bolt_longer_mm:
        pen.line(
            np.array([[-view.radius_mm, view.start_mm], [view.radius_mm, view.start_mm]]),
            colour=FAINT,
            style="--",
        )
    for body in case.side(wrong).bodies:
        if body.frame == f"R{case.place}":
            mine = _cut(pen, case.side(wrong), case, view, body.name)
            for met in other if body.part.kind == "rod_bolt" else []:
                for shared in outlines(mine ^ met):
                    pen.bite(shared)
    _words(pen, case, view, wrong)
    return view.spot


def _cut(pen: Pen, side: Assembly, case: MistakeCase, view: BoltView, name: str) -> CrossSection:
    """Draw the cut face of one body."""
    kind = side.body(name).part.kind
    ground = GROUNDS.get(kind, "tool")
    crank = case.study.spot.crank_deg
    shape = _round(view, side, name, crank) if kind == "rod_bolt" else view.plane.cut(side, name, crank)
    face(pen, shape, ground, accent=kind == "rod_bolt", level=LEVELS.get(ground, 1.5))
    return shape


def _round(view: BoltView, side: Assembly, name: str, crank_deg: float) -> CrossSection:
    """The bolt along its axis, head and nut as wide as their corners, as they are held against what they come near."""
    shape, pose = region(), side.pose(name, crank_deg)
    for piece in (piece for feature in side.body(name).part.features for piece in feature.pieces):
        assert isinstance(piece, Cylinder)
        x, y = view.plane.at((pose @ piece.X_AP)[:3, 3])
        if abs(x) < piece.radius_mm:  # the other bolt of the rod stands elsewhere
            half = piece.length_mm / 2
            shape += region(box(x - piece.radius_mm, x + piece.radius_mm, y - half, y + half))
    return shape


def _frame(pen: Pen, view: BoltView) -> None:
    """The end of the bolt with what it comes near, the trouble in the middle third."""
    radius, free = view.radius_mm, -view.side
    reach = (view.start_mm, view.end_mm, view.end_mm + view.head_mm)
    points = np.array([[-radius, min(reach)], [radius, max(reach)], *(view.near or ())])
    (left, low), (right, high) = points.min(axis=0), points.max(axis=0)
    left, right = (
        min(left, (0.7 * free - 1.0) * radius),
        max(right, (0.7 * free + 1.0) * radius),
    )  # for the words
    x, y = view.spot
    sides = _middle(left - ROOM * radius, right + ROOM * radius, x)
    pen.frame(*sides, *_middle(low - ROOM * radius, high + ROOM * radius, y))


def _middle(low: float, high: float, at: float) -> tuple[float, float]:
    """The same stretch, made longer on the side where a place lies too near its end."""
    part = LEAST_SHARE / (1.0 - LEAST_SHARE)
    return min(low, at - part * (high - at)), max(high, at + part * (at - low))


def _words(pen: Pen, case: MistakeCase, view: BoltView, wrong: bool) -> None:
    bolt, longer = case.wrong.spec.rod.bolt, case.wrong.built.bore(case.place).bolt_longer_mm > 0.0
    start, end, free = view.start_mm, view.end_mm, -view.side
    way = float(np.sign(view.head_mm))
    (_, _), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    beside = share(pen, 0.5 + 0.375 * free, 0.0)[0]
    place = (beside, (start + end) / 2 + (0.22 if longer else 0.26 * way) * (high - low))
    x = free * (0.7 * bolt.diameter_mm if longer else 0.85 * view.radius_mm)
    if longer:
        nut = bolt.nut_height_mm or 0.0
        pen.label("nut", (0.0, -bolt.seat_mm - 0.7 * nut), small=True)
    else:
        pen.label("bolt head", (0.0, (end if wrong else start) + 0.6 * view.head_mm), small=True)
    if not wrong:
        told = "thread of\nthe right length" if longer else "head flat\non its seat"
        pen.label(told, (0.0 if longer else x, start), place, colour=RIGHT, bold=True)
        return
    out = case.length(abs(end - start))
    told = f"{out}\ntoo long" if longer else f"{out}\noff its seat,\nzero allowed"
    pen.dimension((x, start), (x, end), told, place, colour=WRONG)
    _nearest(pen, case, view)


def _nearest(pen: Pen, case: MistakeCase, view: BoltView) -> None:
    """How near it comes to what it meets, or that it meets nothing."""
    spot = case.study.spot
    place = share(pen, 0.5 + 0.31 * view.side, 0.14 if view.end_mm < 0 else 0.86)
    if view.near is None:
        corner = share(pen, 0.5 - 0.36 * view.side, 0.06 if view.end_mm < 0 else 0.94)
        pen.label(f"nothing nearer than\n{case.length(TOLD_MM)} all round", corner, small=True)
        return
    worst = case.study.rows[1]  # the study lists what comes nearest behind how far the bolt stands out
    least, limit = worst["wrong"], worst["limit"]
    assert isinstance(least, Amount)
    assert isinstance(limit, Amount)
    met = spot.meets_at
    met = f"into\nthe {met}" if least.value < 0.0 else f"left\nto the {met}"
    verdict = case.below_assumed(str(worst["verdict"]))
    told = f"{case.length(abs(least.value))} {met},\n{limit.text(case.system)} wanted:\n{verdict}"
    if least.value < 0.0:  # what the two share is drawn; how far apart they would have to be is no line in it
        pen.label(told, view.spot, place, colour=WRONG, bold=True)
    else:
        pen.dimension(*view.near, told, place, colour=WRONG if least.value < limit.value else INK)


def said(case: MistakeCase) -> str:
    """Through what it is cut, and at which crank angle."""
    spot = case.study.spot
    where = "its axis and the place where it comes nearest" if spot.meets else "its axis"
    return (
        f"Cut along the bolt, through {where}, the rod upright, to scale, the head as wide as its corners; crank at "
        f"{spot.crank_deg:.0f}°."
    )


DRAWING = Drawing("bolt", draw, said)
