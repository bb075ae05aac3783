"""What the checks judge and how an engine was put together, as places to look at: typed figures and builds decide."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace
from typing import Final

from geometry.assembly import Assembly
from geometry.built import BoreBuild
from geometry.checks import bolt_answer as bolts
from geometry.checks import bores, fasteners, fillets, fits, notch, passage
from geometry.checks import spot_places as at
from geometry.checks.corners import nearest_corner
from geometry.checks.fit_kinds import FitName
from geometry.checks.ring_figures import ring_figures
from geometry.checks.section import Figure, Nearby, Severity, gravest
from geometry.checks.spot_places import SpotPlace
from geometry.checks.trouble_spot import TroubleKind, TroubleSpot
from geometry.kinematics.layout import BoreSite
from geometry.rings.clocked import bore_clock
from geometry.rings.fitted import bore_rings, gapped_rings
from geometry.rings.schemes import ROLE_WORDS
from geometry.rings.types import way_up
from geometry.spec.engine import NUMBERS_MAX
from geometry.trade import SEATED_MM

Placed = Callable[[Assembly, BoreSite], SpotPlace]
Waiting = Collection[object]
"""Sections, and (section, figure), that are not answered since they wait for values."""
NOT_SEATED: Final = "a seated head lets no thin feeler blade under it; common practice, no source"
AS_MARKED: Final = "as it was marked: by definition"


@dataclass(frozen=True, slots=True)
class FigurePlace:
    """How a figure of a check becomes a place: its family, its group, its name, where it stands, and at which main."""

    kind: TroubleKind
    group: str
    words: str
    place: Placed
    main: int | None = None


MOST_MAINS: Final = NUMBERS_MAX + 1
_PINS: Final[tuple[tuple[FitName, str, str], ...]] = (
    ("pin_in_piston", "pin.in_piston", "piston pin in the piston"),
    ("pin_in_rod", "pin.in_rod", "piston pin in the rod"),
    ("pin_end_float", "pin.float", "end float of the piston pin"),
    ("clip_in_groove", "pin.clip", "clip in its groove"),
)
_MAIN_FITS: Final[tuple[tuple[FitName, str, str], ...]] = (
    ("main_oil_clearance", "main.clearance", "main oil clearance"),
    ("main_shell_to_fillet", "main.fillet", "main shell's edge to the fillet"),
    ("main_crush", "main.crush", "crush of a main shell"),
)


def _at_main(number: int) -> Placed:
    return lambda assembly, _: at.main_cap(assembly, number)


_MAINS: Final = {
    ("fits", fits.figure_name(fit, number)): FigurePlace("bearing", group, words, _at_main(number), number)
    for number in range(1, MOST_MAINS + 1)
    for fit, group, words in _MAIN_FITS
}
_OIL, _SKIRT, _PIN = (
    fits.figure_name("rod_oil_clearance"),
    fits.figure_name("skirt_clearance"),
    fits.figure_name("pin_to_wall"),
)
FIGURES: Final[dict[tuple[str, str], FigurePlace]] = {
    # by check and figure
    ("bores", bores.TO_HEAD): FigurePlace("piston", "piston.head", "piston to head", at.crown),
    ("sides", fillets.SIDE): FigurePlace("rod", "rod.side", "side clearance left by the fillets", at.fillet_corner),
    ("sides", fillets.ROD_EDGE): FigurePlace("rod", "rod.fillet", "rod edge to fillet", at.fillet_corner),
    ("sides", fillets.SHELL_EDGE): FigurePlace(
        "rod", "shell.fillet", "shell edge to fillet",
        lambda a, s: at.fillet_corner(a, s, nearest_corner(a, s, "shell")),
    ),
    **_MAINS,
    ("fits", fits.figure_name("end_play")): FigurePlace(
        "crank", "crank.end_play", "crank end play", lambda a, _: at.crank_nose(a)
    ),
    ("fits", fits.figure_name("rod_crush")): FigurePlace(
        "bearing", "shell.crush", "crush of a big-end shell", at.oil_film
    ),
    ("fits", fits.figure_name("skirt_warm")): FigurePlace(
        "piston", "piston.skirt.warm", "piston to wall, warm", at.skirt
    ),
    **{
        ("fits", fits.figure_name(fit)): FigurePlace("piston", group, words, at.pin_end)
        for fit, group, words in _PINS
    },
    ("fits", _OIL): FigurePlace("bearing", "bearing.clearance", "big-end oil clearance", at.oil_film),
    ("fits", _SKIRT): FigurePlace("piston", "piston.skirt", "piston to wall", at.skirt),
    ("fits", _PIN): FigurePlace("piston", "piston.pin", "piston pin to wall", at.pin_end),
    ("fasteners", bolts.TORQUE): FigurePlace("bolt", "bolt.torque", "rod bolt torque", at.bolt),
    ("fasteners", bolts.STRETCH): FigurePlace("bolt", "bolt.torque", "rod bolt stretch", at.bolt),
    ("fasteners", bolts.TENSION): FigurePlace("bolt", "bolt.torque", "rod bolt tension", at.bolt),
    ("fasteners", bolts.THREAD): FigurePlace("bolt", "bolt.thread", "what a rod bolt's thread holds", at.bolt),
    ("fasteners", bolts.PRESSURE): FigurePlace("bolt", "bolt.pressure", "pressure under a rod bolt's head", at.bolt),
    ("fasteners", bolts.OPENS): FigurePlace("bolt", "bolt.opens", "speed at which the cap's joint opens", at.bolt),
    ("passage", passage.ROOM): FigurePlace("rod", "rod.passage", "big end through its bore", at.rod_across),
    ("notch", notch.WALL_LEFT): FigurePlace("piston", "bore.notch", "wall left by the notch", at.bore_bottom),
}  # fmt: skip
_CHECKS: Final = (bores.CHECK, fillets.CHECK, fits.CHECK, fasteners.CHECK, passage.CHECK, notch.CHECK)
RING_COLUMNS: Final = {
    # column of the rings' figures: group behind the ring's, words behind its name
    "gap_mm": ("gap", "gap"),
    "gap_widest_mm": ("gap", "gap where the bore is widest"),
    "hot_gap_mm": ("hot", "gap when hot"),
    "side_mm": ("side", "side clearance"),
    "back_mm": ("back", "room behind it"),
    "back_at_wall_mm": ("back", "room behind it, piston at the wall"),
    "wall_above_mm": ("top", "wall above it at top dead centre"),
    "wall_below_mm": ("bottom", "wall below it at bottom dead centre"),
    "wall_above_notch_mm": ("notch", "wall above the notch"),
}


def fault_spots(assembly: Assembly, without: Waiting = ()) -> Iterator[TroubleSpot]:
    """Every figure outside a limit that decides, every rule of the clock broken, every part the wrong way round.

    Parameters
    ----------
    without : sections, and (section, figure), that wait for values and are not told
    """
    sites = {site.bore: site for site in assembly.layout.bores}
    first = sites[min(sites)]
    for check in _CHECKS:
        found = check.figures(assembly, None) if check.figures and check.key not in without else ()
        for figure in found:
            how = FIGURES.get((check.key, figure.name))
            site = sites.get(figure.bore or 0, first)
            if how is None or (check.key, figure.name) in without or _told_beside(assembly, site, how):
                continue
            for spot in _of_figure(figure, how.kind, how.group, how.words, how.place(assembly, site)):
                yield replace(spot, main=how.main)
    for _, site in sorted(sites.items()):
        if "rings" not in without:
            yield from _rings(assembly, site, without)
        if "clocks" not in without:
            yield from _clock(assembly, site)
        yield from _ways(assembly, site)
    yield from _mains(assembly)


def _told_beside(assembly: Assembly, site: BoreSite, how: FigurePlace) -> bool:
    """Whether a pin's side clearance is lost by the other rod on it, where it is told."""
    return how.group == "rod.side" and fillets.side_fit(assembly, site).neighbour_takes


