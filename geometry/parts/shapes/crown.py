"""The top of a piston in numbers: dish or dome from its volume, pockets, and a free place for the front mark.

Frame: A of the piston itself, the P frame of a piston that stands right: origin on the bore axis at pin height,
+z to the crown, front mark towards -x.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.errors import GeometryError
from geometry.kinematics.layout import BoreSite
from geometry.spec.engine import Engine
from geometry.spec.piston import Piston

GRID: Final = 240
"""Squares across the crown when its volume is summed up: good to about a part in a thousand."""
MARK_RADIUS_MM: Final = 5.0
MARK_EDGE_MM: Final = 2.0
"""Room that the front mark needs, and its distance from edges."""


@dataclass(frozen=True, slots=True)
class Recess:
    """A round valve pocket: centre in the piston's frame, radius, depth below the flat of the crown."""

    x_mm: float
    y_mm: float
    radius_mm: float
    depth_mm: float


@dataclass(frozen=True, slots=True)
class CrownShape:
    """The top of one piston.

    Attributes
    ----------
    top_mm : the flat of the crown above the pin
    radius_mm : of the top land
    rise_mm : height of the dome, or minus the depth of the dish; 0 when flat
    shape_mm : radius of dish or dome at the flat; its flank stands at 45 degrees
    recesses : the valve pockets
    under_mm : underside of the crown above the pin
    """

    top_mm: float
    radius_mm: float
    rise_mm: float
    shape_mm: float
    recesses: tuple[Recess, ...]
    under_mm: float


def inward_sign(site: BoreSite) -> float:
    """Sign of the bore frame's y that "inward" in the engine file means: valley, up on a flat, right in line."""
    return -1.0 if site.bank == "right" else 1.0


def handed(piston: Piston) -> bool:
    """Whether the pistons of the two banks differ."""
    return any(pocket.inward_mm != 0.0 for pocket in piston.pockets)


def crown(spec: Engine, inward: float, compression_height_mm: float) -> CrownShape:
    """Lay out the top of a piston.

    Parameters
    ----------
    inward : +1 or -1, the sign of y that pockets count inward
    compression_height_mm : of this piston, from the pin up to the flat of the crown

    Raises
    ------
    GeometryError
        When no dish or dome of the given diameter makes the given volume, or the crown leaves no room above the
        pin.
    """
    piston = spec.piston
    radius = (spec.block.bore.diameter_mm - piston.land_clearance_mm) / 2
    recesses = tuple(
        Recess(-pocket.forward_mm, inward * pocket.inward_mm, pocket.diameter_mm / 2, pocket.depth_mm)
        for pocket in piston.pockets
    )
    shape, rise = 0.0, 0.0
    if piston.crown.shape != "flat" and piston.crown.diameter_mm is not None:
        shape = piston.crown.diameter_mm / 2
        rise = _rise(piston.crown.shape == "dome", piston.crown.volume_cm3, radius, shape, recesses)
    deepest = max([0.0, -rise, *(recess.depth_mm for recess in recesses)])
    under = compression_height_mm - deepest - piston.crown.thickness_mm
    if under <= piston.pin.diameter_mm / 2:
        raise GeometryError(
            "crown", "piston.compression_height", "crown, recesses and thickness reach down to the piston pin",
            "a greater compression height, or a thinner crown",
        )  # fmt: skip
    return CrownShape(compression_height_mm, radius, rise, shape, recesses, under)


def surface_mm(
    x_mm: Array, y_mm: Array, radius_mm: float, rise_mm: float, shape_mm: float, recesses: tuple[Recess, ...]
) -> Array:
    """Height of the top above the flat of the crown; 0 outside the piston.

    Parameters
    ----------
    x_mm, y_mm : (...) float, mm
    """
    out = np.hypot(x_mm, y_mm)
    flank = np.clip(shape_mm - out, 0.0, abs(rise_mm))
    height = np.copysign(flank, rise_mm)
    for recess in recesses:
        inside = np.hypot(x_mm - recess.x_mm, y_mm - recess.y_mm) <= recess.radius_mm
        height = np.where(inside, np.minimum(height, -recess.depth_mm), height)
    return np.where(out <= radius_mm, height, 0.0)


def _volume_mm3(radius_mm: float, rise_mm: float, shape_mm: float, recesses: tuple[Recess, ...]) -> float:
    """Volume that the top takes from the chamber above the flat (negative: adds)."""
    step = 2 * radius_mm / GRID
    middle = (np.arange(GRID) + 0.5) * step - radius_mm
    x, y = np.meshgrid(middle, middle)
    return float(surface_mm(x, y, radius_mm, rise_mm, shape_mm, recesses).sum() * step**2)


@lru_cache(maxsize=16)
def _rise(
    dome: bool, volume_cm3: float, radius_mm: float, shape_mm: float, recesses: tuple[Recess, ...]
) -> float:
    """Height of dome (positive) or dish (negative) that makes the stated volume, pockets counted in.

    Kept, since every bore and every mistake asks for it anew and it takes most of a second.
    """
    sign, word = (1.0, "dome") if dome else (-1.0, "dish")
    wanted = sign * volume_cm3 * 1000.0
    if shape_mm > radius_mm:
        raise GeometryError(
            "crown", "piston.crown.diameter", f"the {word} is wider than the piston",
            "a diameter smaller than the bore less the land clearance",
        )  # fmt: skip
    low, high = 0.0, 0.8 * shape_mm
    reach = [_volume_mm3(radius_mm, sign * h, shape_mm, recesses) for h in (low, high)]
    if not min(reach) <= wanted <= max(reach):
        raise GeometryError(
            "crown", "piston.crown.volume",
            f"with its pockets this {word} holds between {abs(reach[0]) / 1000:.1f} and "
            f"{abs(reach[1]) / 1000:.1f} cm3, not {abs(wanted) / 1000:.1f}",
            "the volume as measured with the valve pockets included, or other pockets",
        )  # fmt: skip
    for _ in range(30):
        middle = (low + high) / 2
        found = _volume_mm3(radius_mm, sign * middle, shape_mm, recesses)
        low, high = (middle, high) if sign * found < sign * wanted else (low, middle)
    return sign * (low + high) / 2


def mark_place(top: CrownShape) -> tuple[float, float, float]:
    """Where the front mark finds an even place: x, y and height; as far forward as pockets and flanks allow."""
    reach = top.radius_mm - MARK_RADIUS_MM - MARK_EDGE_MM
    steps = np.linspace(-reach, reach, 61)
    x, y = (grid.ravel() for grid in np.meshgrid(steps, steps))
    out = np.hypot(x, y)
    room = MARK_RADIUS_MM + MARK_EDGE_MM / 2
    free = out <= reach
    for recess in top.recesses:
        free &= np.hypot(x - recess.x_mm, y - recess.y_mm) >= recess.radius_mm + room
    raised = np.zeros_like(out)
    if top.rise_mm != 0.0:
        flank = top.shape_mm - abs(top.rise_mm)
        on_shape, on_flat = out <= flank - room, out >= top.shape_mm + room
        free &= on_shape | on_flat
        raised = np.where(on_shape, top.rise_mm, 0.0)
    if not free.any():
        return (-reach, 0.0, top.top_mm + min(0.0, top.rise_mm, *(-r.depth_mm for r in top.recesses), 0.0))
    best = int(np.argmin(np.where(free, x + 0.2 * np.abs(y), np.inf)))
    return float(x[best]), float(y[best]), float(top.top_mm + raised[best])
