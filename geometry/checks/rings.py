"""Every ring of every bore: gap and target, hot gap, groove, travel, and what was found wrong."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Literal

from geometry.assembly import Assembly
from geometry.checks.ring_figures import ring_figures
from geometry.checks.section import (
    LINKAGE_KEYS,
    Amount,
    Check,
    Column,
    Figure,
    Finding,
    Row,
    Section,
    Severity,
    length,
    worst_first,
)
from geometry.rings.bore import GapAlongBore
from geometry.rings.feeler import GapInterval, blade_mm, blade_text
from geometry.rings.fitted import BoreRings, RingFit, bore_rings
from geometry.rings.gap import ROWS_OF_DUTY, filing, gap_target
from geometry.rings.groove import BACK_SOURCE
from geometry.rings.schemes import ROLE_WORDS
from geometry.rings.wall import more_left_mm
from geometry.spec.engine import Engine
from geometry.units import System, show, show_fine

LEAK_NOTE = (
    "Gap area: gap times the room between land and bore; in turn: one opening that passes as much as the "
    "compression gaps one after the other, 1/sqrt(sum 1/A^2). It compares gaps; it does not foretell blow-by."
)


def run(assembly: Assembly, system: System) -> Section:
    """One row per bore and ring, from the top of each piston."""
    spec = assembly.spec
    bores = bore_rings(spec, assembly.layout, assembly.built)
    rows = tuple(_row(bore, ring) for bore in bores for ring in bore.rings)
    say = _Say(spec, system)
    findings = [finding for bore in bores for finding in _bore_findings(say, bore)]
    worn = any(ring.along.worn for bore in bores for ring in bore.rings)
    gaps = (
        [Column("gap_mm", "gap at tightest"), Column("gap_widest_mm", "gap at widest")]
        if worn
        else [Column("gap_mm", "end gap")]
    )
    columns = (
        Column("bore", "bore"), Column("ring", "ring"), *gaps,
        Column("gap_min_mm", "at least"), Column("gap_max_mm", "at most"), Column("gap_verdict", "verdict"),
        Column("hot_gap_mm", "gap left hot"), Column("butts_at_c", "ends meet at"), Column("side_mm", "side clearance"),
        Column("back_mm", "back clearance"), Column("wall_above_mm", "wall above at TDC"),
        Column("wall_below_mm", "wall below at BDC"),
    )  # fmt: skip
    told = _notes(spec, bores, system)
    return Section(
        "rings", "Rings", columns, rows, worst_first(findings), told, figures=ring_figures(assembly, bores)
    )


def figures(assembly: Assembly, only: Collection[int] | None) -> tuple[Figure, ...]:
    """What each ring is judged by: gap, hot gap, side, back and travel."""
    spec, layout, built = assembly.spec, assembly.layout, assembly.built
    if only is None:
        return ring_figures(assembly, bore_rings(spec, layout, built))
    return ring_figures(assembly, [one for bore in only for one in bore_rings(spec, layout, built, bore)])


def _row(bore: BoreRings, ring: RingFit) -> Row:
    target, travel = ring.verdict.target, ring.travel
    return {
        "bore": bore.bore,
        "name": ring.name,
        "ring": ROLE_WORDS[ring.name],
        "gap_mm": length(ring.gap_mm),
        "gap_at_depth_mm": length(ring.along.tightest_depth_mm),
        "gap_widest_mm": length(ring.along.widest.upper_mm),
        "gap_widest_at_depth_mm": length(ring.along.widest_depth_mm),
        "gap_min_mm": length(target.min_mm),
        "gap_max_mm": None if target.max_mm is None else length(target.max_mm),
        "gap_source": target.source.text,
        "gap_verdict": ring.verdict.state,
        "filing_mm": length(ring.filing_mm),
        "filing_per_end_mm": length(ring.filing_mm / 2),
        "hot_gap_mm": length(ring.hot.hot_gap_mm),
        "closing_mm": length(ring.hot.closing_mm),
        "butts_at_c": Amount(ring.hot.butts_at_ring_c, "temperature", digits=0),
        "ring_c": Amount(ring.hot.heat.ring_c, "temperature", digits=0),
        "bore_c": Amount(ring.hot.heat.bore_c, "temperature", digits=0),
        "bore_metal": ring.wall.metal,
        "bore_metal_source": ring.wall.source.text,
        "side_mm": length(ring.groove.side_mm),
        "side_verdict": ring.side,
        "back_mm": length(ring.groove.back_mm),
        "back_at_wall_mm": length(ring.groove.back_at_wall_mm),
        "back_verdict": ring.back,
        "wall_above_mm": length(travel.top_margin_mm),
        "wall_below_mm": length(travel.bottom_margin_mm),
        "wall_above_notch_mm": length(travel.notch_margin_mm),
        "depth_at_top_mm": length(travel.top_depth_mm),
        "depth_at_bottom_mm": length(travel.bottom_depth_mm),
        "gap_area_mm2": round(ring.area_mm2, 6),
        "gap_area_in_turn_mm2": None if bore.series_area_mm2 is None else round(bore.series_area_mm2, 6),
        "tangential_n": None if ring.tension is None else Amount(ring.tension.tangential_n, "force"),
        "wall_mpa": None if ring.tension is None else Amount(ring.tension.wall_mpa, "pressure"),
        "stress_mpa": None if ring.tension is None else Amount(ring.tension.stress_mpa, "pressure"),
        "side_up": None if ring.way is None else ring.way.how,
        "side_up_why": None if ring.way is None else ring.way.why,
        "twist": None if ring.way is None else ring.way.twist,
        "if_upside_down": None if ring.way is None else ring.way.upside_down,
    }


def _notes(spec: Engine, bores: tuple[BoreRings, ...], system: System) -> tuple[str, ...]:
    rings = bores[0].rings
    sources = list(dict.fromkeys(ring.verdict.target.source.text for ring in rings))
    ways = [f"{ROLE_WORDS[ring.name].capitalize()}: {ring.way.how}" for ring in rings if ring.way is not None]
    heat = "; ".join(dict.fromkeys(ring.hot.heat.source.text for ring in rings))
    return (
        *(f"Gaps: {source}." for source in sources),
        *_other_figures(spec, bores[0].bore_mm, system),
        *_worn_notes(bores),
        f"Left hot: temperatures are {heat}. A file-fit ring is filed from outside inward, both ends alike.",
        *_wall_notes(bores[0], system),
        f"Side clearance: {rings[0].side_limits.source.text}. Back: {BACK_SOURCE.text}." if rings else "",
        "Wall above at TDC, below at BDC: what is left of it between the edge of the groove and the end of the full "
        "bore; below zero the ring comes out of it.",
        LEAK_NOTE,
        *ways,
    )


def _worn_notes(bores: tuple[BoreRings, ...]) -> Iterator[str]:
    """How gaps are judged in bores that were measured height by height."""
    if any(ring.along.worn for bore in bores for ring in bore.rings):
        yield (
            "Tightest, widest: the gap where the bore as measured is smallest and widest between the ring's two dead "
            "centres, pi times the difference of diameter; file for the tightest. Left hot: the tightest."
        )


def _wall_notes(bore: BoreRings, system: System) -> Iterator[str]:
    """What the bores of an aluminium block are taken to be made of, and how far that may be out."""
    wall = bore.rings[0].wall if bore.rings else None
    if wall is not None and wall.lined:
        more = more_left_mm(wall, bore.bore_mm, bore.rings[0].hot.heat.bore_c)
        yield (
            f"Left hot, in the aluminium block: {wall.source.text}. A liner is taken to grow by itself, the least that "
            f"it can while the block's own growth is the greater; held fast, it grows with the block and leaves up to "
            f"{show_fine(more, system)} more."
        )
    elif wall is not None and wall.metal == "aluminium":
        yield f"Left hot: the rings run on aluminium ({wall.source.text}), which grows with the block."


def _other_figures(spec: Engine, bore_mm: float, system: System) -> Iterator[str]:
    """What other sources in print ask for under the same duty: no one table is the truth."""
    others = ROWS_OF_DUTY[spec.engine.duty][1:]
    if not others:
        return
    told = []
    for key in others:
        gaps = (gap_target(bore_mm, key, "top"), gap_target(bore_mm, key, "second"))
        told.append(" / ".join(show_fine(gap.min_mm, system) for gap in gaps))
    yield f"Other least gaps in print for this duty and bore, top / second: {'; '.join(told)}."


@dataclass(frozen=True, slots=True)
class _Say:
    """Words for findings, in the builder's units."""

    spec: Engine
    system: System

    def text(self, value_mm: float) -> str:
        return show_fine(value_mm, self.system)

    def heat(self, value_c: float) -> str:
        return show(value_c, "temperature", self.system, 0)

    def between(self, gap: GapInterval) -> str:
        low, high = self.text(gap.lower_mm), self.text(gap.upper_mm)
        return low if low == high else f"{low} to {high}"

    def where(self, along: GapAlongBore, place: Literal["tightest", "widest"]) -> str:
        """Where in a worn bore; nothing to say of a straight one."""
        if not along.worn:
            return ""
        depth = along.tightest_depth_mm if place == "tightest" else along.widest_depth_mm
        return f" at {show(depth, 'length', self.system)} below the deck, where the bore is {place}"

    def blade(self, least_mm: float, most_mm: float | None) -> str:
        """The blade that shows a least gap to be there; the gap itself where no blade of the set lies within limits."""
        blade = blade_mm(least_mm, self.system, up=True)
        fits = most_mm is None or blade <= most_mm
        return f"a blade of {blade_text(blade, self.system)}" if fits else f"a stack of {self.text(least_mm)}"

    def filing(self, ring: RingFit) -> str:
        """What to file off a ring that is surely too tight, and what it leaves where the bore is widest."""
        target, along = ring.verdict.target, ring.along
        off = filing(along.tightest.lower_mm, along.tightest.upper_mm, target).needed_mm
        blade, where = self.blade(target.min_mm, target.max_mm), self.where(along, "tightest")
        text = f"file both ends alike until {blade} goes{where}"
        first = blade_mm(off, self.system, up=False)
        if first > 0.0:
            text += f"; {blade_text(first, self.system)} off, both together, then measure again"
        after = along.widest.upper_mm + off
        if along.worn and target.max_mm is not None and after > target.max_mm:
            text += f"; it is {self.text(after)} then{self.where(along, 'widest')}, "
            text += f"at most {self.text(target.max_mm)}: the bore is worn too far for one gap"
        return text


