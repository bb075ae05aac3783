"""What stands at the top of a bore, cut open along the bore: block, gasket, head, and the piston with its rings.

The cut lies across the engine, ``x`` behind the bore's axis, and is seen from the front with the bore upright: the
engine's right lies at the left of the picture, so the picture's abscissa is minus the y of the bore's frame.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.kinematics.poses import inverse, rot_x_deg, translation
from geometry.parts.head import SLAB_MM, chamber
from geometry.parts.shapes.crown import CrownShape, crown, inward_sign, surface_mm
from geometry.spec.engine import Engine
from geometry.stack import crown_height_mm, face_mm
from viewer.explained.pen import Pen

POINTS = 700
"""Points across a crown's outline."""


@dataclass(frozen=True, slots=True, eq=False)
class Top:
    """The top of one bore as put together.

    Attributes
    ----------
    spec : the engine as it is in this bore
    shape : of the crown, in the frame of the piston itself
    turned : the piston stands back to front
    face_mm : the head's face above the crank axis
    deck_mm : the deck
    """

    spec: Engine
    shape: CrownShape
    turned: bool
    face_mm: float
    deck_mm: float

    def crown_mm(self, x_mm: Array | float, y_mm: Array) -> Array:
        """Height of the crown over the piston pin at places of the bore's frame."""
        way = -1.0 if self.turned else 1.0
        shape = self.shape
        x, y = way * np.asarray(x_mm, dtype=float), way * np.asarray(y_mm, dtype=float)
        return shape.top_mm + surface_mm(x, y, shape.radius_mm, shape.rise_mm, shape.shape_mm, shape.recesses)

    def half_mm(self, radius_mm: float, x_mm: float) -> float:
        """Half of the chord that the cut makes in a circle round the bore's axis; 0 where it passes it by."""
        return float(np.sqrt(max(radius_mm**2 - x_mm**2, 0.0)))


@lru_cache(maxsize=8)
def top_of(assembly: Assembly, bore: int) -> Top:
    """The top of one bore."""
    build, site = assembly.built.bore(bore), assembly.layout.site(bore)
    spec = assembly.design(bore)
    origin = assembly.layout.site(build.piston_from) if build.piston_from is not None else site
    shape = crown(spec, inward_sign(origin), crown_height_mm(spec, build))
    return Top(spec, shape, build.piston_turned, face_mm(spec), spec.block.deck_height_mm)


def pin_height_mm(assembly: Assembly, bore: int, crank_deg: float) -> float:
    """The piston pin above the crank axis, along the bore."""
    site = assembly.layout.site(bore)
    X_EB = translation([site.x_mm, 0.0, 0.0]) @ rot_x_deg(site.bank_deg)
    return float((inverse(X_EB) @ assembly.frame_poses(crank_deg)[f"P{bore}"])[2, 3])


def piston_outline(top: Top, x_mm: float, pin_mm: float) -> Array:
    """The piston as if it were solid, (n, 2): crown from the left of the picture to its right, grooves in its sides."""
    half = top.half_mm(top.shape.radius_mm, x_mm)
    across = np.linspace(-half, half, POINTS)
    roof = np.column_stack([across, top.crown_mm(x_mm, -across) + pin_mm])
    edge = []
    for groove in top.spec.piston.grooves:
        root = top.half_mm(groove.root_mm / 2, x_mm)
        high = pin_mm + top.shape.top_mm - groove.from_crown_mm
        low = high - groove.height_mm
        edge += [[half, high], [root, high], [root, low], [half, low]]
    side = np.array([*edge, [half, pin_mm - top.spec.piston.skirt.bottom_mm]])
    return np.vstack([roof, side, side[::-1] * [-1.0, 1.0]])


def draw_block(pen: Pen, top: Top, x_mm: float, far_mm: float) -> None:
    """Bore walls, gasket and head, out to ``far_mm`` either way."""
    low = top.deck_mm - top.spec.block.bore.length_mm
    wall = top.half_mm(top.spec.block.bore.diameter_mm / 2, x_mm)
    opening = top.half_mm(top.spec.gasket.bore_mm / 2, x_mm)
    room = chamber(top.spec)
    recess = top.half_mm(room.radius_mm, x_mm) if room.depth_mm > 0 else 0.0
    face, roof = top.face_mm, top.face_mm + room.depth_mm
    for side in (-1.0, 1.0):
        block = np.array([[wall, low], [far_mm, low], [far_mm, top.deck_mm], [wall, top.deck_mm]])
        gasket = np.array([[opening, top.deck_mm], [far_mm, top.deck_mm], [far_mm, face], [opening, face]])
        pen.fill(block * [side, 1.0], "block", level=2.0)
        pen.fill(gasket * [side, 1.0], "ring", level=2.0)
    high = roof + 3 * SLAB_MM
    under = [
        [-far_mm, face],
        [-recess, face],
        [-recess, roof],
        [recess, roof],
        [recess, face],
        [far_mm, face],
    ]
    pen.fill(np.array([*under, [far_mm, high], [-far_mm, high]]), "head", level=2.0)


def head_under_mm(top: Top, x_mm: float, across_mm: Array) -> Array:
    """Height of the head's underside over places of the cut."""
    room = chamber(top.spec)
    inside = np.hypot(x_mm, across_mm) < room.radius_mm
    return np.where(inside, top.face_mm + room.depth_mm, top.face_mm)


def draw_piston(pen: Pen, top: Top, x_mm: float, pin_mm: float, *, accent: bool = True) -> None:
    """The piston with its rings, which lie on the lower flanks of their grooves and against the bore."""
    pen.fill(piston_outline(top, x_mm, pin_mm), "piston", accent=accent, level=3.0)
    out = top.half_mm(top.spec.block.bore.diameter_mm / 2, x_mm)
    rings = top.spec.rings
    for groove in top.spec.piston.grooves:
        ring = {"top": rings.top, "second": rings.second, "oil": rings.oil}[groove.ring]
        if ring is None:
            continue
        wall = ring.rail_wall_mm if groove.ring == "oil" else ring.wall_mm  # type: ignore[union-attr]
        back = top.half_mm(top.spec.block.bore.diameter_mm / 2 - wall, x_mm)
        low = pin_mm + top.shape.top_mm - groove.from_crown_mm - groove.height_mm
        corners = np.array(
            [[back, low], [out, low], [out, low + ring.height_mm], [back, low + ring.height_mm]]
        )
        for side in (-1.0, 1.0):
            pen.fill(corners * [side, 1.0], "ring", level=3.2)


def draw_bite(pen: Pen, across: Array, low: Array, high: Array) -> bool:
    """In red where ``high``, what stands up, reaches past ``low``, what stands over it; whether it does anywhere."""
    inside = high > low + 1e-9
    if not inside.any():
        return False
    edges = np.flatnonzero(np.diff(np.concatenate([[False], inside, [False]]).astype(int)))
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        part = slice(start, end)
        pen.bite(
            np.vstack(
                [
                    np.column_stack([across[part], high[part]]),
                    np.column_stack([across[part], low[part]])[::-1],
                ]
            )
        )
    return True
