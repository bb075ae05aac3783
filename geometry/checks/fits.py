"""Fits of the running parts: oil clearance of the big end, skirt in its bore, piston pin between the walls."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Final, Literal

from geometry.assembly import Assembly
from geometry.checks.section import Check, Column, Figure, Finding, Row, Section, Severity, asked, length
from geometry.clearance.limits import limit_for
from geometry.kinematics.layout import BoreSite
from geometry.rings.source import Source
from geometry.spec.engine import Engine
from geometry.trade import FitRange, oil_clearance, piston_to_wall
from geometry.units import System, show_fine

FitName = Literal["rod_oil_clearance", "skirt_clearance", "pin_to_wall"]
State = Literal["none", "tight", "within", "loose", "no limit"]
WORDS: Final[dict[FitName, str]] = {
    "rod_oil_clearance": "big-end oil clearance, on the diameter",
    "skirt_clearance": "piston to wall, on the diameter at the skirt",
    "pin_to_wall": "end of the piston pin to the wall, at each end",
}
SEVERITY: Final[dict[State, Severity | Literal[""]]] = {
    "none": "stop", "tight": "stop", "within": "", "loose": "look", "no limit": "",
}  # fmt: skip
REMEDY: Final[dict[FitName, dict[State, str]]] = {
    "rod_oil_clearance": {
        "tight": "shells of the next thinner size, after measuring journal and housing",
        "loose": "shells of the next thicker size, or grind the crank and fit undersize shells",
    },
    "skirt_clearance": {
        "none": "hone the bore to the piston maker's clearance",
        "tight": "hone the bore to the piston maker's clearance",
        "loose": "a larger piston, the bore honed to it",
    },
    "pin_to_wall": {
        "none": "a shorter piston pin",
        "tight": "a shorter piston pin; leave room for its locks",
    },
}
NO_LIMIT: Final = "no source gives a limit for this piston; write limits.piston_to_wall"
ABOVE_ZERO: Final = "by definition: the parts must go together"
ROUNDING_MM: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Held:
    """One fit of one bore against its limit.

    Attributes
    ----------
    name : which fit
    value_mm : as the file or the bore as found has it; below zero the parts do not go together
    fit : least, most and who says so
    """

    name: FitName
    value_mm: float
    fit: FitRange | None

    @property
    def state(self) -> State:
        """The verdict."""
        if self.value_mm <= 0.0:
            return "none"
        if self.fit is None:
            return "no limit"
        if self.fit.least_mm is not None and self.value_mm < self.fit.least_mm - ROUNDING_MM:
            return "tight"
        if self.fit.most_mm is not None and self.value_mm > self.fit.most_mm + ROUNDING_MM:
            return "loose"
        return "within"


def oil_clearance_mm(spec: Engine) -> float:
    """Clearance of the big-end bearing on the diameter: housing less two shells less crankpin."""
    rod = spec.rod
    return rod.big_end.bore_mm - 2 * rod.bearing.wall_mm - spec.crank.pin.diameter_mm


def pin_to_wall_mm(spec: Engine, bore_mm: float) -> float:
    """From the outermost corner of a piston pin's end to the wall of its bore, the pin in the middle.

    The pin's end is a flat disc at half its length; its edge is farthest out where the pin is widest seen along the
    bore, half its diameter (and the pin offset) to the side.
    """
    pin = spec.piston.pin
    return bore_mm / 2 - math.hypot(pin.length_mm / 2, pin.diameter_mm / 2 + pin.offset_mm)


def fits(assembly: Assembly, site: BoreSite) -> tuple[Held, ...]:
    """The fits of one bore; skirt and pin in the bore as found, where that is known."""
    spec = assembly.design(site.bore)
    design = spec.block.bore.diameter_mm
    build = assembly.built.bore(site.bore)
    bore = design if build.bore_diameter_mm is None else build.bore_diameter_mm
    oil = oil_clearance_mm(spec) if build.oil_clearance_mm is None else build.oil_clearance_mm
    room = limit_for(spec, "piston_to_block")
    pin = FitRange(room.least_mm, None, Source(room.source, "practice"))
    return (
        Held("rod_oil_clearance", oil, rod_oil_fit(spec)),
        Held("skirt_clearance", spec.piston.skirt.clearance_mm + bore - design, wall_fit(spec)),
        Held("pin_to_wall", pin_to_wall_mm(spec, bore), pin),
    )


def rod_oil_fit(spec: Engine) -> FitRange | None:
    """Oil clearance that the big end should have: the file's own least, else the trade's."""
    return _own(spec.limits.rod_oil_mm, oil_clearance(spec.crank.pin.diameter_mm))


def wall_fit(spec: Engine) -> FitRange | None:
    """What the skirt should have to the wall: the file's own least, else the trade's; None where nothing says."""
    return _own(spec.limits.piston_to_wall_mm, piston_to_wall(spec.piston.material))


def _own(least_mm: float | None, fit: FitRange | None) -> FitRange | None:
    """The builder's own least in place of the trade's."""
    if least_mm is None:
        return fit
    most = fit.most_mm if fit is not None else None
    keeps = most is not None and most > least_mm
    text = (
        f"least: your engine file; most: {fit.source.text}"
        if fit is not None and keeps
        else "your engine file"
    )
    return FitRange(least_mm, most if keeps else None, Source(text, "stated"))


def run(assembly: Assembly, system: System) -> Section:
    """Three rows per bore."""
    rows: list[Row] = []
    findings: list[Finding] = []
    for site in sorted(assembly.layout.bores, key=lambda s: s.bore):
        for held in fits(assembly, site):
            rows.append(_row(site.bore, held))
            findings += _finding(site.bore, held, system)
    columns = (
        Column("bore", "bore"), Column("what", "fit"), Column("value_mm", "as designed or found"),
        Column("least_mm", "at least"), Column("most_mm", "at most"), Column("verdict", "verdict"),
        Column("limit_source", "source of the limit"),
    )  # fmt: skip
    notes = (
        "Big end: housing less two shells less crankpin, cold, before crush and heat change it; measure it.",
        "Piston pin: the pin in the middle of the bore; locks and their grooves are left out.",
    )
    return Section(
        "fits", "Fits", columns, tuple(rows), tuple(findings), notes, figures=figures(assembly, None)
    )


def figures(assembly: Assembly, only: Collection[int] | None) -> tuple[Figure, ...]:
    """The three fits of each bore."""
    return tuple(
        _figure(len(WORDS) * row + place, site.bore, held)
        for row, site in asked(assembly, only)
        for place, held in enumerate(fits(assembly, site))
    )


def figure_name(fit: FitName) -> str:
    """What the figure of a fit is called."""
    return fit.replace("_", " ")


def _figure(row: int, bore: int, held: Held) -> Figure:
    fit = held.fit
    least = 0.0 if fit is None or fit.least_mm is None else fit.least_mm
    most, source = (None, ABOVE_ZERO) if fit is None else (fit.most_mm, fit.source.text)
    return Figure(
        figure_name(held.name),
        bore,
        held.value_mm,
        least,
        most,
        "length",
        row,
        "value_mm",
        source,
        above="look",
    )


def _row(bore: int, held: Held) -> Row:
    fit = held.fit
    return {
        "bore": bore,
        "fit": held.name,
        "what": WORDS[held.name],
        "value_mm": length(held.value_mm),
        "least_mm": None if fit is None or fit.least_mm is None else length(fit.least_mm),
        "most_mm": None if fit is None or fit.most_mm is None else length(fit.most_mm),
        "limit_source": NO_LIMIT if fit is None else fit.source.text,
        "verdict": held.state,
        "severity": SEVERITY[held.state],
    }


def _finding(bore: int, held: Held, system: System) -> Iterator[Finding]:
    severity = SEVERITY[held.state]
    if not severity:
        return

    def text(value: float | None) -> str:
        return show_fine(value or 0.0, system)

    limit = "it must be above zero"
    if held.fit is not None and held.state != "none":
        loose = held.state == "loose"
        limit = f"at {'most' if loose else 'least'} {text(held.fit.most_mm if loose else held.fit.least_mm)} "
        limit += f"({held.fit.source.text})"
    yield Finding(
        f"fit_{held.name}", severity, bore, f"{WORDS[held.name]}: {text(held.value_mm)}, {limit}",
        REMEDY[held.name][held.state], figure=figure_name(held.name),
    )  # fmt: skip


READS = (
    "block.bore.diameter",
    "crank.pin.diameter",
    "piston.pin.",
    "piston.skirt.clearance",
    "rod.bearing",
    "rod.big_end",
)
CHECK = Check("fits", 46, run, figures, reads=READS)
