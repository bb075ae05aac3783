"""Every ring of every bore of an engine, as planned or as found: gap, heat, groove and travel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from geometry.built import BoreBuild, Built, RingBuild, built_linkage
from geometry.kinematics.layout import BoreSite, Layout
from geometry.kinematics.slider_crank import dead_centres
from geometry.rings.bore import BoreSurvey, GapAlongBore, gap_along_bore
from geometry.rings.clocked import groove_for, rings_of
from geometry.rings.feeler import GapInterval, GapVerdict, judge_along
from geometry.rings.flow import gap_area_mm2, series_area_mm2
from geometry.rings.gap import (
    GapTarget,
    RingName,
    gap_in_other_bore,
    gap_target,
    oversize_stock_mm,
    stated_target,
)
from geometry.rings.groove import (
    SIDE_LIMITS,
    BackState,
    GrooveFit,
    SideLimits,
    SideState,
    groove_fit,
    judge_back,
    judge_side,
)
from geometry.rings.hot import EXPANSION, HotGap, RunningHeat, duty_heat, hot_gap
from geometry.rings.source import Source
from geometry.rings.tension import MODULUS_MPA, Tension, tension
from geometry.rings.travel import BoreEnds, GroovePlace, RingTravel, ring_travel
from geometry.rings.types import WayUp, way_up
from geometry.rings.wall import Wall, wall_of
from geometry.spec.engine import Engine
from geometry.spec.piston import Groove
from geometry.spec.rings import CompressionRing
from geometry.stack import crown_height_mm

GAPPED_RINGS: Final = ("top", "second", "upper_rail", "lower_rail")
"""Rings that have an end gap, in the order in which gas meets them."""

_TABLE_NAME: Final[dict[str, RingName]] = {
    "top": "top", "second": "second", "upper_rail": "oil_rail", "lower_rail": "oil_rail",
}  # fmt: skip
_ASSUMED: Final = Source("temperatures from your engine file", "stated")


@dataclass(frozen=True, slots=True, eq=False)
class RingFit:
    """One ring in one bore.

    Attributes
    ----------
    name : ``top``, ``second``, ``upper_rail`` or ``lower_rail``
    gap_mm : cold end gap where the bore is tightest on this ring's way, the least that it can be there; below zero
        the ring does not get there
    along : the gap where the bore is tightest and where it is widest
    verdict : the gap against its target, at both places
    hot : what is left of the gap at running temperature
    wall : the metal of the bore that ``hot`` counts with
    filing_mm : stock on a file-fit ring, both ends together; zero where the set is not oversize
    groove : how it sits in the groove that it went into; side clearance of an oil ring is that of the pack
    side : the side clearance, judged; None for an oil ring, for which no source gives limits
    side_limits : what it was judged by
    back : whether there is room behind it
    travel : how far it goes
    area_mm2 : area that the gap leaves open where the bore is widest
    tension : how hard it presses; None where the free gap is not known
    way : which way up it goes; None for rails
    found : how it was put in
    """

    name: str
    gap_mm: float
    along: GapAlongBore
    verdict: GapVerdict
    hot: HotGap
    wall: Wall
    filing_mm: float
    groove: GrooveFit
    side: SideState | None
    side_limits: SideLimits
    back: BackState
    travel: RingTravel
    area_mm2: float
    tension: Tension | None
    way: WayUp | None
    found: RingBuild


@dataclass(frozen=True, slots=True, eq=False)
class BoreRings:
    """The rings of one bore.

    Attributes
    ----------
    bore : the builder's number
    bore_mm : its mean diameter, as measured where that is known
    rings : those that are there, from the top
    missing : those that were left out
    exchanged : whether top and second ring went into each other's groove
    series_area_mm2 : one opening that passes as much as the compression gaps one after the other; None without any
    """

    bore: int
    bore_mm: float
    rings: tuple[RingFit, ...]
    missing: tuple[str, ...]
    exchanged: bool
    series_area_mm2: float | None


def gapped_rings(spec: Engine) -> tuple[str, ...]:
    """Rings of the piston that have an end gap, from the top."""
    return tuple(name for name in GAPPED_RINGS if name in rings_of(spec))


def bore_rings(spec: Engine, layout: Layout, built: Built, only: int | None = None) -> tuple[BoreRings, ...]:
    """Work out every ring of an engine, by the builder's bore numbers.

    Parameters
    ----------
    spec : the engine as designed
    layout : its arrangement
    built : how it was put together
    only : the one bore that is asked for; None: all
    """
    travels = ring_travels(spec, layout, built)
    chosen = [site for site in layout.bores if only in (None, site.bore)]
    sites = sorted(chosen, key=lambda site: site.bore)
    return tuple(
        _one_bore(built.design(spec, site.bore), site, built.bore(site.bore), travels[site.bore])
        for site in sites
    )


def ring_travels(spec: Engine, layout: Layout, built: Built) -> dict[int, dict[str, RingTravel]]:
    """Follow every ring over the stroke, by bore and by the ring's name.

    Parameters
    ----------
    spec, layout, built : the engine as designed, its arrangement, and how it was put together
    """
    centres = dead_centres(built_linkage(layout, built))
    names = gapped_rings(spec)
    found = {}
    for index, site in enumerate(layout.bores):
        top, bottom = float(centres.top_height_mm[index]), float(centres.bottom_height_mm[index])
        build = built.bore(site.bore)
        ways = _travels(built.design(spec, site.bore), build, top, bottom)
        found[site.bore] = {name: ways[_groove_of(spec, build, name).ring] for name in names}
    return found


def survey_of(spec: Engine, build: BoreBuild) -> BoreSurvey:
    """Give a bore as measured; where nobody measured it height by height, round and straight.

    Parameters
    ----------
    spec : the engine as it is in that bore (``Built.design``)
    """
    if build.bore_readings:
        rows = [(at.depth_mm, at.along_mm, at.across_mm) for at in build.bore_readings]
        depths, along, across = zip(*rows, strict=True)
        return BoreSurvey(depths, along, across)
    bore_mm = spec.block.bore.diameter_mm if build.bore_diameter_mm is None else build.bore_diameter_mm
    return BoreSurvey((0.0,), (bore_mm,), (bore_mm,))


def gap_target_of(spec: Engine, name: str, bore_mm: float) -> GapTarget:
    """Give the gap to aim at: the maker's where the engine file has it, else that of the duty.

    Parameters
    ----------
    spec : the engine
    name : one of ``GAPPED_RINGS``
    bore_mm : diameter of the bore, mm
    """
    usual = gap_target(bore_mm, spec.engine.duty, _TABLE_NAME[name])
    least, most = _stated_gaps_mm(spec, name)
    if least is not None:
        return stated_target(least, most, "your engine file")
    if most is not None:
        return stated_target(min(usual.min_mm, most), most, f"most: your engine file; least: {usual.source}")
    return usual


def heat_of(spec: Engine, name: str) -> RunningHeat:
    """Give the temperatures of one ring: the builder's, else those assumed for the duty.

    A second ring that is not given runs halfway between top ring and bore, rails halfway between second and bore:
    an assumption, like the defaults.
    """
    own = spec.rings.heat
    if own is None:
        return duty_heat(spec.engine.duty, _TABLE_NAME[name])
    second_c = own.second_ring_c if own.second_ring_c is not None else (own.ring_c + own.bore_c) / 2
    by_ring = {"top": own.ring_c, "second": second_c}
    return RunningHeat(by_ring.get(name, (second_c + own.bore_c) / 2), own.bore_c, _ASSUMED)


def side_limits_of(spec: Engine) -> SideLimits:
    """Give the side clearances to keep: the maker's where the engine file has them, else those of such engines."""
    usual = _usual_side_limits(spec)
    least, most = spec.rings.side_least_mm, spec.rings.side_most_mm
    if least is None and most is None:
        return usual
    said = ["your engine file" if bound is not None else usual.source.text for bound in (least, most)]
    text = said[0] if said[0] == said[1] else f"least: {said[0]}; most: {said[1]}"
    low = min(usual.min_mm, most or usual.min_mm) if least is None else least
    high = max(usual.max_mm, low) if most is None else most
    # The wear limit of other engines says nothing about a maker's own range.
    return SideLimits("own", "as written in the engine file", low, high, None, Source(text, "stated"))


