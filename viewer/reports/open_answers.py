"""Answers that values in doubt leave open, as findings in words."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from geometry.checks.section import Amount, Cell, Figure, Finding, Section
from geometry.doubts.answers import Doubtful, Leaning
from geometry.units import System

_TINY: Final = 1e-9
_NUMBER: Final = re.compile(r"\d+")
LONG_SOURCE: Final = 70
"""A longer source is not said again: it stands under its table."""


def all_leanings(one: Doubtful) -> Iterator[Leaning]:
    """What an answer, or what is left to either limit, leans on; a value may come more than once."""
    yield from one.leanings
    yield from one.margin_leanings
    for side in one.sides:
        yield from side.leanings


def moves(one: Doubtful) -> bool:
    """Whether doubt changes an answer, or what is left to its limit."""
    room = 0.0 if one.margin_highest is None else one.margin_highest - (one.margin_lowest or 0.0)
    return any(True for _ in all_leanings(one)) and max(one.highest - one.lowest, room) > _TINY


def findings_over_doubt(
    section: Section, known: Sequence[tuple[Figure, Doubtful]], system: System
) -> tuple[Finding, ...]:
    """Findings with their verdict over the doubt, and those that only the doubt brings."""
    answers = {(figure.name, figure.bore): (figure, one) for figure, one in known}
    out: list[Finding] = []
    told = set()
    for finding in section.findings:
        figure, one = answers.get((finding.figure, finding.bore), (None, None))
        if figure is not None and one is not None and moves(one) and finding.severity != "note":
            told.add((figure.name, figure.bore))
            finding = _over_doubt(finding, figure, one, section.key, system)
        out.append(finding)
    fresh = [
        _open(figure, one, section.key, system)
        for figure, one in known
        if one.settled == "open" and (figure.name, figure.bore) not in told
    ]
    bores = {figure.bore for figure, _ in known}
    return (*out, *_together(fresh, len(bores)))


def beyond_table(
    section: Section, answers: Mapping[tuple[str, str, int | None], Doubtful], system: System
) -> tuple[Finding, ...]:
    """Answers that only the doubt brings near their limit, so that they have no row: a far pair of places, say."""
    there = {(figure.name, figure.bore) for figure in section.figures}
    found = []
    for one in answers.values():
        if one.section != section.key or (one.name, one.bore) in there or one.margin is None:
            continue
        least = one.nominal - one.margin
        figure = Figure(one.name, one.bore, one.nominal, least, None, one.dimension, 0, "")
        if one.settled == "open":
            found.append(_open(figure, one, section.key, system))
        elif one.settled == "outside":
            text = f"{one.name.replace(' : ', ' to ')}: at least {cell_words(cell_of(one.dimension, least), system)}; "
            text += "outside whatever the doubt"
            found.append(Finding(f"outside_{section.key}", one.severity, one.bore, text, figure=one.name))
    return tuple(_together(found, len({one.bore for one in answers.values() if one.bore is not None})))


def _over_doubt(finding: Finding, figure: Figure, one: Doubtful, section: str, system: System) -> Finding:
    """A finding at nominal values, as it stands over all of them."""
    if one.settled == "outside":
        return replace(finding, text=f"{finding.text}; outside whatever the doubt")
    if one.settled == "open":
        text = f"{finding.text}; at nominal values only, {open_words(figure, one, system)}"
        return replace(finding, severity="look", text=text, open_to=one.severity)
    return finding


def _open(figure: Figure, one: Doubtful, section: str, system: System) -> Finding:
    text = f"{figure.name.replace(' : ', ' to ')}: {open_words(figure, one, system)}"
    grave = one.severity
    return Finding(f"open_{section}", "look", figure.bore, text, figure=figure.name, open_to=grave)


def _together(findings: Sequence[Finding], bores: int) -> Iterator[Finding]:
    """Findings that read alike but for the numbers of their places become one that says where else it is so."""
    alike: dict[tuple[str, str], list[Finding]] = {}
    for finding in findings:
        place = _NUMBER.sub("", finding.figure)
        alike.setdefault((place, finding.text.partition(": ")[2]), []).append(finding)
    for found in alike.values():
        first, others = found[0], [finding.bore for finding in found[1:] if finding.bore is not None]
        if not others:
            more = f"; the same at {len(found) - 1} more places" if len(found) > 1 else ""
            yield replace(first, text=first.text + more)
        elif all(finding.text == first.text for finding in found):
            named = f"bores {', '.join(str(finding.bore) for finding in found)}"
            yield replace(
                first, bore=None, text=f"{'all bores' if len(found) == bores else named}: {first.text}"
            )
        else:
            named = f"bore{'s' if len(others) > 1 else ''} {', '.join(map(str, others))}"
            yield replace(first, text=f"{first.text}; the same at {named}")


def open_words(figure: Figure, one: Doubtful, system: System) -> str:
    """From where to where an open answer may be, against what, and what leaves it open."""
    low, high = (cell_words(amount_of(one, value), system) for value in (one.lowest, one.highest))
    source = f" ({figure.source})" if 0 < len(figure.source) <= LONG_SOURCE else ""
    words = f"open: {low} to {high} against {limit_words(figure, system)}{source}"
    leanings = one.margin_leanings or one.leanings
    assumed = len({leaning.key for leaning in all_leanings(one) if leaning.assumed})
    count, kind = (assumed, "assumed") if assumed else (len(leanings), "doubtful")
    if leanings:
        most = max(leanings, key=lambda leaning: leaning.reach).key
        plural = "value" if count == 1 else "values"
        words += f"; rests on {count} {kind} {plural}, " + (f"{most}" if count == 1 else f"most on {most}")
    return words


def range_words(one: Doubtful, system: System) -> str:
    """From where to where an answer may be, its unit once."""
    if one.dimension == "ratio":
        return f"{one.lowest:.2f} to {one.highest:.2f}"
    return spanned(amount_of(one, one.lowest), amount_of(one, one.highest), system)


def spanned(low: Cell, high: Cell, system: System) -> str:
    """Two numbers with what lies between them, their unit once."""
    least, most = cell_words(low, system), cell_words(high, system)
    number, _, unit = least.partition(" ")
    return f"{number if unit and most.endswith(f' {unit}') else least} to {most}"


def limit_words(figure: Figure, system: System) -> str:
    """What a figure is held to; a limit that is only a note is not among it."""
    least = None if figure.below == "note" else figure.least
    most = None if figure.above == "note" else figure.most
    if least is not None and most is not None:
        return spanned(cell_of(figure.dimension, least), cell_of(figure.dimension, most), system)
    text = [None if v is None else cell_words(cell_of(figure.dimension, v), system) for v in (least, most)]
    if text[0] is not None:
        return f"at least {text[0]}"
    return "" if text[1] is None else f"at most {text[1]}"


def amount_of(one: Doubtful, value: float) -> Cell:
    """A value of an answer as a table shows it."""
    return cell_of(one.dimension, value)


ABOUT: Final = ("rotation", "force", "pressure")
"""What a check answers in these, it knows to a tenth at best."""


def cell_of(dimension: str, value: float) -> Cell:
    """A number as a table shows it; a speed at which a joint opens, or a load, as nearly as anybody knows it."""
    if dimension == "ratio":
        return round(value, 2)
    return Amount(value, dimension, fine=dimension == "length", about=2 if dimension in ABOUT else 0)


def cell_words(cell: Cell, system: System) -> str:
    """A cell as the builder reads it."""
    return cell.text(system) if isinstance(cell, Amount) else f"{cell:g}"
