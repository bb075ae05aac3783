"""Distances in the picture: the one of a close place at any angle, and the one between two picked points."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from geometry.assembly import Assembly
from geometry.checks.close_places import Close
from geometry.checks.troubles import Point
from geometry.clearance.words import short_pair_words
from geometry.collision.distance_curve import distance_curve
from geometry.kinematics.poses import inverse, transform
from geometry.parts.heads import head_circle
from geometry.parts.part import Body
from geometry.units import System, show
from viewer.scene.model import Callout, Label, Scene
from viewer.window.state import ViewState

SAME_ANGLE_DEG = 0.05


def callout_at(close: Close, crank_deg: float, units: System) -> Callout:
    """The distance of a place at any angle, ready to draw; where it is least, as it was certified."""
    period = close.pair.period_deg
    if abs((crank_deg - close.crank_deg + period / 2) % period - period / 2) < SAME_ANGLE_DEG:
        mm, a, b = close.min_mm, close.at_a_mm, close.at_b_mm
    else:
        now = distance_curve(close.pair.a, close.pair.b, [crank_deg])
        mm, a, b = float(now.distance_mm[0]), now.at_a_mm[0], now.at_b_mm[0]
    text = f"{short_pair_words(close.pair.a, close.pair.b)}: {show(mm, 'length', units, fine=True)}"
    poses = [(place.body, place.law.poses(np.asarray(crank_deg))) for place in (close.pair.a, close.pair.b)]
    found = [head_circle(body, X_EF, point) for body, X_EF in poses for point in (a, b)]
    circles = tuple(circle for circle in found if circle is not None)
    return Callout(a, b, text, close.verdict_at(mm), close.bodies, mm, crank_deg, circles)


def measured(state: ViewState, assembly: Assembly, units: System) -> list[Callout]:
    """What is being measured: the first point alone, or the distance between the two, wherever their parts now are."""
    poses = assembly.frame_poses(state.crank_deg)
    ends = [transform(poses[point.frame], np.array(point.at_mm)) for point in state.points]
    if not ends:
        return []
    length = float(np.linalg.norm(ends[-1] - ends[0]))
    text = (
        f"between the points: {show(length, 'length', units, fine=True)}" if len(ends) == 2 else "first point"
    )
    return [Callout(ends[0], ends[-1], text, None, ("", ""), length, state.crank_deg)]


def label_at(
    scene: Scene,
    assembly: Assembly,
    bodies: Sequence[str],
    at_mm: Point,
    crank_deg: float | None,
    text: str,
    look: str,
) -> Label:
    """Words at a place of a part: they ride on it, and go along where it is drawn apart from the others.

    Parameters
    ----------
    bodies : names of the parts concerned; the one that is nearest counts
    at_mm : in E, at ``crank_deg``; at any angle where that is None
    """
    poses, point = assembly.frame_poses(crank_deg or 0.0), np.array(at_mm)
    items = {item.name: item for item in scene.items if item.name in bodies}
    found = [body for body in assembly.bodies if body.name in items]
    if not found:
        return Label(text, "E", point, "callout", look=look)

    def away_mm(body: Body) -> float:
        own = transform(inverse(poses[body.frame] @ body.X_FA), point)
        return float(np.linalg.norm(body.part.mesh.vertices - own, axis=1).min())

    body = min(found, key=away_mm)
    moved = items[body.name].X_FA[:3, 3] - body.X_FA[:3, 3]
    at = transform(inverse(poses[body.frame]), point) + moved
    return Label(text, body.frame, at, "callout", look=look)
