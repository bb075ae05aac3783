"""Facts about one bore that several mistakes ask for, taken from layout, motion and engine file."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.checks.fillets import SideFit
from geometry.checks.section import Amount, Cell, Row, Severity
from geometry.kinematics.layout import BoreSite
from geometry.kinematics.poses import rot_x_deg
from geometry.kinematics.slider_crank import Linkage, crank_deg_at_height, dead_centres
from geometry.mistakes.mistake import CrankArc
from geometry.units import System, show

Point = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Judged:
    """The verdict on one line of a study: what decides, and the words for it."""

    severity: Severity
    words: str


def stop(words: str) -> Judged:
    """Outside its limit, or not as it must be."""
    return Judged("stop", words)


def look(words: str) -> Judged:
    """Within reach of trouble: less than wanted."""
    return Judged("look", words)


def note(words: str) -> Judged:
    """As it should be, or of no consequence."""
    return Judged("note", words)


def row(
    what: str,
    right: Cell,
    wrong: Cell,
    limit: Cell = None,
    limit_source: str = "",
    verdict: Judged | None = None,
) -> Row:
    """One line of a study: right and wrong side by side; ``severity`` is None where nothing is judged."""
    return {
        "what": what, "right": right, "wrong": wrong, "limit": limit, "limit_source": limit_source,
        "verdict": verdict.words if verdict else "", "severity": verdict.severity if verdict else None,
    }  # fmt: skip


def mm(value: float) -> Amount:
    """A length in a study."""
    return Amount(float(value), "length", fine=True)


def degrees(value: float) -> Amount:
    """An angle in a study."""
    return Amount(float(value), "angle")


def text_mm(value: float, system: System) -> str:
    """A length in a sentence."""
    return show(float(value), "length", system, fine=True)


def top_deg(linkage: Linkage, index: int) -> float:
    """True top dead centre of one bore, 0 to 360."""
    return float(dead_centres(linkage).top_deg[index])


def ends_deg(linkage: Linkage, index: int) -> tuple[float, float]:
    """True top and bottom dead centre of one bore, 0 to 360."""
    found = dead_centres(linkage)
    return float(found.top_deg[index]), float(found.bottom_deg[index])


def after_top_deg(assembly: Assembly, site: BoreSite, crank_deg: float) -> float:
    """Crank angle counted from the bore's own top dead centre as designed."""
    return float((crank_deg - top_deg(assembly.layout.linkage, assembly.layout.index(site.bore))) % 360.0)


def arc_above(linkage: Linkage, index: int, pin_height_mm: float, bite_mm: float) -> CrankArc | None:
    """Stretch of crank angle in which one piston pin stands above a height; None when it never does."""
    heights = np.full(linkage.x_mm.size, pin_height_mm)
    up = float(crank_deg_at_height(linkage, heights, "up")[index])
    down = float(crank_deg_at_height(linkage, heights, "down")[index])
    if math.isnan(up) or math.isnan(down):
        return None
    return CrankArc(up, up + (down - up) % 360.0, bite_mm)


def edge_depth_mm(fit: SideFit) -> float:
    """How deep the rod's edge goes into the fillet, rod against cheek; 0 when it clears."""
    return max(0.0, -fit.rod.clearance_mm)


def other_bank(assembly: Assembly, site: BoreSite) -> BoreSite | None:
    """The bore on the other bank that parts are exchanged with: the partner, else the nearest."""
    if site.partner is not None:
        return assembly.layout.site(site.partner)
    others = [s for s in assembly.layout.bores if s.bank != site.bank]
    return min(others, key=lambda s: (abs(s.x_mm - site.x_mm), s.x_mm)) if others else None


def next_in_bank(assembly: Assembly, site: BoreSite) -> BoreSite | None:
    """The neighbour bore in the same bank: the one behind, at the rear end the one in front."""
    same = sorted((s for s in assembly.layout.bores if s.bank == site.bank), key=lambda s: s.x_mm)
    if len(same) < 2:
        return None
    place = same.index(site)
    return same[place + 1] if place + 1 < len(same) else same[place - 1]


def in_engine(assembly: Assembly, site: BoreSite, point_B: Point) -> Point:
    """A point of the bore's frame in the engine frame."""
    X_EB: Array = rot_x_deg(site.bank_deg)
    X_EB[0, 3] = site.x_mm
    x, y, z = (X_EB @ np.array([*point_B, 1.0]))[:3]
    return float(x), float(y), float(z)


def on_rod(assembly: Assembly, site: BoreSite, crank_deg: float, point_R: Point) -> Point:
    """A point of the rod's frame in the engine frame at a crank angle."""
    X_ER = assembly.frame_poses(crank_deg)[f"R{site.bore}"]
    x, y, z = (X_ER @ np.array([*point_R, 1.0]))[:3]
    return float(x), float(y), float(z)


def never(assembly: Assembly, bore: int) -> str | None:
    """No reason against the mistake: every engine has such a part."""
    assembly.layout.site(bore)
    return None


def on_clock(ring_deg: float, radius_mm: float) -> tuple[float, float]:
    """Place (x, y) in the piston's frame of a ring angle on a circle."""
    angle = math.radians(ring_deg)
    return -radius_mm * math.cos(angle), radius_mm * math.sin(angle)
