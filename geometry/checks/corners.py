"""The corners of a big end that run beside crank cheeks: which chamfer faces which way, how near its fillet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from geometry.assembly import Assembly
from geometry.checks.fillets import cheek_on_both_sides
from geometry.fillet import EdgeFit, edge_fit
from geometry.kinematics.layout import BoreSite

Edge = Literal["rod", "cap", "shell"]
Section = tuple[float, float]
"""A point of the section through rod and crankpin axis: along the crank (R's x), out from the pin's axis."""


@dataclass(frozen=True, slots=True)
class Corner:
    """One corner of a big end, pushed against the cheek that it faces.

    Attributes
    ----------
    edge : whose it is
    hand : -1 at the front of the rod, +1 at its rear
    chamfer_mm : leg of its 45 degree chamfer; 0 of a shell
    cheek : whether a cheek with a fillet stands there
    fit : how it stands to a fillet there
    own, arc : where edge and fillet come nearest, in the rod's frame, the rod in the middle of where it is drawn
    """

    edge: Edge
    hand: int
    chamfer_mm: float
    cheek: bool
    fit: EdgeFit
    own: Section
    arc: Section

    @property
    def upward(self) -> int:
        """+1 on the rod's side of the crankpin, -1 on the cap's."""
        return -1 if self.edge == "cap" else 1


def corners(assembly: Assembly, site: BoreSite) -> tuple[Corner, ...]:
    """The corners of rod, cap and upper shell at either end of one big end, as put together."""
    rod, pin = assembly.design(site.bore).rod, assembly.spec.crank.pin
    gap = rod.big_end.bore_mm / 2 - pin.diameter_mm / 2
    inset = (rod.big_end.width_mm - rod.bearing.width_mm) / 2
    found = []
    for edge, hand, leg in _legs(assembly, site):
        cheek = cheek_on_both_sides(assembly.spec, site) or (site.cheek_side == "rear") == (hand > 0)
        shell = edge == "shell"
        fit = edge_fit(pin.fillet_mm, inset if shell else 0.0, gap - rod.bearing.wall_mm * shell, leg)
        half, radius = rod.big_end.width_mm / 2, pin.diameter_mm / 2
        axial, radial = _on_arc(pin.fillet_mm, fit)
        own = (hand * (half - fit.axial_mm), radius + fit.radial_mm)
        found.append(Corner(edge, hand, leg, cheek, fit, own, (hand * (half - axial), radius + radial)))
    return tuple(found)


def nearest_corner(assembly: Assembly, site: BoreSite, edge: Edge | None = None) -> Corner:
    """The corner at a cheek that leaves its fillet least; of one edge, or of rod and cap."""
    wanted = ("rod", "cap") if edge is None else (edge,)
    at_cheeks = (corner for corner in corners(assembly, site) if corner.cheek and corner.edge in wanted)
    return min(at_cheeks, key=lambda corner: corner.fit.clearance_mm)


def _legs(assembly: Assembly, site: BoreSite) -> list[tuple[Edge, int, float]]:
    """Chamfer of every corner: whose, which end, leg. The large chamfer of rod and cap faces the cheek as designed."""
    chamfer, build = assembly.design(site.bore).rod.chamfer, assembly.built.bore(site.bore)
    large = 1 if (site.cheek_side == "rear") != build.rod_turned else -1
    found: list[tuple[Edge, int, float]] = []
    for hand in (-1, 1):
        of_rod = hand == large
        of_cap = of_rod != build.cap_turned
        found.append(("rod", hand, chamfer.cheek_mm if of_rod else chamfer.other_mm))
        found.append(("cap", hand, chamfer.cheek_mm if of_cap else chamfer.other_mm))
        found.append(("shell", hand, 0.0))
    return found


def _on_arc(fillet_mm: float, fit: EdgeFit) -> Section:
    """The point of the fillet that is nearest to a point of the edge, from the corner of cheek and journal."""
    x, y = fit.axial_mm - fillet_mm, fit.radial_mm - fillet_mm
    if x <= 0.0 and y <= 0.0 and (x, y) != (0.0, 0.0):
        to_arc = fillet_mm / math.hypot(x, y)
        return fillet_mm + x * to_arc, fillet_mm + y * to_arc
    ends = ((0.0, fillet_mm), (fillet_mm, 0.0))
    return min(ends, key=lambda end: math.hypot(fit.axial_mm - end[0], fit.radial_mm - end[1]))
