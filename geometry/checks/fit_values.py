"""Every fit of mains, crank and bores: as the engine file has it or as it was found, with its limits."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from geometry.assembly import Assembly
from geometry.built import BoreBuild, MainBuild, OilRead
from geometry.checks import fit_kinds as kinds
from geometry.checks.fit_kinds import FitKind, FitName, State
from geometry.checks.fit_limits import (
    FILLET,
    GOES,
    STAYS_OPEN,
    end_play_fit,
    main_oil_fit,
    pin_float_fit,
    pin_in_piston_fit,
    pin_in_rod_fit,
    pin_to_wall_fit,
    rod_oil_fit,
    wall_fit,
)
from geometry.checks.section import Severity
from geometry.fillet import edge_fit
from geometry.kinematics.layout import BoreSite
from geometry.rings.hot import ROOM_C
from geometry.rings.wall import wall_of
from geometry.running_fits import (
    ShellSize,
    clearance_mm,
    nearest_grade,
    wall_change_mm,
    warm_closing_mm,
    with_grade_mm,
)
from geometry.spec.bearings import ShellGrade
from geometry.spec.engine import Engine
from geometry.trade import PISTON_EXPANSION, WARM_C, WARM_SOURCE, FitRange, shell_crush

ROUNDING_MM: Final = 1e-9
NOT_READ: Final = OilRead()


@dataclass(frozen=True, slots=True)
class Shells:
    """The shells of a bearing: how thick one is, None where nobody says, and the grades that can be had."""

    wall_mm: float | None
    grades: tuple[ShellSize, ...]


@dataclass(frozen=True, slots=True)
class Held:
    """One fit at one place against its limit.

    Attributes
    ----------
    kind : which fit
    value_mm : as the file has it or as found; below zero the parts do not go together
    fit : least, most and who says so
    bore, main : where; neither for the crank as a whole
    found : whether a reading decides it
    judged : whether it is held to anything; else it is told only
    oil : how an oil clearance was read
    shells : of an oil clearance
    """

    kind: FitKind
    value_mm: float
    fit: FitRange | None
    bore: int | None = None
    main: int | None = None
    found: bool = False
    judged: bool = True
    oil: OilRead = NOT_READ
    shells: Shells | None = None

    @property
    def name(self) -> FitName:
        """Which fit."""
        return self.kind.name

    @property
    def state(self) -> State:
        """The verdict."""
        if not self.judged:
            return "no limit"
        if self.value_mm <= 0.0:
            return "none"
        if self.fit is None:
            return "no limit"
        if self.fit.least_mm is not None and self.value_mm < self.fit.least_mm - ROUNDING_MM:
            return self.kind.low
        if self.fit.most_mm is not None and self.value_mm > self.fit.most_mm + ROUNDING_MM:
            return self.kind.high
        return "within"

    @property
    def severity(self) -> Severity | Literal[""]:
        """How grave the verdict is; empty where it is not."""
        return self.kind.severity(self.state)

    @property
    def place(self) -> str:
        """Where, in words."""
        if self.bore is not None:
            return f"bore {self.bore}"
        return "crank" if self.main is None else f"main {self.main}"

    @property
    def figure(self) -> str:
        """The name of its figure; mains count in it, since no bore tells them apart."""
        name = self.name.replace("_", " ")
        return name if self.main is None else f"{name} {self.main}"

    @property
    def differ_mm(self) -> float | None:
        """By how much the strip read more than the bore gauge; None where not both were used."""
        strip, gauge = self.oil.strip, self.oil.gauge
        return None if strip is None or gauge is None else strip.value_mm - gauge.value_mm

    @property
    def agree(self) -> bool | None:
        """Whether strip and bore gauge differ by no more than half a step of each; None where not both were used."""
        strip, gauge, differ = self.oil.strip, self.oil.gauge, self.differ_mm
        if strip is None or gauge is None or differ is None:
            return None
        return abs(differ) <= (strip.step_mm + gauge.step_mm) / 2 + ROUNDING_MM


@dataclass(frozen=True, slots=True)
class ShellAdvice:
    """Which shells bring an oil clearance to the middle of its limits, mm.

    Attributes
    ----------
    wanted_mm : the middle of the limits
    change_mm : how much thicker each shell must be; thinner below zero
    wall_mm : how thick that makes it; None where nobody says how thick it is
    grade : the nearest of those that can be had; None where none is listed
    leaves_mm : the clearance with that grade
    """

    wanted_mm: float
    change_mm: float
    wall_mm: float | None
    grade: ShellSize | None
    leaves_mm: float | None


def shell_advice(held: Held) -> ShellAdvice | None:
    """The shells for the middle of an oil clearance's limits; None without two limits, or of another fit."""
    fit, shells = held.fit, held.shells
    if shells is None or fit is None or fit.least_mm is None or fit.most_mm is None:
        return None
    wanted = (fit.least_mm + fit.most_mm) / 2
    change, wall = wall_change_mm(held.value_mm, wanted), shells.wall_mm
    if wall is None:
        return ShellAdvice(wanted, change, None, None, None)
    grade = nearest_grade(held.value_mm, wall, wanted, shells.grades)
    leaves = None if grade is None else with_grade_mm(held.value_mm, wall, grade)
    return ShellAdvice(wanted, change, wall + change, grade, leaves)