def nearby_of(severity: Severity, value: float | None = None, dimension: str = "") -> Nearby:
    """How a fault is marked: a length below zero is metal in metal, what is outside like what touches."""
    if dimension == "length" and value is not None and value < 0.0:
        return "overlaps"
    return {"stop": "touches", "look": "close", "note": "clear"}[severity]  # type: ignore[return-value]


def _of_figure(
    figure: Figure, kind: TroubleKind, group: str, words: str, place: SpotPlace
) -> Iterator[TroubleSpot]:
    """A figure outside one of its limits; none where it keeps them."""
    outside = [grave for room, grave in figure.margins if room < 0.0]
    if not outside:
        return
    severity, value = gravest(outside), figure.value
    low = figure.least is not None and value - figure.within < figure.least
    yield TroubleSpot(
        kind, group, severity, nearby_of(severity, value, figure.dimension), figure.bore, None, place.crank_deg,
        place.bodies, place.a_mm, place.b_mm, value, figure.least if low else figure.most, figure.margin,
        figure.dimension, figure.source, words,
    )  # fmt: skip


def _rings(assembly: Assembly, site: BoreSite, without: Waiting) -> Iterator[TroubleSpot]:
    fitted = {name for name in gapped_rings(assembly.spec) if not _build(assembly, site).ring(name).missing}
    for bore in bore_rings(assembly.spec, assembly.layout, assembly.built, site.bore) if fitted else ():
        for ring in bore.rings:
            for figure in ring_figures(assembly, [replace(bore, rings=(ring,))]):
                if ("rings", figure.name) in without:
                    continue
                group, words = RING_COLUMNS[figure.column]
                place = at.ring_gap(assembly, site, ring.name)
                name = (
                    f"{ROLE_WORDS[ring.name]}: {words}"
                    if group != "gap"
                    else f"{ROLE_WORDS[ring.name]} {words}"
                )
                yield from _of_figure(figure, "ring", f"ring.{ring.name}.{group}", name, place)


