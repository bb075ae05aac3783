"""Facts about one bore that several mistakes ask for, taken from layout, kinematics and engine file."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.built import Built
from geometry.checks.fillets import SideFit
from geometry.checks.section import Amount, Cell, Row, Severity
from geometry.kinematics.layout import BoreSite
from geometry.kinematics.poses import rot_x_deg
from geometry.kinematics.slider_crank import Linkage, crank_deg_at_height, dead_centres
from geometry.mistakes.mistake import CrankArc, Spot

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


def area(value_mm2: float) -> Amount:
    """An area in a study."""
    return Amount(float(value_mm2), "area", fine=True)


def mm_row(
    what: str,
    right_mm: float | None,
    wrong_mm: float | None,
    limit_mm: float | None = None,
    limit_source: str = "",
    verdict: Judged | None = None,
) -> Row:
    """One line of lengths."""
    right, wrong, limit = (None if value is None else mm(value) for value in (right_mm, wrong_mm, limit_mm))
    return row(what, right, wrong, limit, limit_source, verdict)


def degrees(value: float) -> Amount:
    """An angle in a study."""
    return Amount(float(value), "angle")


def top_deg(linkage: Linkage, index: int) -> float:
    """True top dead centre of one bore, 0 to 360."""
    return float(dead_centres(linkage).top_deg[index])


def ends_deg(linkage: Linkage, index: int) -> tuple[float, float]:
    """True top and bottom dead centre of one bore, 0 to 360."""
    found = dead_centres(linkage)
    return float(found.top_deg[index]), float(found.bottom_deg[index])


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


def partner_of(assembly: Assembly, bore: int) -> int | None:
    """The bore that parts are exchanged with; None in a single.

    Across the vee: the partner on the crankpin, else the nearest. In one bank: the one behind, at the rear end the one
    in front.
    """
    site = assembly.layout.site(bore)
    if site.partner is not None:
        return site.partner
    across = [s for s in assembly.layout.bores if s.bank != site.bank]
    if across:
        return min(across, key=lambda s: (abs(s.x_mm - site.x_mm), s.x_mm)).bore
    bank = sorted(assembly.layout.bores, key=lambda s: s.x_mm)
    place = bank.index(site)
    return bank[place + 1 if place + 1 < len(bank) else place - 1].bore if len(bank) > 1 else None


def it_takes_two(words: str) -> Callable[[Assembly, int], str | None]:
    """The reason against an exchange, where there is nothing to exchange with."""
    return lambda assembly, bore: words if partner_of(assembly, bore) is None else None


def exchanged(assembly: Assembly, bore: int, part_from: str, **also: object) -> Built:
    """The build with a part of this bore and of its partner in each other's place.

    Parameters
    ----------
    assembly, bore : the engine, and one of the two bores
    part_from : the field of ``BoreBuild`` that says which bore the part came from
    also : what else differs in both bores
    """
    other = partner_of(assembly, bore)
    assert other is not None
    built = assembly.built.with_bore(bore, **{part_from: other}, **also)
    return built.with_bore(other, **{part_from: bore}, **also)


def big_end_spot(
    assembly: Assembly,
    bore: int,
    bodies: tuple[str, ...],
    point_R: Point,
    text: str,
    severity: Severity = "stop",
) -> Spot:
    """A point of the rod's frame, with the crank half a turn from the bore's top dead centre: seen from below."""
    site = assembly.layout.site(bore)
    crank = (top_deg(assembly.linkage, assembly.layout.index(bore)) + 180.0) % 360.0
    at = on_rod(assembly, site, crank, point_R)
    return Spot(crank, "bore", bore, bodies, severity, None, at, text)


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


def on_clock(ring_deg: float, radius_mm: float) -> tuple[float, float]:
    """Place (x, y) in the piston's frame of a ring angle on a circle."""
    angle = math.radians(ring_deg)
    return -radius_mm * math.cos(angle), radius_mm * math.sin(angle)