def oil_clearance_mm(spec: Engine) -> float:
    """Clearance of the big-end bearing on the diameter: housing less two shells less crankpin."""
    return clearance_mm(spec.rod.big_end.bore_mm, spec.rod.bearing.wall_mm, spec.crank.pin.diameter_mm)


def pin_to_wall_mm(spec: Engine, bore_mm: float) -> float:
    """From the outermost corner of a piston pin's end to the wall of its bore, the pin in the middle.

    The pin's end is a flat disc at half its length; its edge is farthest out where the pin is widest seen along the
    bore, half its diameter (and the pin offset) to the side.
    """
    pin = spec.piston.pin
    return bore_mm / 2 - math.hypot(pin.length_mm / 2, pin.diameter_mm / 2 + pin.offset_mm)


# ---- values


def mains(assembly: Assembly) -> Iterator[Held]:
    """The fits of every main bearing that the file or a reading knows of, then the crank's end play."""
    for number in range(1, len(assembly.layout.main_x_mm) + 1):
        yield from _main(assembly.spec, assembly.built.main(number), number)
    found, thrust = assembly.built.end_play_mm, assembly.spec.block.thrust_bearing
    value = found
    if value is None and thrust is not None and thrust.faces_mm is not None and thrust.width_mm is not None:
        value = thrust.faces_mm - thrust.width_mm
    if value is not None:
        yield Held(kinds.END_PLAY, value, end_play_fit(assembly.spec), found=found is not None)


def _main(spec: Engine, build: MainBuild, number: int) -> Iterator[Held]:
    bearing, journal = spec.block.main_bearing, spec.crank.main
    across = journal.diameter_mm if build.journal_mm is None else build.journal_mm
    bore = build.housing_bore_mm or (None if bearing is None else bearing.bore_mm)
    wall = build.shell_wall_mm or (None if bearing is None else bearing.wall_mm)
    sized = None if bore is None or wall is None else clearance_mm(bore, wall, across)
    oil = sized if build.oil.value_mm is None else build.oil.value_mm
    if oil is not None:
        found = build.oil.value_mm is not None or _any(
            build.journal_mm, build.housing_bore_mm, build.shell_wall_mm
        )
        shells = Shells(wall, _grades([] if bearing is None else bearing.grades))
        yield Held(
            kinds.MAIN_OIL, oil, main_oil_fit(spec), main=number, found=found, oil=build.oil, shells=shells
        )
    if bearing is not None and bearing.width_mm is not None and oil is not None:
        inset = (journal.width_mm - bearing.width_mm) / 2
        edge = edge_fit(journal.fillet_mm, inset, max(oil, 0.0) / 2, 0.0)
        yield Held(kinds.MAIN_FILLET, edge.clearance_mm, FILLET, main=number)
    yield from _crush(
        kinds.MAIN_CRUSH, build.crush_mm, None if bearing is None else bearing.crush_mm, None, number
    )


def _any(*readings: float | None) -> bool:
    return any(reading is not None for reading in readings)


def _grades(listed: list[ShellGrade]) -> tuple[ShellSize, ...]:
    return tuple(ShellSize(grade.name, grade.wall_mm) for grade in listed)


def _crush(
    kind: FitKind, found: float | None, written: float | None, bore: int | None, main: int | None
) -> Iterator[Held]:
    value = written if found is None else found
    if value is not None:
        yield Held(kind, value, shell_crush(), bore, main, found=found is not None)