def _clock(assembly: Assembly, site: BoreSite) -> Iterator[TroubleSpot]:
    """Gaps that stand where a rule of the ring clock forbids it."""
    for found in bore_clock(assembly.spec, site, _build(assembly, site)).verdict.findings:
        margin, roles = found.margin, found.roles
        if margin is None or not roles:
            continue
        place = at.ring_gap(assembly, site, roles[0], roles[1] if len(roles) > 1 else "")
        names = " and ".join(ROLE_WORDS[role] for role in roles)
        yield TroubleSpot(
            "ring", f"ring.{found.rule}", found.severity, nearby_of(found.severity), site.bore, None, place.crank_deg,
            place.bodies, place.a_mm, place.b_mm, margin.value_deg, margin.limit_deg, margin.margin_deg, "angle",
            margin.source.text, f"{names} to {margin.place}" if margin.place else f"{names} apart",
        )  # fmt: skip


def _build(assembly: Assembly, site: BoreSite) -> BoreBuild:
    return assembly.built.bore(site.bore)


def wrong_way(
    kind: TroubleKind, group: str, words: str, place: SpotPlace, bore: int | None, main: int | None = None
) -> TroubleSpot:
    """Something that is not as it must be, without a number to it."""
    return TroubleSpot(
        kind, group, "stop", nearby_of("stop"), bore, main, place.crank_deg, place.bodies, place.a_mm, place.b_mm,
        None, None, None, "", AS_MARKED, words,
    )  # fmt: skip