def _usual_side_limits(spec: Engine) -> SideLimits:
    """Find the row of side clearances that comes nearest to this kind of engine."""
    if spec.engine.duty == "diesel":
        return SIDE_LIMITS["diesel"]
    bores = sum(len(bank) for bank in spec.engine.numbering.banks().values())
    return SIDE_LIMITS["petrol_v8" if spec.engine.layout == "vee" and bores == 8 else "petrol"]


def _stated_gaps_mm(spec: Engine, name: str) -> tuple[float | None, float | None]:
    oil = spec.rings.oil
    if name in ("top", "second"):
        ring = _compression(spec, name)
        return ring.gap_least_mm, ring.gap_most_mm
    return (oil.rail_gap_least_mm, oil.rail_gap_most_mm) if oil is not None else (None, None)


def _compression(spec: Engine, name: str) -> CompressionRing:
    ring = spec.rings.top if name == "top" else spec.rings.second
    assert ring is not None, "asked for a ring that the piston does not have"
    return ring


def _written(spec: Engine, name: str) -> tuple[float, float, float, str]:
    """End gap, height in the groove (of the pack, for a rail), radial wall, mm, and metal of a ring as written."""
    if name in ("top", "second"):
        ring = _compression(spec, name)
        return ring.gap_mm, ring.height_mm, ring.wall_mm, ring.material
    oil = spec.rings.oil
    assert oil is not None, "asked for a ring that the piston does not have"
    return oil.rail_gap_mm, oil.height_mm, oil.rail_wall_mm, "steel"