def _bore_findings(say: _Say, bore: BoreRings) -> Iterator[Finding]:
    for name in bore.missing:
        text = f"the {ROLE_WORDS[name]} is not there"
        yield Finding(
            "ring_missing", "stop", bore.bore, text, "take the piston out and fit it", group=f"ring.{name}.fitted"
        )  # fmt: skip
    if bore.exchanged:
        yield Finding(
            "rings_exchanged", "stop", bore.bore, "top and second ring sit in each other's groove",
            "take the piston out; the second ring's face and metal are not made for the top groove",
            group="ring.groove",
        )  # fmt: skip
    for ring in bore.rings:
        yield from _ring_findings(say, bore.bore, ring)


def _ring_findings(say: _Say, bore: int, ring: RingFit) -> Iterator[Finding]:
    yield from _gap_findings(say, bore, ring)
    yield from _groove_findings(say, bore, ring)
    yield from _travel_findings(say, bore, ring)
    if ring.found.upside_down and ring.way is not None and ring.way.side_up != "either":
        text = f"the {ROLE_WORDS[ring.name]} is upside down. {ring.way.upside_down}"
        yield Finding(
            "ring_upside_down", "stop", bore, text, f"turn it over. {ring.way.how}", group=f"ring.{ring.name}.way"
        )  # fmt: skip