def _ways(assembly: Assembly, site: BoreSite) -> Iterator[TroubleSpot]:
    """What the build itself says is the wrong way round, in the wrong place or not home."""
    build, bore = _build(assembly, site), site.bore

    def corner() -> SpotPlace:
        return at.fillet_corner(assembly, site)

    wrong: list[tuple[bool, TroubleKind, str, str, Callable[[], SpotPlace]]] = [
        (build.piston_turned, "piston", "piston.way", "piston turned round", lambda: at.crown(assembly, site)),
        (_from_elsewhere(build.piston_from, bore), "piston", "piston.number", "piston of another bore",
         lambda: at.crown(assembly, site)),
        (build.rod_turned, "rod", "rod.way", "rod turned round", corner),
        (_from_elsewhere(build.rod_from, bore), "rod", "rod.number", "rod of another bore", corner),
        (build.cap_turned, "rod", "cap.way", "rod cap turned round",
         lambda: at.big_end(assembly, site, "rod_cap", "rod")),
        (_from_elsewhere(build.cap_from, bore), "rod", "cap.number", "rod cap of another bore",
         lambda: at.big_end(assembly, site, "rod_cap", "rod")),
        (build.shells_exchanged, "bearing", "shell.seat", "bearing shells exchanged",
         lambda: at.oil_film(assembly, site)),
        (build.shell_proud_mm > 0.0, "bearing", "shell.tang", "bearing shell stands out at the joint",
         lambda: at.big_end(assembly, site, "lower_shell", "rod_cap")),
        (build.bolts_loose, "bolt", "bolt.torque", "rod bolts not tightened", lambda: at.bolt(assembly, site)),
        (build.rings_exchanged, "ring", "ring.groove", "top and second ring exchanged",
         lambda: at.ring_gap(assembly, site, "top", "second")),
    ]  # fmt: skip
    for is_so, kind, group, words, place in wrong:
        if is_so:
            yield wrong_way(kind, group, words, place(), bore)
    yield from _bolts_out(assembly, site)
    yield from _ring_ways(assembly, site)


def _from_elsewhere(came_from: int | None, bore: int) -> bool:
    return came_from is not None and came_from != bore


def _bolts_out(assembly: Assembly, site: BoreSite) -> Iterator[TroubleSpot]:
    for y, out in zip((-1.0, 1.0), _build(assembly, site).bolt_out_mm, strict=True):
        if out > SEATED_MM:
            role = at.side_at(site, y)
            place = at.bolt(assembly, site, role, out)
            spot = wrong_way("bolt", f"bolt.{role}.stand", "rod bolt head off its seat", place, site.bore)
            yield replace(
                spot,
                value=out,
                limit=SEATED_MM,
                margin=SEATED_MM - out,
                dimension="length",
                source=NOT_SEATED,
            )


def _ring_ways(assembly: Assembly, site: BoreSite) -> Iterator[TroubleSpot]:
    spec, build = assembly.design(site.bore).rings, _build(assembly, site)
    for role, name in ROLE_WORDS.items():
        ring, own = build.ring(role), {"top": spec.top, "second": spec.second}.get(role)
        part = name.removesuffix(" joint")
        over = (
            ring.upside_down
            and own is not None
            and way_up(own.face, own.inside, own.mark).side_up != "either"
        )
        for is_so, group, words in (
            (ring.missing, f"ring.{role}.fitted", f"{part} missing"),
            (over, f"ring.{role}.way", f"{part} upside down"),
            (ring.overlapped, f"ring.{role}.ends", f"{part} ends overlapped"),
        ):
            if is_so:
                yield wrong_way("ring", group, words, at.ring_gap(assembly, site, role), site.bore)


def _mains(assembly: Assembly) -> Iterator[TroubleSpot]:
    built = assembly.built
    for number in built.main_cap_turned:
        place = at.main_cap(assembly, number)
        yield wrong_way("bearing", "main.way", "main cap back to front", place, None, number)
    for number, cap in enumerate(built.main_cap_order or (), start=1):
        if cap != number:
            place = at.main_cap(assembly, number)
            yield wrong_way("bearing", "main.number", "main cap of another bearing", place, None, number)
