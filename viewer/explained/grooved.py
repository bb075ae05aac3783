"""Piston, wall and oil round a ring in its groove, as several drawings of rings need them.

Axes count in mm, radial 0 at the wall of the bore and negative inward, axial 0 at the bottom of the groove, crown up.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.rings.section import outline
from geometry.spec.engine import Engine
from geometry.spec.rings import CompressionRing
from viewer.explained.pen import ACCENT, Pen
from viewer.paper.clock.grooves import EXAGGERATE
from viewer.paper.clock.section import Ground, ground_of

FAR: Final = 40.0
"""How far out of the frame piston and wall go on, mm."""
THIN, THICK = 0.10, 0.62
"""Oil left behind a scraping edge, and oil before it, per width of the slit between land and wall: not to scale."""


def section_of(ring: CompressionRing) -> Array:
    """The ring's section right way up, its face exaggerated as on the sheet of grooves."""
    return outline(ring.face, ring.inside, ring.height_mm, ring.wall_mm, exaggerate=EXAGGERATE)


def contact_mm(shape: Array) -> float:
    """Height at which a section touches the wall: the middle of its outermost points."""
    return float(shape[shape[:, 0] > shape[:, 0].max() - 1e-6, 1].mean())


def groove(spec: Engine, ring: str) -> Ground:
    """The groove of ``top``, ``second`` or ``oil``."""
    return ground_of(spec, ring)


def wall(pen: Pen) -> None:
    """The bore's wall, from edge to edge."""
    pen.fill(np.array([[0.0, -FAR], [FAR, -FAR], [FAR, FAR], [0.0, FAR]]), "block", level=1.0)


def piston(pen: Pen, ground: Ground, low: float = -FAR, high: float = FAR) -> None:
    """The piston with its groove, between two heights."""
    corners = [
        [-FAR, low], [ground.land, low], [ground.land, 0.0], [ground.root, 0.0], [ground.root, ground.high],
        [ground.land, ground.high], [ground.land, high], [-FAR, high],
    ]  # fmt: skip
    pen.fill(np.array(corners), "piston", level=1.2)


def film(pen: Pen, ground: Ground, edge_mm: float, low: float, high: float, down: bool) -> None:
    """Oil on the wall: thin behind the edge that scrapes, heaped up in front of it and thick further on.

    Parameters
    ----------
    edge_mm : where the ring touches the wall
    low, high : how far the oil is drawn
    down : whether oil is scraped down; else it is carried up
    """
    ahead, behind = (low, high) if down else (high, low)
    slit = abs(ground.land)
    heap = edge_mm + 0.35 * (ahead - edge_mm)
    front = [
        [0.0, edge_mm],
        [-1.6 * slit, edge_mm],
        [-0.95 * slit, heap],
        [-THICK * slit, ahead],
        [0.0, ahead],
    ]
    pen.fill(np.array(front), "oil", level=1.1, edge=False)
    back = [[0.0, edge_mm], [-THIN * slit, edge_mm], [-THIN * slit, behind], [0.0, behind]]
    pen.fill(np.array(back), "oil", level=1.1, edge=False)


def dot(pen: Pen, at: tuple[float, float], radius: float) -> None:
    """The maker's mark on one side of a ring, sunk into it."""
    pen.circle(at, radius, "tool", level=5.0)
    pen.circle(at, radius, colour=ACCENT, width=2.0, level=5.2)
