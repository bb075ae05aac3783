"""Whether a rod can be fitted at all: its big end through its bore from above, from below, or not at all.

From above, the usual way: cap off, the piston on the rod, down through the bore. All that hangs below the piston must
pass, so the outline of the rod seen along its length must fit in the bore's circle: the smallest circle round that
outline is at most as wide as the bore. The rod may stand anywhere in the bore and be turned about its length. It has
to stand upright: the piston is in the bore before the big end is out of it at the bottom, and holds the rod's upper
end in the middle. From below, with crank and caps out: the piston must pass between the two main webs of its bay.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import lru_cache, partial
from itertools import combinations
from typing import Final, Literal

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.checks.section import Check, Column, Figure, Finding, Row, Section, Severity, asked, length
from geometry.kinematics.layout import BoreSite
from geometry.parts.part import Part
from geometry.solids import Cylinder, Hull, Piece, Revolved
from geometry.units import System, show_fine

Way = Literal["above", "above_bolts_out", "below", "none"]
WAY_WORDS: Final[dict[Way, str]] = {
    "above": "from above",
    "above_bolts_out": "from above, bolts out of the rod",
    "below": "from below only, crank out",
    "none": "not at all",
}
FROM_ABOVE: Final[frozenset[Way]] = frozenset({"above", "above_bolts_out"})
ROOM: Final = "room left"
SOURCE: Final = "by definition: the rod must go in"
ROUNDING_MM: Final = 1e-9
ROUND_STEPS: Final = 72
"""Points on the circle of a bolt head."""


@dataclass(frozen=True, slots=True)
class Passage:
    """How one rod goes into the engine.

    Attributes
    ----------
    way : the way that is left
    bore_mm : diameter of the bore as found or as designed
    open_end_mm : smallest circle round the rod without its cap, seen along its length; bolts in it where they stay
    bare_mm : the same with the bolts driven out
    piston_mm : the piston at its widest
    between_webs_mm : room between the main webs on the diameter about the bore's axis
    """

    way: Way
    bore_mm: float
    open_end_mm: float
    bare_mm: float
    piston_mm: float
    between_webs_mm: float

    @property
    def room_mm(self) -> float:
        """What the bore leaves of the open end, on the diameter; below zero it does not pass from above."""
        return self.bore_mm - (self.bare_mm if self.way == "above_bolts_out" else self.open_end_mm)


def passage(assembly: Assembly, site: BoreSite) -> Passage:
    """Try one rod from above and from below."""
    spec = assembly.design(site.bore)
    found = assembly.built.bore(site.bore).bore_diameter_mm
    bore = spec.block.bore.diameter_mm if found is None else found
    rod = assembly.body(f"rod {site.bore}").part
    outline = outline_mm(rod)
    bare = enclosing_diameter_mm(outline)
    held = enclosing_diameter_mm(np.vstack([outline, _heads_mm(assembly)]))
    piston = spec.block.bore.diameter_mm - spec.piston.skirt.clearance_mm
    webs = _between_webs_mm(assembly, site)
    if held <= bore:
        way: Way = "above"
    elif bare <= bore:
        way = "above_bolts_out"
    else:
        way = "below" if piston <= webs else "none"
    return Passage(way, bore, held, bare, piston, webs)


@lru_cache(maxsize=4)
def outline_mm(rod: Part) -> Array:
    """Points (k, 2) of (along the crank, across), the hull of which is the rod seen along its length."""
    return np.vstack([_seen(piece) for feature in rod.features for piece in feature.pieces])


def _seen(piece: Piece) -> Array:
    """The corners of one piece seen along the rod. Round pieces lie along the crank, so they look rectangular."""
    if isinstance(piece, Hull):
        corners = piece.points_mm
    elif isinstance(piece, Cylinder):
        ends = (-piece.length_mm / 2, piece.length_mm / 2)
        corners = np.array([[0.0, y, x] for x in ends for y in (-piece.radius_mm, piece.radius_mm)])
        corners = np.vstack([corners, corners[:, [1, 0, 2]]])
    elif isinstance(piece, Revolved):
        turns = np.radians([piece.start_deg, (piece.start_deg + piece.end_deg) / 2, piece.end_deg])
        corners = np.array([[r * np.cos(t), r * np.sin(t), x] for r, x in piece.profile_mm for t in turns])
    else:
        raise TypeError(f"a rod has no {type(piece).__name__}")
    return np.asarray((corners @ piece.X_AP[:3, :3].T + piece.X_AP[:3, 3])[:, :2])


def _heads_mm(assembly: Assembly) -> Array:
    """Points (k, 2) of the bolt heads on the rod's shoulders; cap screws come out with the cap."""
    bolt = assembly.spec.rod.bolt
    if bolt.kind == "cap_screw":
        return np.empty((0, 2))
    turn = np.radians(np.arange(0.0, 360.0, 360.0 / ROUND_STEPS))
    ring = bolt.head_diameter_mm / 2 * np.column_stack([np.sin(turn), np.cos(turn)])
    return np.vstack([ring + [0.0, side * bolt.spacing_mm / 2] for side in (1.0, -1.0)])


def enclosing_diameter_mm(points_mm: Array) -> float:
    """Diameter of the smallest circle round points (k, 2).

    Source: the circle is held by two or three of the points. Beginning anywhere, the point farthest out is taken in
    and the circle of those few found anew; it grows with every step, so the search ends. A library's own
    (trimesh 5.0, ``minimum_nsphere``) leaves out circles held by two points and comes out too large.
    """
    return _enclosing_mm(np.ascontiguousarray(points_mm, dtype=np.float64).tobytes())


