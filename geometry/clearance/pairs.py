"""Which places of an engine can meet: every pair of features, or the reason why a pair is none.

Nothing is listed by hand. All features of all bodies are paired; a pair falls out only when its parts stand
still to each other, run in each other by design, or (in ``prune``) can never come near.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from geometry.assembly import Assembly
from geometry.clearance import laws
from geometry.clearance.certify import Mover
from geometry.clearance.prune import period_deg
from geometry.clearance.support import circles_of
from geometry.parts.part import Body
from geometry.parts.solids import Feature, Group, Piece

WALL: Final = frozenset({"bore_wall", "measured_block"})
"""Features that hold bores; the place says which."""
MEASURED_WIDER_MM: Final = 0.25
"""How much wider to either side than written a measured rod may be and still be called beside its neighbour."""
AROUND_THE_BORES: Final = frozenset({"deck", "bank_side", "crankcase_roof", "gasket"})


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """One feature of one body in motion.

    Attributes
    ----------
    feature : its name, such as ``rod_bolt``
    place : which of several, such as ``major side``
    body : the body it belongs to
    group : which least clearances hold for it
    surface : whether it is made of the triangles of a measured surface
    assumed : what about it the engine file does not say; empty where it says all
    mover : its motion and pieces
    x_mm : (lowest, highest) extent along the crank; nothing moves along it
    """

    feature: str
    place: str
    body: Body
    group: Group
    mover: Mover
    x_mm: tuple[float, float]
    surface: bool
    assumed: str


@dataclass(frozen=True, slots=True, eq=False)
class Pair:
    """Two places that could meet, and the limit that they are held to."""

    a: Place
    b: Place
    limit: str
    period_deg: float


@dataclass(frozen=True, slots=True)
class Skipped:
    """A pair that is no clearance, and why."""

    a: str
    b: str
    reason: str


_STANDING: Final = (Group.HEAD, Group.PAN, Group.BLOCK)
LIMIT_OF: Final[dict[frozenset[Group], str]] = {
    frozenset({Group.ROD, Group.BLOCK}): "rod_to_block",
    frozenset({Group.ROD, Group.CAM}): "rod_to_cam",
    frozenset({Group.ROD, Group.PAN}): "crank_to_pan",
    frozenset({Group.ROD, Group.HEAD}): "rod_to_block",
    frozenset({Group.ROD, Group.VALVE}): "rod_to_block",
    frozenset({Group.ROD, Group.PISTON}): "rod_to_piston",
    frozenset({Group.ROD, Group.CRANK}): "rod_to_counterweight",
    frozenset({Group.ROD}): "rod_to_rod",
    frozenset({Group.CRANK, Group.PISTON}): "counterweight_to_piston",
    frozenset({Group.CRANK, Group.BLOCK}): "counterweight_to_block",
    frozenset({Group.CRANK, Group.CAM}): "crank_to_cam",
    frozenset({Group.CRANK, Group.PAN}): "crank_to_pan",
    frozenset({Group.CRANK, Group.HEAD}): "counterweight_to_block",
    frozenset({Group.CRANK, Group.VALVE}): "counterweight_to_block",
    frozenset({Group.CRANK}): "counterweight_to_block",
    frozenset({Group.PISTON, Group.HEAD}): "piston_to_head",
    frozenset({Group.PISTON, Group.VALVE}): "piston_to_valve",
    frozenset({Group.PISTON}): "piston_to_piston",
    frozenset({Group.PISTON, Group.BLOCK}): "piston_to_block",
    frozenset({Group.PISTON, Group.CAM}): "rod_to_cam",
    frozenset({Group.PISTON, Group.PAN}): "crank_to_pan",
    frozenset({Group.CAM, Group.BLOCK}): "crank_to_cam",
    frozenset({Group.CAM, Group.PAN}): "crank_to_pan",
    frozenset({Group.CAM, Group.HEAD}): "crank_to_cam",
    frozenset({Group.CAM, Group.VALVE}): "crank_to_cam",
    frozenset({Group.CAM}): "crank_to_cam",
    # Of what counts as one of these and yet moves, such as a block's part on the crank.
    **{frozenset({a, b}): "counterweight_to_block" for a in _STANDING for b in (*_STANDING, Group.VALVE)},
    frozenset({Group.VALVE}): "counterweight_to_block",
}
"""Which least clearance holds between two groups; names are those of ``checks.limits``. Rings and shells are
missing: they are held by what they run in."""


def limit_of(a: Group, b: Group) -> str:
    """Name of the least clearance that holds between two groups, in either order."""
    return LIMIT_OF[frozenset({a, b})]


def law_of(assembly: Assembly, frame: str) -> laws.Law:
    """How a frame moves with the crank."""
    sense = assembly.layout.sense
    if frame == "E":
        return laws.fixed()
    if frame == "C":
        return laws.spin(sense)
    if frame == "cam":
        cam = assembly.spec.cam
        assert cam is not None
        turn = sense if cam.turns == "with_crank" else -sense
        return laws.spin(turn, cam.ratio, (0.0, cam.across_mm, cam.up_mm))
    index, linkage = assembly.layout.index(int(frame[1:])), assembly.linkage
    make = laws.piston if frame[0] == "P" else laws.rod
    return make(
        x_mm=float(linkage.x_mm[index]),
        bank_deg=float(linkage.bank_deg[index]),
        pin_deg=float(linkage.pin_deg[index]),
        throw_mm=float(linkage.throw_mm[index]),
        rod_mm=float(linkage.rod_mm[index]),
        offset_mm=float(linkage.offset_mm[index]),
        sense=linkage.sense,
    )


def places(assembly: Assembly) -> list[Place]:
    """Every feature of every body, rings left out: they run in groove and bore."""
    frames = {frame: law_of(assembly, frame) for frame in assembly.frames}
    found = []
    for body in assembly.bodies:
        for feature in body.part.features:
            group = feature.group
            assert group is not None  # seen to as the engine was put together
            if group in (Group.RING, Group.SHELL):
                continue
            pieces = tuple(placed(piece, body) for piece in feature.pieces)
            mover = Mover(_name(body, feature), frames[body.frame], pieces)
            low, high = extent_along_x(pieces)
            span = (low + mover.law.x_mm, high + mover.law.x_mm)
            found.append(
                Place(feature.name, feature.place, body, group, mover, span, feature.surface, feature.assumed)
            )
    return found


def extent_along_x(pieces: tuple[Piece, ...]) -> tuple[float, float]:
    """Lowest and highest x of the pieces; a sector counts as if it went all round."""
    low, high = np.inf, -np.inf
    for piece in pieces:
        circles = circles_of(piece)
        reach = circles.radius_mm * np.sqrt(max(0.0, 1.0 - float(circles.axis[0]) ** 2))
        low = min(low, float(np.min(circles.centre_mm[:, 0] - reach)))
        high = max(high, float(np.max(circles.centre_mm[:, 0] + reach)))
    return low, high


def placed(piece: Piece, body: Body) -> Piece:
    """The piece in the frame that the body rides on."""
    return replace(piece, X_AP=body.X_FA @ piece.X_AP)


def _name(body: Body, feature: Feature) -> str:
    return " ".join(part for part in (feature.name, feature.place, f"of {body.name}") if part)


def pairs_of(assembly: Assembly) -> tuple[list[Pair], list[Skipped]]:
    """Every pair that could meet, and every pair that is none by design with its reason."""
    all_places = places(assembly)
    wanted: list[Pair] = []
    skipped: list[Skipped] = []
    for a, b in _couples(all_places):
        reason = no_clearance(assembly, a, b)
        if reason is not None:
            skipped.append(Skipped(a.mover.name, b.mover.name, reason))
            continue
        limit = limit_of(a.group, b.group)
        wanted.append(Pair(a, b, limit, period_deg(a.mover.law, b.mover.law)))
    return wanted, skipped


def _couples(found: list[Place]) -> Iterator[tuple[Place, Place]]:
    for i, a in enumerate(found):
        for b in found[i + 1 :]:
            if a.body is not b.body:
                yield a, b


def no_clearance(assembly: Assembly, a: Place, b: Place) -> str | None:
    """Why two places are no clearance, or None when they are one."""
    if laws.at_rest(a.mover.law, b.mover.law):
        return "they stand still to each other"
    for place in (a, b):
        if place.assumed:
            return place.assumed
    if b.body.name in a.body.joined_to or a.body.name in b.body.joined_to:
        return "joined by design"
    features = {a.feature, b.feature}
    if "E" in (a.body.frame, b.body.frame):
        if features & {"main_journal", "cam_journal", "cam_core"} and (
            features & {"main_web", "main_cap", "main_cap_bolt", "cam_tunnel", "main_bearing"}
            or any(_measured_bearing(place) for place in (a, b))
        ):
            return "a shaft in its bearing: an oil clearance"
        if {a.group, b.group} == {Group.VALVE, Group.PISTON}:
            return "valve pockets are hollow: see piston to valve"
        for mine, other in ((a, b), (b, a)):
            own_wall = other.feature in WALL and other.place == f"bore {mine.body.bore}"
            if own_wall and mine.group is Group.PISTON:
                return "the piston runs in this bore: a fit"
            if mine.group is Group.PISTON and (
                other.feature in AROUND_THE_BORES
                or (other.feature == "measured_block" and other.place.endswith("bank"))
                or _beside_own_bore(assembly, mine, other)
            ):
                return "behind the wall of the bore that the piston runs in"
    return _running_on_the_pin(assembly, a, b) or _running_on_the_pin(assembly, b, a)


def _measured_bearing(place: Place) -> bool:
    """Whether a stretch of a measured block holds shafts: its webs and what is bored through them."""
    return place.feature == "measured_block" and place.place.startswith(("main bore", "cam tunnel", "web"))


def _beside_own_bore(assembly: Assembly, piston: Place, wall: Place) -> bool:
    """Whether a wall belongs to another bore of the same bank, so that the piston's own wall stands between."""
    if wall.feature not in WALL or piston.body.bore is None:
        return False
    bank = assembly.layout.site(piston.body.bore).bank
    return any(site.bank == bank and wall.place == f"bore {site.bore}" for site in assembly.layout.bores)


