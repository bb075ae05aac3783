"""The ring clock of each bore of an engine: scheme, angles as planned or as found, verdict and best turn."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from math import acos, asin, atan2, degrees, hypot, sqrt

from geometry.built import BoreBuild
from geometry.errors import GeometryError
from geometry.kinematics.layout import BoreSite
from geometry.rings.angles import Arc, gap_deg, wrapped_deg
from geometry.rings.best import BestTurn, best_turn
from geometry.rings.clock import NEAR, ClockRules, ClockVerdict, PistonPlaces, judge, rules_for
from geometry.rings.schemes import ROLES, SCHEMES, Scheme, own_scheme, resolve
from geometry.rings.source import LimitDeg, Source
from geometry.spec.engine import Engine
from geometry.spec.piston import Groove, Pocket


@dataclass(frozen=True, slots=True, eq=False)
class BoreClock:
    """Where the gaps of one bore stand, and what is to be said about it.

    Attributes
    ----------
    bore : the builder's number
    thrust_deg, thrust_words : major thrust side on the ring clock, and in the builder's words
    scheme : the scheme that was asked for
    angles_deg : ring angle of every gap that is there, as installed where that is known
    places : what stands still on the piston
    rules : what must be kept
    verdict : the judgement
    best : the best turn of the scheme as planned on this piston
    """

    bore: int
    thrust_deg: float
    thrust_words: str
    scheme: Scheme
    angles_deg: dict[str, float]
    places: PistonPlaces
    rules: ClockRules
    verdict: ClockVerdict
    best: BestTurn

    @property
    def mending_turn_deg(self) -> float | None:
        """Least turn of all gaps together, as they stand, that leaves nothing to find; None when no turn does."""
        if not self.verdict.findings:
            return 0.0
        if any(found.margin is None for found in self.verdict.findings):  # nothing that an angle could mend
            return None
        turned = best_turn(self.angles_deg, self.rules, self.places)
        return turned.least_turn_deg if turned.keeps_all else None


def bore_clock(spec: Engine, site: BoreSite, build: BoreBuild) -> BoreClock:
    """Set up and judge the clock of one bore.

    Parameters
    ----------
    spec : the engine as designed
    site : where the bore stands
    build : how it was put together

    Raises
    ------
    GeometryError : an unknown scheme; its key names the entry of the engine file
    """
    scheme = scheme_of(spec)
    places = piston_places(spec, site, build)
    rules = rules_of(spec, scheme)
    angles = gap_angles(spec, site, build)
    planned = resolve(scheme, site.thrust_ring_deg, rings_of(spec))
    overlapped = build.ring("expander").overlapped
    verdict, best = judge(angles, rules, places, overlapped), best_turn(planned, rules, places)
    return BoreClock(
        site.bore, site.thrust_ring_deg, site.thrust_words, scheme, angles, places, rules, verdict, best
    )


def rings_of(spec: Engine) -> tuple[str, ...]:
    """List the rings that the piston carries, by their names on the clock."""
    has = {"top": True, "second": spec.rings.second is not None}
    return tuple(role for role in ROLES if has.get(role, spec.rings.oil is not None))


def scheme_of(spec: Engine) -> Scheme:
    """Find the clocking scheme that the engine file asks for, or make the one that it writes out.

    Raises
    ------
    GeometryError : no scheme of that name
    """
    clock = spec.rings.clock
    if clock is None:
        return named_scheme(spec.rings.scheme)
    angles = {role: getattr(clock, f"{role}_deg") for role in ROLES}
    return own_scheme(clock.datum, {role: angle for role, angle in angles.items() if angle is not None})


def named_scheme(name: str) -> Scheme:
    """Find a scheme by its name.

    Raises
    ------
    GeometryError : no scheme of that name
    """
    if name not in SCHEMES:
        near = get_close_matches(name, SCHEMES, 1)
        right = f'did you mean "{near[0]}"?' if near else f"one of {', '.join(SCHEMES)}"
        raise GeometryError("unknown_scheme", "rings.scheme", f'no clocking scheme is called "{name}"', right)
    return SCHEMES[name]


def rules_of(spec: Engine, scheme: Scheme) -> ClockRules:
    """Give the rules for this engine: the scheme's own, with the builder's least separation where he gave one."""
    return rules_for(scheme, near_of(spec))


def near_of(spec: Engine) -> LimitDeg:
    """Give the least distance of two gaps: the engine file's wherever it is written, also as the usual one."""
    if "minimum_separation_deg" not in spec.rings.model_fields_set:
        return NEAR
    return LimitDeg(spec.rings.minimum_separation_deg, Source("your engine file", "stated"))


