"""Every fit of the short block in one table: bearings, end play, rods, pistons, pins, rings, deck and quench.

What other checks hold is taken from them (``fit_repeats``); the values are worked out in ``fit_values``.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import Final, get_args

from geometry.assembly import Assembly
from geometry.checks import fit_repeats
from geometry.checks.fit_kinds import FitName
from geometry.checks.fit_limits import ABOVE_ZERO, rod_oil_fit, wall_fit
from geometry.checks.fit_notes import notes_of, shell_words
from geometry.checks.fit_values import Held, fits, mains, oil_clearance_mm, pin_to_wall_mm, shell_advice
from geometry.checks.section import Cell, Check, Column, Figure, Finding, Row, Section, asked, length
from geometry.units import System, show_fine

__all__ = [
    "CHECK", "fits", "oil_clearance_mm", "pin_to_wall_mm", "rod_oil_fit", "wall_fit",
]  # fmt: skip
ORDER: Final = get_args(FitName)
AGREE: Final = "within what the instruments can tell"
DIFFER: Final = "more than the instruments can tell"


def held_fits(assembly: Assembly) -> list[Held]:
    """Every fit that is worked out here: mains and crank first, then fit by fit, the bores by number."""
    of_bores = [held for _, site in asked(assembly, None) for held in fits(assembly, site)]
    return sorted([*mains(assembly), *of_bores], key=lambda held: ORDER.index(held.name))


def run(assembly: Assembly, system: System) -> Section:
    """One row per fit and place."""
    held = held_fits(assembly)
    repeats = fit_repeats.repeated(assembly, len(held))
    rows = (*(_row(one, system) for one in held), *({**_BLANK, **row} for row in fit_repeats.rows(repeats)))
    findings = tuple(finding for one in held for finding in _findings(one, system))
    read_twice = any(one.differ_mm is not None for one in held)
    columns = (
        Column("place", "where"), Column("short", "fit"), Column("value_mm", "value"),
        *((Column("readings", "by strip, by gauge"),) if read_twice else ()),
        Column("least_mm", "at least"), Column("most_mm", "at most"), Column("verdict", "verdict"),
    )  # fmt: skip
    return Section(
        "fits", "Fits", columns, rows, findings, notes_of(assembly.spec, held, rows, system),
        figures=figures(assembly, None), repeats=repeats,
    )  # fmt: skip


def figures(assembly: Assembly, only: Collection[int] | None) -> tuple[Figure, ...]:
    """The fits that are worked out here, those of mains and crank among them whichever bores are asked for."""
    return tuple(
        _figure(row, held)
        for row, held in enumerate(held_fits(assembly))
        if only is None or held.bore is None or held.bore in only
    )


def figure_name(fit: FitName, main: int | None = None) -> str:
    """What the figure of a fit is called; of a main its number with it."""
    name = fit.replace("_", " ")
    return name if main is None else f"{name} {main}"


def _figure(row: int, held: Held) -> Figure:
    fit, kind, value = held.fit, held.kind, held.value_mm
    least: float | None
    most: float | None
    if not held.judged or fit is None:
        least, most = 0.0 if held.judged else None, None
        source = ABOVE_ZERO
    else:
        least, most = 0.0 if fit.least_mm is None else fit.least_mm, fit.most_mm
        source = fit.source.text
    return Figure(
        held.figure, held.bore, value, least, most, "length", row, "value_mm", source, kind.below, kind.above
    )


_BLANK: Final[Row] = dict.fromkeys(
    ("readings", "strip_mm", "gauge_mm", "differ_mm", "differ_verdict", "shell_change_mm", "shell_wanted_mm", "grade",
     "grade_wall_mm", "grade_clearance_mm")
)  # fmt: skip


def _row(held: Held, system: System) -> Row:
    fit = held.fit
    return {
        "bore": held.bore,
        "main": held.main,
        "place": held.place,
        "fit": held.name,
        "short": held.kind.short,
        "what": held.kind.words,
        "value_mm": length(held.value_mm),
        "value_from": "record" if held.found else "engine file",
        "least_mm": None if fit is None or fit.least_mm is None else length(fit.least_mm),
        "most_mm": None if fit is None or fit.most_mm is None else length(fit.most_mm),
        "limit_source": held.kind.no_limit if fit is None else fit.source.text,
        "verdict": held.state,
        "severity": held.severity,
        **_read_cells(held, system),
        **_shell_cells(held),
    }


def _cell(value_mm: float | None) -> Cell:
    return None if value_mm is None else length(value_mm)


def _read_cells(held: Held, system: System) -> dict[str, Cell]:
    """Strip and bore gauge side by side."""
    strip, gauge = held.oil.strip, held.oil.gauge
    read = ["-" if read is None else show_fine(read.value_mm, system) for read in (strip, gauge)]
    return {
        "readings": None if strip is None and gauge is None else ", ".join(read),
        "strip_mm": None if strip is None else length(strip.value_mm),
        "gauge_mm": None if gauge is None else length(gauge.value_mm),
        "differ_mm": _cell(held.differ_mm),
        "differ_verdict": None if held.agree is None else AGREE if held.agree else DIFFER,
    }


def _shell_cells(held: Held) -> dict[str, Cell]:
    """The shells that bring an oil clearance to the middle of its limits."""
    advice = shell_advice(held)
    grade = None if advice is None else advice.grade
    return {
        "shell_change_mm": None if advice is None else length(advice.change_mm),
        "shell_wanted_mm": None if advice is None else _cell(advice.wall_mm),
        "grade": None if grade is None else grade.name,
        "grade_wall_mm": None if grade is None else length(grade.wall_mm),
        "grade_clearance_mm": None if advice is None else _cell(advice.leaves_mm),
    }


def _findings(held: Held, system: System) -> Iterator[Finding]:
    if held.agree is False and held.differ_mm is not None:
        where = "" if held.bore is not None else f"{held.place}: "
        yield Finding(
            "fit_readings_differ", "look", held.bore,
            f"{where}{held.kind.words}: plastic strip and bore gauge differ by "
            f"{show_fine(abs(held.differ_mm), system)}, {DIFFER}",
            "measure again by both, cap torqued, the strip dry and the journal not turned; the bore gauge counts",
        )  # fmt: skip
    severity = held.severity
    if not severity:
        return

    def text(value: float | None) -> str:
        return show_fine(value or 0.0, system)

    limit = "it must be above zero"
    if held.fit is not None and held.state != "none":
        above = held.state == held.kind.high
        limit = f"at {'most' if above else 'least'} {text(held.fit.most_mm if above else held.fit.least_mm)} "
        limit += f"({held.fit.source.text})"
    where = "" if held.main is None else f"{held.place}: "
    advice = shell_advice(held)
    remedy = held.kind.remedies.get(held.state, "")
    if advice is not None:
        remedy = f"{remedy}; {shell_words(advice, system)}"
    yield Finding(
        f"fit_{held.name}", severity, held.bore, f"{where}{held.kind.words}: {text(held.value_mm)}, {limit}", remedy,
        figure=held.figure, main=held.main,
    )  # fmt: skip


READS = (
    "block.bore.diameter",
    "block.main_bearing",
    "block.thrust_bearing",
    "crank.main.",
    "crank.pin.diameter",
    "piston.boss.bore",
    "piston.clips",
    "piston.heat",
    "piston.pin.",
    "piston.skirt.clearance",
    "rings.heat.bore_expansion",
    "rod.bearing",
    "rod.big_end",
    "rod.small_end.bore",
)
CHECK = Check("fits", 46, run, figures, reads=READS)