@lru_cache(maxsize=64)
def _enclosing_mm(points: bytes) -> float:
    """The same of points by their bytes: rods are alike, and most of what is varied leaves their outline as it is."""
    points_mm = np.frombuffer(points, dtype=np.float64).reshape(-1, 2)
    holding = points_mm[:1]
    while True:
        centre, radius, holding = _circle_of_few(holding)
        distances = np.linalg.norm(points_mm - centre, axis=1)
        farthest = int(distances.argmax())
        if distances[farthest] <= radius + ROUNDING_MM:
            return 2.0 * radius
        holding = np.vstack([holding, points_mm[farthest]])


def _circle_of_few(points_mm: Array) -> tuple[Array, float, Array]:
    """Smallest circle round at most four points: its centre, its radius, and the points that hold it."""
    if len(points_mm) == 1:
        return points_mm[0], 0.0, points_mm
    best = (points_mm[0], np.inf, points_mm[:1])
    for count in (2, 3):
        for chosen in combinations(points_mm, count):
            few = np.array(chosen)
            # equally far from all: 2 (p - p0) . c = |p|^2 - |p0|^2; of two points the least such c is their middle
            sides = few[1:] - few[0]
            centre = few[0] + np.linalg.lstsq(2 * sides, (sides**2).sum(axis=1), rcond=None)[0]
            radius = float(np.linalg.norm(few - centre, axis=1).max())
            reach = float(np.linalg.norm(points_mm - centre, axis=1).max())
            if reach <= radius + ROUNDING_MM and radius < best[1]:
                best = (centre, radius, few)
    return best


def _between_webs_mm(assembly: Assembly, site: BoreSite) -> float:
    """Twice the distance from the bore's axis to the nearer of the main webs beside it."""
    half = assembly.spec.block.web_mm / 2
    return 2.0 * min(abs(x - site.x_mm) - half for x in assembly.layout.main_x_mm)


def run(assembly: Assembly, system: System) -> Section:
    """One row per bore."""
    rows: list[Row] = []
    findings: list[Finding] = []
    for site in sorted(assembly.layout.bores, key=lambda s: s.bore):
        found = passage(assembly, site)
        severity = {"none": "stop", "below": "look"}.get(found.way, "")
        rows.append(
            {
                "bore": site.bore,
                "bore_mm": length(found.bore_mm),
                "open_end_mm": length(found.open_end_mm),
                "open_end_without_bolts_mm": length(found.bare_mm),
                "room_mm": length(found.room_mm),
                "limit_mm": length(0.0),
                "limit_source": SOURCE,
                "piston_mm": length(found.piston_mm),
                "between_webs_mm": length(found.between_webs_mm),
                "way": found.way,
                "verdict": WAY_WORDS[found.way],
                "severity": severity,
            }
        )
        findings += _finding(assembly, site, found, system)
    columns = (
        Column("bore", "bore"), Column("bore_mm", "bore diameter"), Column("open_end_mm", "big end needs"),
        Column("room_mm", "room left"), Column("limit_mm", "at least"),
        Column("between_webs_mm", "between webs"), Column("verdict", "goes in"),
    )  # fmt: skip
    notes = (
        "Big end needs: the smallest circle round the rod seen along its length, cap off, upright, turned and moved "
        f"sideways as it likes. At least: {SOURCE}.",
        "Left out by the model: chamfers and sleeves that guide it, a case split through the mains, barrels that come "
        "off, and what the piston meets below the webs.",
    )
    return Section(
        "passage", "Rods through their bores", columns, tuple(rows), tuple(findings), notes,
        figures=figures(assembly, None),
    )  # fmt: skip


def figures(assembly: Assembly, only: Collection[int] | None) -> tuple[Figure, ...]:
    """Room that the bore leaves each rod."""
    found = []
    for row, site in asked(assembly, only):
        way = passage(assembly, site)
        tight: Severity = "look" if way.piston_mm <= way.between_webs_mm else "stop"
        found.append(Figure(ROOM, site.bore, way.room_mm, 0.0, None, "length", row, "room_mm", SOURCE, tight))
    return tuple(found)


def _finding(assembly: Assembly, site: BoreSite, found: Passage, system: System) -> list[Finding]:
    if found.way == "above":
        return []

    text = partial(show_fine, system=system)
    wide = (
        f"the rod's big end needs {text(found.open_end_mm)} to pass, cap off; the bore is {text(found.bore_mm)}: "
        f"{text(found.open_end_mm - found.bore_mm)} too wide"
    )
    if found.way == "above_bolts_out":
        remedy = "drive the bolts out of the rod before it is pushed in"
        return [Finding("rod_passage", "note", site.bore, f"{wide} with its bolts in", remedy)]
    webs = f"between the main webs there is {text(found.between_webs_mm)} for the piston's {text(found.piston_mm)}"
    if found.way == "below":
        remedy = "fit piston and rod from below, the crank out"
        return [Finding("rod_passage", "look", site.bore, f"{wide}, and {webs}", remedy, figure=ROOM)]
    remedy = (
        f"a rod narrower over its bolts or its big end; as it is it asks for a bore of {text(found.bare_mm)}"
    )
    return [
        Finding("rod_passage", "stop", site.bore, f"{wide}; {webs}: it cannot be fitted", remedy, figure=ROOM)
    ]


READS: Final = (
    "block.bore.", "block.web", "crank.cheek", "crank.main", "crank.pin.width", "crank.split", "piston.skirt.clearance",
    "rod.",
)  # fmt: skip
CHECK = Check("passage", 45, run, figures, bodies=("rod",), reads=READS)
