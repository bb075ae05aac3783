"""Where the gap of a drawn ring stands, read from the ring itself so that words and picture cannot differ."""

from __future__ import annotations

import numpy as np

from geometry.assembly import Assembly
from geometry.parts.part import Body


def gap_ring_deg(assembly: Assembly, body: Body) -> float:
    """Ring angle of the middle of the widest opening in a ring, deg from 0 to below 360."""
    X_PA = body.X_FA
    points = body.part.mesh.vertices @ X_PA[:3, :3].T + X_PA[:3, 3]
    angle = np.sort(np.degrees(np.arctan2(points[:, 1], -points[:, 0])) % 360.0)
    ahead = np.diff(np.append(angle, angle[0] + 360.0))
    widest = int(np.argmax(ahead))
    return float((angle[widest] + ahead[widest] / 2) % 360.0)