def _gap_findings(say: _Say, bore: int, ring: RingFit) -> Iterator[Finding]:
    name, target, along = ROLE_WORDS[ring.name], ring.verdict.target, ring.along
    gap = f"gap of {name}"
    wide_gap = f"widest {gap}" if along.worn else gap
    state, tight, wide = ring.verdict.state, along.tightest, along.widest
    at_tightest, at_widest = say.where(along, "tightest"), say.where(along, "widest")
    least = f"at least {say.text(target.min_mm)} ({target.source})"
    most = f"at most {say.text(target.max_mm)} ({target.source})" if target.max_mm is not None else ""
    if tight.upper_mm <= 0:
        text = f"the {name} is {say.text(-tight.upper_mm)} too long for this bore{at_tightest}: its ends meet before "
        text += "it is there" if along.worn else "it is in"
        yield Finding(
            "ring_too_long", "stop", bore, text, "file both ends until the gap is right", figure=gap
        )
    elif state == "below":
        text = f"gap of the {name} {say.between(tight)}{at_tightest}, {least}"
        yield Finding("ring_gap_tight", "stop", bore, text, say.filing(ring), figure=gap)
    elif state == "above":
        text = f"gap of the {name} {say.between(wide)}{at_widest}, {most}"
        yield Finding(
            "ring_gap_wide", "look", bore, text, "a ring of the next oversize, filed to fit", figure=wide_gap
        )
    elif state == "cannot_tell":
        text = f"gap of the {name} {say.between(tight)}{at_tightest} and {say.between(wide)}{at_widest}: nobody said "
        text += f"where in the bore it was measured; {least}{', ' if most else ''}{most}"
        yield Finding(
            "ring_gap_unsure",
            "look",
            bore,
            text,
            f"measure it{at_tightest}, and say at what depth",
            figure=gap,
        )
    if tight.upper_mm > 0 and not ring.hot.survives:
        text = (
            f"the ends of the {name} meet at {say.heat(ring.hot.butts_at_ring_c)}; it runs at "
            f"{say.heat(ring.hot.heat.ring_c)} with the bore at {say.heat(ring.hot.heat.bore_c)} "
            f"({ring.hot.heat.source}{f'; {ring.wall.source}' if ring.wall.assumed else ''})"
        )
        sure: Severity = "stop" if tight.upper_mm <= ring.hot.closing_mm else "look"
        remedy = f"open the gap until {say.blade(ring.hot.closing_mm, target.max_mm)} goes{at_tightest}"
        yield Finding("ring_butts_hot", sure, bore, text, remedy, figure=f"hot {gap}")


