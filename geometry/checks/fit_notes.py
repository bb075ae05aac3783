"""Words under the table of fits: whose limits, which shells, and what to write for what is not in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from geometry.checks.fit_values import Held, ShellAdvice, shell_advice
from geometry.checks.section import Row
from geometry.spec.engine import Engine
from geometry.trade import PISTON_EXPANSION
from geometry.units import INCH_MM, System, show_fine

STEP_MM: Final = {"in": 0.0001 * INCH_MM, "mm": 0.002}
"""What a micrometer tells apart on a shell; common practice, no source."""
PLAIN: Final = (
    "Oil clearance: housing less two shells less journal, cold, before crush and heat change it; measure it.",
    "Piston pin: the pin in the middle of the bore; between clips, these against the outer walls of their grooves.",
)


def notes_of(spec: Engine, held: Sequence[Held], rows: Sequence[Row], system: System) -> tuple[str, ...]:
    """Every note."""
    return (
        *_sources(rows),
        *_shells(held, system),
        *PLAIN,
        f"Warm: even growth of skirt and wall (piston: {_expansion(spec)}); it compares, for a skirt is neither round "
        "nor evenly warm. Your own temperatures stand under piston.heat.",
        *_missing(spec, held),
    )


def _expansion(spec: Engine) -> str:
    heat = spec.piston.heat
    if heat is not None and heat.expansion_per_k is not None:
        return "your engine file"
    return PISTON_EXPANSION[spec.piston.material].source.text


def shell_words(advice: ShellAdvice, system: System) -> str:
    """Which shells, as a builder asks for them: ``each shell 0.0003 in thinner (0.0617 in) for 0.0018 in``."""
    change, middle = advice.change_mm, show_fine(advice.wanted_mm, system)
    if abs(change) < STEP_MM[system]:
        said = f"these shells leave it as near the middle of the limits, {middle}, as a micrometer tells"
    else:
        way = "thicker" if change > 0.0 else "thinner"
        wall = "" if advice.wall_mm is None else f" ({show_fine(advice.wall_mm, system)})"
        said = (
            f"each shell {show_fine(abs(change), system)} {way}{wall} for the middle of the limits, {middle}"
        )
    if advice.grade is None or advice.leaves_mm is None:
        return said
    wall, leaves = show_fine(advice.grade.wall_mm, system), show_fine(advice.leaves_mm, system)
    return f"{said}; nearest grade {advice.grade.name} ({wall}) leaves {leaves}"


def _shells(held: Sequence[Held], system: System) -> Iterator[str]:
    """Which shells each bearing wants, those that want the same in one line."""
    alike: dict[tuple[str, str], list[Held]] = {}
    for one in held:
        advice = shell_advice(one)
        if advice is not None:
            alike.setdefault((one.name, shell_words(advice, system)), []).append(one)
    names = [name for name, _ in alike]
    for (name, words), found in alike.items():
        numbers = ", ".join(str(one.main if one.main is not None else one.bore) for one in found)
        kind = "Main shells" if found[0].main is not None else "Big-end shells"
        where = (
            "" if names.count(name) == 1 else f", {'main' if found[0].main is not None else 'bore'} {numbers}"
        )
        yield f"{kind}{where}: {words}."


def _sources(rows: Sequence[Row]) -> Iterator[str]:
    """Who says the limits, fits of one source together."""
    by: dict[str, list[str]] = {}
    for row in rows:
        named = by.setdefault(str(row["limit_source"]), [])
        if row["short"] not in named:
            named.append(str(row["short"]))
    yield from (f"Limits, {', '.join(named)}: {source}." for source, named in by.items())


def _missing(spec: Engine, held: Sequence[Held]) -> Iterator[str]:
    """What is not in the table because nobody says it, and where to write it."""
    there = {one.name for one in held}
    pressed = spec.rod.small_end.pin == "press"
    wanted = {
        "main_oil_clearance": "mains (block.main_bearing: bore, wall)",
        "end_play": "crank end play (block.thrust_bearing: main, faces, width)",
        "pin_in_piston": "pin in the piston (piston.boss.bore)",
        "pin_in_rod": "pin in the rod (rod.small_end: bore, pin)",
        **({} if pressed else {"pin_end_float": "end float of the pin (piston.clips: apart, thickness)"}),
    }
    left = [words for name, words in wanted.items() if name not in there]
    if left:
        yield f"Not here, for the engine file does not say it: {'; '.join(left)}."