def gap_angles(spec: Engine, site: BoreSite, build: BoreBuild) -> dict[str, float]:
    """Give the ring angle of every gap: as found where that is known, else where the scheme puts it.

    A piston that went in turned round was clocked by its own marks, so the scheme turns round with it. A ring that
    is missing has no gap.
    """
    half_turn = 180.0 if build.piston_turned else 0.0
    planned = resolve(scheme_of(spec), site.thrust_ring_deg, rings_of(spec))
    found = {role: build.ring(role).gap_ring_deg for role in rings_of(spec)}
    angles: dict[str, float] = {}
    for role in rings_of(spec):
        angle = found[role]
        if build.ring(role).missing:
            continue
        if angle is not None:
            angles[role] = wrapped_deg(angle)
        elif role in planned:
            angles[role] = wrapped_deg(planned[role] + half_turn)
    return angles


def piston_places(spec: Engine, site: BoreSite, build: BoreBuild) -> PistonPlaces:
    """Find thrust side, pin bosses and valve pockets on the ring clock of one bore.

    Parameters
    ----------
    spec, site, build : engine, bore, and how it was put together

    Returns
    -------
    Arcs as the ring belt sees them. A piston turned round carries its pockets to the other side.
    """
    spec = spec.of_bore(site.bore)
    bore_mm = spec.block.bore.diameter_mm
    return PistonPlaces(
        thrust_deg=site.thrust_ring_deg,
        bosses=boss_arcs(spec),
        pockets=pocket_arcs(spec, site, build.piston_turned),
        gap_deg={role: gap_deg(gap_mm, bore_mm) for role, gap_mm in _written_gaps_mm(spec)},
    )


def _written_gaps_mm(spec: Engine) -> Iterable[tuple[str, float]]:
    """Gaps as written; how much they differ in another bore makes no difference to an angle on the clock."""
    yield "top", spec.rings.top.gap_mm
    if spec.rings.second is not None:
        yield "second", spec.rings.second.gap_mm
    if spec.rings.oil is not None:
        yield from ((rail, spec.rings.oil.rail_gap_mm) for rail in ("upper_rail", "lower_rail"))


def boss_arcs(spec: Engine) -> tuple[Arc, Arc]:
    """Give the two pin bosses: as wide as the boss is across, seen from the pin's middle line at the wall."""
    across = min(1.0, spec.piston.boss.outside_mm / spec.block.bore.diameter_mm)
    half = degrees(asin(across))
    return Arc("front pin boss", 0.0, half), Arc("rear pin boss", 180.0, half)


def pocket_arcs(spec: Engine, site: BoreSite, turned: bool = False) -> tuple[Arc, ...]:
    """Give the valve pockets that reach out over the ring belt.

    Parameters
    ----------
    spec : the engine
    site : the bore; pockets are handed, so that the same valve stands mirrored on the other bank
    turned : whether the piston went in turned round

    Returns
    -------
    One arc for each pocket that cuts into the stretch between the root of the top groove and the land.
    """
    root = groove_for(spec, "top").root_mm / 2
    land = (spec.block.bore.diameter_mm - spec.piston.land_clearance_mm) / 2
    side = -1.0 if site.bank == "right" else 1.0
    half_turn = 180.0 if turned else 0.0
    arcs = []
    for pocket in spec.piston.pockets:
        half = _half_width_deg(pocket, root, land)
        if half > 0:
            centre = degrees(atan2(side * pocket.inward_mm, pocket.forward_mm))
            arcs.append(Arc(f"{pocket.valve} pocket", wrapped_deg(centre + half_turn), half, pocket.valve))
    return tuple(arcs)


def groove_for(spec: Engine, ring: str) -> Groove:
    """Find the groove of a ring: ``top``, ``second`` or ``oil``.

    Raises
    ------
    GeometryError : the piston has no such groove
    """
    for groove in spec.piston.grooves:
        if groove.ring == ring:
            return groove
    raise GeometryError(
        "no_groove",
        "piston.grooves",
        f"there is no groove for the {ring} ring",
        f'a groove with ring = "{ring}"',
    )


def _half_width_deg(pocket: Pocket, inner_mm: float, outer_mm: float) -> float:
    """Find half the angle that a round pocket covers between two radii about the bore's axis.

    On a circle of radius R the pocket of radius r, its centre c from the axis, covers ``acos((R^2 + c^2 - r^2) /
    2 R c)`` either way; that is widest where the ray touches the pocket, at ``R^2 = c^2 - r^2``, or at the nearer
    end of the stretch.
    """
    c, r = hypot(pocket.forward_mm, pocket.inward_mm), pocket.diameter_mm / 2
    if c == 0:
        return 180.0 if r > inner_mm else 0.0
    radii = [inner_mm, outer_mm]
    if c > r and inner_mm < sqrt(c * c - r * r) < outer_mm:
        radii.append(sqrt(c * c - r * r))
    cosines = [(R * R + c * c - r * r) / (2 * R * c) for R in radii]
    return degrees(acos(max(-1.0, min(1.0, min(cosines)))))