def _one_bore(spec: Engine, site: BoreSite, build: BoreBuild, travels: dict[str, RingTravel]) -> BoreRings:
    bore_mm = spec.block.bore.diameter_mm if build.bore_diameter_mm is None else build.bore_diameter_mm
    names = gapped_rings(spec)
    there = [name for name in names if not build.ring(name).missing]
    rings = tuple(_one_ring(spec, build, name, travels[name]) for name in there)
    areas = [ring.area_mm2 for ring in rings if ring.name in ("top", "second")]
    return BoreRings(
        bore=site.bore,
        bore_mm=bore_mm,
        rings=rings,
        missing=tuple(name for name in names if name not in there),
        exchanged=build.rings_exchanged,
        series_area_mm2=series_area_mm2(areas) if areas else None,
    )


def _travels(spec: Engine, build: BoreBuild, top_mm: float, bottom_mm: float) -> dict[str, RingTravel]:
    """Follow every groove over the stroke."""
    bore, notch = spec.block.bore, spec.block.bore.notch
    ends = BoreEnds(
        spec.block.deck_height_mm,
        bore.length_mm,
        bottom_chamfer_mm=bore.chamfer_mm,
        notch_mm=0.0 if notch is None else notch.height_mm,
    )
    grooves = [GroovePlace(g.ring, g.from_crown_mm, g.height_mm) for g in spec.piston.grooves]
    return {
        travel.name: travel
        for travel in ring_travel(top_mm, bottom_mm, crown_height_mm(spec, build), grooves, ends)
    }


def _groove_of(spec: Engine, build: BoreBuild, name: str) -> Groove:
    """The groove that a ring went into."""
    wanted = name if name in ("top", "second") else "oil"
    if build.rings_exchanged:
        wanted = {"top": "second", "second": "top"}.get(wanted, wanted)
    return groove_for(spec, wanted)


def _gap_along(spec: Engine, build: BoreBuild, name: str, travel: RingTravel) -> GapAlongBore:
    """Cold gap over the ring's way: as measured, else as written and carried over from the bore it was written for."""
    survey, found = survey_of(spec, build), build.ring(name)
    top_mm, bottom_mm = travel.top_depth_mm, travel.bottom_depth_mm
    gap_mm, checked_mm = found.gap_mm, found.gap_depth_mm
    if gap_mm is None:
        written = _written(spec, name)[0]
        from_mm = spec.rings.gap_bore_mm or spec.block.bore.diameter_mm
        gap_mm, checked_mm = gap_in_other_bore(written, from_mm, float(survey.diameter_mm(top_mm))), top_mm
    return gap_along_bore(survey, GapInterval(gap_mm, gap_mm), checked_mm, top_mm, bottom_mm)


def _one_ring(spec: Engine, build: BoreBuild, name: str, travel: RingTravel) -> RingFit:
    along = _gap_along(spec, build, name, travel)
    gap_mm, bore_mm, widest_mm = along.tightest.lower_mm, along.tightest_bore_mm, along.widest_bore_mm
    fit = _groove_fit(spec, _groove_of(spec, build, name), name, bore_mm)
    limits = side_limits_of(spec)
    land_mm = spec.block.bore.diameter_mm - spec.piston.land_clearance_mm
    is_rail = name not in ("top", "second")
    ring = None if is_rail else _compression(spec, name)
    return RingFit(
        name=name,
        gap_mm=gap_mm,
        along=along,
        verdict=judge_along(along.tightest, along.widest, gap_target_of(spec, name, bore_mm)),
        hot=_hot(spec, name, gap_mm, bore_mm),
        wall=wall_of(spec),
        filing_mm=oversize_stock_mm(spec.rings.oversize_mm) if ring is not None else 0.0,
        groove=fit,
        side=None if is_rail else judge_side(fit.side_mm, limits),
        side_limits=limits,
        back=judge_back(fit),
        travel=travel,
        area_mm2=gap_area_mm2(max(along.widest.upper_mm, 0.0), widest_mm, min(land_mm, widest_mm)),
        tension=None if ring is None else _tension(ring, bore_mm),
        way=None if ring is None else way_up(ring.face, ring.inside, ring.mark),
        found=build.ring(name),
    )


def _groove_fit(spec: Engine, groove: Groove, name: str, bore_mm: float) -> GrooveFit:
    _, height_mm, wall_mm, _ = _written(spec, name)
    land_mm = min(spec.block.bore.diameter_mm - spec.piston.land_clearance_mm, bore_mm)
    return groove_fit(bore_mm, land_mm, groove.root_mm, groove.height_mm, height_mm, wall_mm)


def _tension(ring: CompressionRing, bore_mm: float) -> Tension | None:
    if ring.free_gap_mm is None:
        return None
    modulus_mpa = MODULUS_MPA[ring.material]
    return tension(ring.free_gap_mm, ring.gap_mm, bore_mm, ring.height_mm, ring.wall_mm, modulus_mpa)


def _hot(spec: Engine, name: str, gap_mm: float, bore_mm: float) -> HotGap:
    own = spec.rings.heat
    ring_per_k = EXPANSION[_written(spec, name)[3]].per_k
    if own is not None and own.ring_expansion_per_k is not None:
        ring_per_k = own.ring_expansion_per_k
    return hot_gap(gap_mm, bore_mm, ring_per_k, wall_of(spec).expansion.per_k, heat_of(spec, name))