def _groove_findings(say: _Say, bore: int, ring: RingFit) -> Iterator[Finding]:
    name, fit, limits = ROLE_WORDS[ring.name], ring.groove, ring.side_limits
    severities: dict[str, Severity] = {"tight": "stop", "loose": "look", "replace": "stop"}
    if ring.side in severities:
        text = (
            f"side clearance of the {name} {say.text(fit.side_mm)}, "
            f"{say.text(limits.min_mm)} to {say.text(limits.max_mm)} ({limits.source})"
        )
        remedies = {
            "tight": "clean the groove; a ring of the right height", "loose": "measure groove and ring again",
            "replace": "a new piston, or the groove cut over and a higher ring",
        }  # fmt: skip
        yield Finding(
            "ring_side",
            severities[str(ring.side)],
            bore,
            text,
            remedies[str(ring.side)],
            figure=f"side of {name}",
        )
    if ring.back == "proud":
        text = f"the {name} stands {say.text(-fit.back_mm)} proud: its wall is too deep for the groove"
        yield Finding(
            "ring_proud",
            "stop",
            bore,
            text,
            "a ring of thinner wall or a deeper groove",
            figure=f"back of {name}",
        )
    elif ring.back == "bottoms_at_wall":
        text = (
            f"the {name} cannot be pushed in flush with the land, {say.text(-fit.back_at_wall_mm)} stays out: it "
            "carries the piston where the piston leans on the bore"
        )
        yield Finding(
            "ring_bottoms",
            "look",
            bore,
            text,
            "a ring of thinner wall or a deeper groove",
            figure=f"back of {name} at the wall",
        )


def _travel_findings(say: _Say, bore: int, ring: RingFit) -> Iterator[Finding]:
    name, travel = ROLE_WORDS[ring.name], ring.travel
    if travel.leaves_top:
        text = f"the {name} comes {say.text(-travel.top_margin_mm)} out of the bore at top dead centre"
        yield Finding(
            "ring_leaves_top",
            "stop",
            bore,
            text,
            "a lower compression height, or a lower groove",
            figure=f"{name} above TDC",
        )
    if travel.uncovers_bottom:
        over = say.text(-travel.bottom_margin_mm)
        text = f"the {name} runs {over} over the bottom edge of the bore at bottom dead centre"
        remedy = "a longer bore, a shorter stroke or a higher groove"
        yield Finding("ring_leaves_bottom", "stop", bore, text, remedy, figure=f"{name} below BDC")
    elif travel.crosses_notch:
        text = f"the {name} runs {say.text(-travel.notch_margin_mm)} over the notch in the bottom of the bore"
        yield Finding(
            "ring_crosses_notch",
            "look",
            bore,
            text,
            "a lower notch; keep the gap away from it",
            figure=f"{name} above the notch",
        )


READS = (
    *LINKAGE_KEYS,
    "block.bore.",
    "block.deck_height",
    "piston.compression_height",
    "piston.grooves",
    "piston.land_clearance",
    "rings.",
)
CHECK = Check("rings", 50, run, figures, reads=READS)
