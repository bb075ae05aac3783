"""One big end in the section of chamfer and fillet: its sizes, and where a point of it is drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.checks.corners import Corner, corners, nearest_corner
from geometry.checks.fillets import rods_on_pin, side_fit
from geometry.kinematics.layout import BoreSite

Half = Literal["rod", "cap"]
INWARD, OUTWARD, BELOW, ABOVE = 1.7, 1.7, 1.5, 1.9
"""What is shown beside the rod's face, inside it and outside, and below journal and above housing: in fillet radii."""
BREAK_SHARE, WAVE_SHARE = 0.28, 0.07
"""Width of what is left out, as drawn, and swing of the break lines, in the same measure."""


@dataclass(frozen=True, slots=True, eq=False)
class FilletSizes:
    """One big end in the section: x along the crank as in the rod's frame, out from the pin's axis.

    ``hand`` is the end that is pushed against its cheek, ``up`` the half of the big end: +1 the rod's, -1 the cap's.
    """

    bore: int
    hand: int
    up: int
    half: float
    pin: float
    housing: float
    wall: float
    inset: float
    fillet: float
    legs: dict[int, float]
    side: float
    nearest: Corner
    neighbour: int | None

    @property
    def reach(self) -> float:
        """What sizes follow: the fillet's radius, or the larger chamfer where that is more."""
        return max(self.fillet, *self.legs.values(), 0.5)

    @property
    def low(self) -> float:
        """Lower edge of the drawing, out from the pin's axis."""
        return self.pin - BELOW * self.reach

    @property
    def high(self) -> float:
        """Upper edge of what is cut, out from the pin's axis."""
        return self.housing + ABOVE * self.reach

    @property
    def cut(self) -> float:
        """How far in from either face the rod is shown; all of it where it is narrow."""
        return min(INWARD * self.reach + self.inset, self.half)

    def broken(self, end: int, start: float, stop: float) -> list[tuple[float, float]]:
        """The break line from one height to another; straight where nothing is left out."""
        inner, share = end * (self.half - self.cut), np.linspace(0.0, 1.0, 40)
        height = start + (stop - start) * share
        swing = WAVE_SHARE * self.reach * (self.cut < self.half - BREAK_SHARE * self.reach / 2)
        wave = swing * np.sin(2 * np.pi * (height - self.low) / (self.high - self.low))
        return [(inner + float(w), float(v)) for w, v in zip(wave, height, strict=True)]

    def place(self, points: Array | Sequence[tuple[float, float]], end: int) -> Array:
        """Points (k, 2) of one end of the rod in its frame, (k, 3): ends are moved together over what is left out."""
        flat = np.asarray(points, dtype=float)
        shift = -end * max(self.half - self.cut - BREAK_SHARE * self.reach / 2, 0.0)
        return np.column_stack([flat[:, 0] + shift, np.zeros(len(flat)), self.up * flat[:, 1]])


def sizes_of(assembly: Assembly, site: BoreSite, half: Half | None) -> FilletSizes:
    """The sizes of one bore as put together; ``half`` None: the half that stands nearer to its fillet."""
    one, spec = assembly.design(site.bore), assembly.spec
    nearest = nearest_corner(assembly, site, half)
    edge, rod = nearest.edge, one.rod
    pins = [other.bore for other in rods_on_pin(assembly, site) if other.bore != site.bore]
    return FilletSizes(
        site.bore, nearest.hand, nearest.upward, rod.big_end.width_mm / 2, spec.crank.pin.diameter_mm / 2,
        rod.big_end.bore_mm / 2, rod.bearing.wall_mm, (rod.big_end.width_mm - rod.bearing.width_mm) / 2,
        spec.crank.pin.fillet_mm, {c.hand: c.chamfer_mm for c in corners(assembly, site) if c.edge == edge},
        side_fit(assembly, site).total_mm, nearest, pins[0] if pins else None,
    )  # fmt: skip
