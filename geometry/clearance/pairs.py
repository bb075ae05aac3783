"""Which places of an engine can meet: every pair of features, or the reason why a pair is none.

Nothing is listed by hand. All features of all bodies are paired; a pair falls out only when its parts stand
still to each other, run in each other by design, or (in the broad phase) can never come near.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from geometry.arrays import Index
from geometry.assembly import Assembly
from geometry.clearance.excuses import EXCUSES, excused
from geometry.clearance.over_crown import Crowns, stand_ins
from geometry.clearance.place import Place, numbered
from geometry.collision.support import circles_of
from geometry.feature import Feature, Group
from geometry.kinematics import laws
from geometry.kinematics.laws import period_deg
from geometry.kinematics.layout import Layout
from geometry.kinematics.valve_lift import overlap_deg, valve_of, valve_timings
from geometry.parts.part import Body
from geometry.solids import Piece


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


@dataclass(frozen=True, slots=True, eq=False)
class Listing:
    """Any two places of an engine, by their numbers: tens of thousands, of which few are ever told of.

    Attributes
    ----------
    places : every feature of every body, and what stands in for crowns after them
    wanted : (m, 2) two that could meet
    excused : (k, 2) two that are no clearance
    reason : (k,) the row of ``EXCUSES`` that says why
    crowns : the last pairs of ``wanted``: what stands in for a crown, and the valve over it
    """

    places: tuple[Place, ...]
    wanted: Index
    excused: Index
    reason: Index
    crowns: tuple[Pair, ...]

    def pair(self, k: int) -> Pair:
        """One of the pairs that could meet."""
        over = k - len(self.wanted) + len(self.crowns)
        if over >= 0:
            return self.crowns[over]
        a, b = (self.places[i] for i in self.wanted[k])
        return Pair(a, b, limit_of(a.group, b.group), period_deg(a.law, b.law))

    def skipped(self) -> list[Skipped]:
        """What is no clearance, in words."""
        found = []
        for (i, j), row in zip(self.excused.tolist(), self.reason.tolist(), strict=True):
            a, b = self.places[i], self.places[j]
            found.append(Skipped(a.name, b.name, EXCUSES[row].words(a, b)))
        return found


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
    frozenset({Group.PISTON, Group.VALVE}): "piston_to_exhaust_valve",
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
    **{frozenset({a, b}): "counterweight_to_block" for a in _STANDING for b in _STANDING},
    **{frozenset({a, Group.VALVE}): "valve_to_bore" for a in _STANDING},
    frozenset({Group.VALVE}): "valve_to_valve",
}
"""Which least clearance holds between two groups; names are those of ``clearance.limits``. Rings and shells are
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
    if frame[0] == "V":
        bore, number = valve_of(frame)
        site, timing = assembly.layout.site(bore), valve_timings(assembly.spec)[number - 1]
        full = overlap_deg(assembly.layout, bore) + timing.full_after_deg
        return laws.valve(site.x_mm, site.bank_deg, full, timing.curve)
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


def places(assembly: Assembly, bodies: Sequence[Body] | None = None) -> list[Place]:
    """Every feature of every body, or of some. Features of equal parts that stand alike share their pieces."""
    chosen = assembly.bodies if bodies is None else bodies
    frames = {frame: law_of(assembly, frame) for frame in {body.frame for body in chosen}}
    known: dict[tuple[int, bytes], tuple[tuple[Piece, ...], tuple[float, float]]] = {}
    found = []
    for body in chosen:
        law, pose = frames[body.frame], body.X_FA.tobytes()
        for feature in body.part.features:
            group = feature.group
            assert group is not None  # seen to as the engine was put together
            key = id(feature), pose
            if key not in known:
                pieces = tuple(placed(piece, body) for piece in feature.pieces)
                known[key] = pieces, extent_along_x(pieces)
            pieces, (low, high) = known[key]
            found.append(
                Place(
                    _name(body, feature), law, pieces, feature.name, feature.place, body, group,
                    sides_of(assembly.layout, body),
                    (low + law.x_mm, high + law.x_mm), feature,
                    numbered(body, feature.runs_in), numbered(body, feature.seat_of),
                )
            )  # fmt: skip
    return found


def sides_of(layout: Layout, body: Body) -> tuple[str, str] | tuple[()]:
    """The major and the minor thrust side of a body's bore, in words; empty where it has no bore."""
    if body.bore is None:
        return ()
    site = layout.site(body.bore)
    return site.side_words("major"), site.side_words("minor")


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
    return " ".join(part for part in (feature.name, feature.place, feature.part, f"of {body.name}") if part)


def listed(assembly: Assembly) -> Listing:
    """Any two places of an engine: those that could meet, and those that are none by design with the reason."""
    found = places(assembly)
    row = excused(assembly, found)
    bodies: dict[int, int] = {}
    body = np.array([bodies.setdefault(id(place.body), len(bodies)) for place in found])
    apart = np.triu(body[:, None] != body)
    crowns = tuple(over_crowns(assembly, found))
    number = {id(place): k for k, place in enumerate(found)}
    over = [(len(found) + k, number[id(pair.b)]) for k, pair in enumerate(crowns)]
    wanted = np.argwhere(apart & (row < 0))
    none = apart & (row >= 0)
    return Listing(
        (*found, *(pair.a for pair in crowns)),
        np.concatenate([wanted, np.array(over, dtype=np.intp).reshape(-1, 2)]),
        np.argwhere(none),
        row[none],
        crowns,
    )


def pairs_of(assembly: Assembly) -> tuple[list[Pair], list[Skipped]]:
    """Every pair that could meet, and every pair that is none by design with its reason."""
    found = listed(assembly)
    return [found.pair(k) for k in range(len(found.wanted))], found.skipped()


def over_crowns(assembly: Assembly, found: Sequence[Place]) -> Iterator[Pair]:
    """Every valve among the places with what stands in for the crown under it."""
    pistons = {p.body.bore: p for p in reversed(found) if p.body.part.kind == "piston"}
    crowns: Crowns = {}
    for valve in (p for p in found if p.group is Group.VALVE):
        piston = pistons[valve.body.bore]
        for stand_in in stand_ins(assembly, *valve_of(valve.body.frame), crowns):
            name = f"{stand_in.feature} {stand_in.place} of {piston.body.name}"
            place = replace(
                piston, name=name, pieces=stand_in.pieces, feature=stand_in.feature, place=stand_in.place
            )
            yield Pair(place, valve, stand_in.limit, period_deg(place.law, valve.law))