def _running_on_the_pin(assembly: Assembly, rod: Place, other: Place) -> str | None:
    """A rod beside its own cheek or its neighbour keeps its side clearance; between the bosses likewise."""
    if rod.group is not Group.ROD or rod.body.bore is None:
        return None
    site = assembly.layout.site(rod.body.bore)
    if other.group is Group.PISTON and other.body.bore == rod.body.bore:
        small = rod.feature == "rod_small_end" or (rod.feature, rod.place) == ("measured_rod", "small end")
        if small and other.feature in ("pin_boss", "piston_pin"):
            return "the small end on its pin, between the bosses: side float"
        return None
    if other.feature == "crankpin" and other.x_mm[0] < site.x_mm < other.x_mm[1]:
        return "the rod on its own crankpin: an oil clearance"
    half = assembly.spec.rod.big_end.width_mm / 2 + 1e-6
    room = MEASURED_WIDER_MM if rod.surface else 0.0
    within = site.x_mm - half - room <= rod.x_mm[0] and rod.x_mm[1] <= site.x_mm + half + room
    if not within:
        return None
    if other.group is Group.CRANK and _beside(site.x_mm, half, other.x_mm):
        throw = assembly.layout.throw_x_mm[site.throw]
        if abs(sum(other.x_mm) / 2 - throw) < assembly.layout.throw_spacing_mm / 2:
            return "the rod beside its own cheek: see rods on their pins"
    if other.group is Group.ROD and other.body.bore is not None and other.body.bore == site.partner:
        partner = assembly.layout.site(other.body.bore)
        if partner.x_mm - half - room <= other.x_mm[0] and other.x_mm[1] <= partner.x_mm + half + room:
            return "two rods side by side on one pin: see rods on their pins"
    return None


def _beside(x_mm: float, half: float, span: tuple[float, float]) -> bool:
    """Whether a span along the crank lies wholly in front of or behind a rod."""
    return span[1] <= x_mm - half + 2e-6 or span[0] >= x_mm + half - 2e-6
