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
from geometry.parts.solids import Feature, Piece

ROD: Final = frozenset({"rod_beam", "rod_big_end", "rod_small_end", "rod_cap", "rod_bolt", "measured_rod"})
PISTON: Final = frozenset({"piston_crown", "piston_skirt", "pin_boss", "piston_pin"})
CRANK: Final = frozenset({"cheek", "counterweight", "crankpin", "main_journal"})
CAM: Final = frozenset({"cam_lobe", "cam_journal", "cam_core"})
PAN: Final = frozenset({"pan_floor", "pan_side", "windage_tray"})
HEAD: Final = frozenset({"head_face", "gasket", "chamber"})
MEASURED: Final = frozenset({"measured_block", "measured_rod"})
"""Features made of the triangles of a mesh file: surfaces, not solids."""
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
    group : ``rod``, ``piston``, ``crank``, ``cam``, ``pan``, ``head`` or ``block``
    mover : its motion and pieces
    x_mm : (lowest, highest) extent along the crank; nothing moves along it
    """

    feature: str
    place: str
    body: Body
    group: str
    mover: Mover
    x_mm: tuple[float, float]


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


LIMIT_OF: Final[dict[frozenset[str], str]] = {
    frozenset({"rod", "block"}): "rod_to_block",
    frozenset({"rod", "cam"}): "rod_to_cam",
    frozenset({"rod", "pan"}): "crank_to_pan",
    frozenset({"rod", "head"}): "rod_to_block",
    frozenset({"rod", "piston"}): "rod_to_piston",
    frozenset({"rod", "crank"}): "rod_to_counterweight",
    frozenset({"rod"}): "rod_to_rod",
    frozenset({"crank", "piston"}): "counterweight_to_piston",
    frozenset({"crank", "block"}): "counterweight_to_block",
    frozenset({"crank", "cam"}): "crank_to_cam",
    frozenset({"crank", "pan"}): "crank_to_pan",
    frozenset({"crank", "head"}): "counterweight_to_block",
    frozenset({"piston", "head"}): "piston_to_head",
    frozenset({"piston"}): "piston_to_piston",
    frozenset({"piston", "block"}): "piston_to_block",
    frozenset({"piston", "cam"}): "rod_to_cam",
    frozenset({"piston", "pan"}): "crank_to_pan",
    frozenset({"cam", "block"}): "crank_to_cam",
    frozenset({"cam", "pan"}): "crank_to_pan",
    frozenset({"cam", "head"}): "crank_to_cam",
}
"""Which least clearance holds between two groups; names are those of ``checks.limits``."""


def group_of(feature: str) -> str:
    """The group a feature belongs to; whatever is no moving part, head or pan counts as block."""
    for name, members in (("rod", ROD), ("piston", PISTON), ("crank", CRANK), ("cam", CAM), ("pan", PAN)):
        if feature in members:
            return name
    return "head" if feature in HEAD else "block"


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
            if feature.name.endswith(("ring", "rail", "expander")) and feature.name != "pan_rail":
                continue
            if feature.name.endswith("shell"):
                continue
            pieces = tuple(placed(piece, body) for piece in feature.pieces)
            mover = Mover(_name(body, feature), frames[body.frame], pieces)
            low, high = extent_along_x(pieces)
            span = (low + mover.law.x_mm, high + mover.law.x_mm)
            found.append(Place(feature.name, feature.place, body, group_of(feature.name), mover, span))
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
        limit = LIMIT_OF.get(frozenset({a.group, b.group}))
        if limit is None:
            skipped.append(Skipped(a.mover.name, b.mover.name, "both stand still"))
            continue
        wanted.append(Pair(a, b, limit, period_deg(a.mover.law, b.mover.law)))
    return wanted, skipped


def _couples(found: list[Place]) -> Iterator[tuple[Place, Place]]:
    for i, a in enumerate(found):
        for b in found[i + 1 :]:
            if a.body is not b.body:
                yield a, b


def no_clearance(assembly: Assembly, a: Place, b: Place) -> str | None:
    """Why two places are no clearance, or None when they are one."""
    if a.body.frame == b.body.frame:
        return "they move together"
    if b.body.name in a.body.joined_to or a.body.name in b.body.joined_to:
        return "joined by design"
    features = {a.feature, b.feature}
    if "E" in (a.body.frame, b.body.frame):
        if features & {"main_journal", "cam_journal", "cam_core"} and (
            features & {"main_web", "main_cap", "main_cap_bolt", "cam_tunnel", "main_bearing"}
            or any(_measured_bearing(place) for place in (a, b))
        ):
            return "a shaft in its bearing: an oil clearance"
        if "valve_head" in features and "piston" in (a.group, b.group):
            return "valve pockets are hollow: see piston to valve"
        for mine, other in ((a, b), (b, a)):
            own_wall = other.feature in WALL and other.place == f"bore {mine.body.bore}"
            if own_wall and mine.group == "piston":
                return "the piston runs in this bore: a fit"
            if mine.group == "piston" and (
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
    if rod.group != "rod" or rod.body.bore is None:
        return None
    site = assembly.layout.site(rod.body.bore)
    if other.group == "piston" and other.body.bore == rod.body.bore:
        small = rod.feature == "rod_small_end" or (rod.feature, rod.place) == ("measured_rod", "small end")
        if small and other.feature in ("pin_boss", "piston_pin"):
            return "the small end on its pin, between the bosses: side float"
        return None
    if other.feature == "crankpin" and other.x_mm[0] < site.x_mm < other.x_mm[1]:
        return "the rod on its own crankpin: an oil clearance"
    half = assembly.spec.rod.big_end.width_mm / 2 + 1e-6
    room = MEASURED_WIDER_MM if rod.feature == "measured_rod" else 0.0
    within = site.x_mm - half - room <= rod.x_mm[0] and rod.x_mm[1] <= site.x_mm + half + room
    if not within:
        return None
    if other.group == "crank" and _beside(site.x_mm, half, other.x_mm):
        throw = assembly.layout.throw_x_mm[site.throw]
        if abs(sum(other.x_mm) / 2 - throw) < assembly.layout.throw_spacing_mm / 2:
            return "the rod beside its own cheek: see rods on their pins"
    if other.group == "rod" and other.body.bore is not None and other.body.bore == site.partner:
        partner = assembly.layout.site(other.body.bore)
        if partner.x_mm - half - room <= other.x_mm[0] and other.x_mm[1] <= partner.x_mm + half + room:
            return "two rods side by side on one pin: see rods on their pins"
    return None


def _beside(x_mm: float, half: float, span: tuple[float, float]) -> bool:
    """Whether a span along the crank lies wholly in front of or behind a rod."""
    return span[1] <= x_mm - half + 2e-6 or span[0] >= x_mm + half - 2e-6