def fits(assembly: Assembly, site: BoreSite) -> tuple[Held, ...]:
    """The fits of one bore; skirt and pin in the bore as found, where that is known."""
    spec, build = assembly.design(site.bore), assembly.built.bore(site.bore)
    design = spec.block.bore.diameter_mm
    bore = design if build.bore_diameter_mm is None else build.bore_diameter_mm
    oil = oil_clearance_mm(spec) if build.oil.value_mm is None else build.oil.value_mm
    number = site.bore
    shells = Shells(spec.rod.bearing.wall_mm, _grades(spec.rod.bearing.grades))
    sized = _any(build.oil.value_mm, build.crankpin_mm, build.housing_bore_mm, build.shell_wall_mm)
    skirt = spec.piston.skirt.clearance_mm + bore - design
    seen = _any(build.skirt_mm, build.bore_diameter_mm)
    pin = pin_to_wall_fit(spec)
    return (
        Held(kinds.ROD_OIL, oil, rod_oil_fit(spec), number, found=sized, oil=build.oil, shells=shells),
        *_crush(kinds.ROD_CRUSH, build.crush_mm, spec.rod.bearing.crush_mm, number, None),
        Held(kinds.SKIRT, skirt, wall_fit(spec), number, found=seen),
        _warm(spec, skirt, bore, number, seen),
        Held(
            kinds.PIN_TO_WALL,
            pin_to_wall_mm(spec, bore),
            pin,
            number,
            found=build.bore_diameter_mm is not None,
        ),
        *_pin(spec, build, number),
    )


def _warm(spec: Engine, cold_mm: float, bore_mm: float, number: int, found: bool) -> Held:
    """The skirt's clearance warm: judged at temperatures of the file's own, told at illustrative ones."""
    heat, wall = spec.piston.heat, wall_of(spec).expansion.per_k
    own = heat is not None and heat.skirt_c is not None and heat.wall_c is not None
    skirt_c = heat.skirt_c if heat is not None and heat.skirt_c is not None else WARM_C
    wall_c = heat.wall_c if heat is not None and heat.wall_c is not None else WARM_C
    piston = PISTON_EXPANSION[spec.piston.material].per_k
    if heat is not None and heat.expansion_per_k is not None:
        piston = heat.expansion_per_k
    closing = warm_closing_mm(bore_mm, piston, skirt_c - ROOM_C, wall, wall_c - ROOM_C)
    fit = STAYS_OPEN if own else FitRange(None, None, WARM_SOURCE)
    return Held(kinds.SKIRT_WARM, cold_mm - closing, fit, number, found=found, judged=own)


def _pin(spec: Engine, build: BoreBuild, number: int) -> Iterator[Held]:
    """Piston pin in piston and rod and between its clips, as far as the file or a reading says."""
    pin, small, clips = spec.piston.pin, spec.rod.small_end, spec.piston.clips
    boss, rod = spec.piston.boss.bore_mm, small.bore_mm
    pressed = small.pin == "press"
    in_piston = None if boss is None else boss - pin.diameter_mm
    in_rod = None
    if small.pin is not None and rod is not None:
        in_rod = pin.diameter_mm - rod if pressed else rod - pin.diameter_mm
    end_float = None
    if clips is not None and clips.apart_mm is not None and clips.thickness_mm is not None:
        end_float = clips.apart_mm - 2 * clips.thickness_mm - pin.length_mm
    in_rod_kind = kinds.PIN_PRESSED if pressed else kinds.PIN_FLOATS
    for kind, found, written, fit in (
        (kinds.PIN_IN_PISTON, build.pin_in_piston_mm, in_piston, pin_in_piston_fit(spec)),
        (in_rod_kind, build.pin_in_rod_mm, in_rod, pin_in_rod_fit(spec)),
        (kinds.PIN_FLOAT, build.pin_float_mm, end_float, pin_float_fit(spec)),
    ):
        value = written if found is None else found
        if value is not None:
            yield Held(kind, value, fit, number, found=found is not None)
    if clips is not None and clips.groove_mm is not None and clips.thickness_mm is not None:
        yield Held(kinds.CLIP, clips.groove_mm - clips.thickness_mm, GOES, number)
