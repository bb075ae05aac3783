"""How a check over values in doubt ends: the count, what is outside, what is open, what to measure next, the exit."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

from geometry.checks.section import SEVERITY_WORDS, Figure, Finding, Section
from geometry.doubts.answers import Doubtful
from geometry.units import System
from viewer.reports.doubts import OverDoubt
from viewer.reports.measure import wrapped
from viewer.reports.open_answers import all_leanings, limit_words, range_words
from viewer.terminal import Terminal

OPENS: Final = 12
"""Open answers that are named without ``--all``."""
CLASHES: Final = 3
"""Rules broken within the doubt that are named without ``--all``."""
CLOSE: Final = 3
"""An open answer that rests on so few values tells of a rule between them as well."""
_NUMBER: Final = re.compile(r"\d+")
_SIDE: Final = re.compile(r"\d+|\b(left|right|major|minor|inboard|outboard|up|down|front|rear)\b")
_DIGITS: Final = 2
"""Decimals in house units to which answers that are told together read alike."""
INDENT: Final = "      "
FigureKey: TypeAlias = tuple[str, str, int | None]


@dataclass(frozen=True, slots=True)
class ToldTogether:
    """Answers that are told together.

    Attributes
    ----------
    first : the one that is told, the worst of them
    bores : the bores where it is the same; none where it is the whole engine's
    more : how many others of the kind there are, none of them worse
    """

    first: Doubtful
    bores: tuple[int, ...]
    more: int


def alike(answers: Iterable[Doubtful]) -> list[ToldTogether]:
    """Answers of a kind and a verdict, and, unless they are distances, of one interval; in the order given."""
    found: dict[tuple[object, ...], list[Doubtful]] = {}
    for one in answers:
        kind = (one.section, _SIDE.sub("", place(one)), one.bore is None, one.settled, one.severity)
        found.setdefault((*kind, *(() if one.section == "clearances" else _reads(one))), []).append(one)
    return [_told_together(ones) for ones in found.values()]


def _told_together(ones: Sequence[Doubtful]) -> ToldTogether:
    worst = min(ones, key=lambda one: one.margin_lowest or 0.0)
    same = [one for one in ones if _reads(one) == _reads(worst) and _spot(one) == _spot(worst)]
    bores = tuple(sorted({one.bore for one in same if one.bore is not None}))
    return ToldTogether(worst, bores, len(ones) - len(same))


def _reads(one: Doubtful) -> tuple[float | None, ...]:
    numbers = (one.lowest, one.highest, one.margin_lowest, one.margin_highest)
    return tuple(None if number is None else round(number, _DIGITS) for number in numbers)


def _spot(one: Doubtful) -> str:
    return place(one) if one.bore is None else _NUMBER.sub("", place(one))


def place(one: Doubtful) -> str:
    """What an answer is about, without its bore."""
    name = one.name.replace(" : ", " to ")
    if one.bore is None:
        return name
    return re.sub(rf", bore {one.bore}(?!\d)", "", name)


def worst_open(answers: Iterable[Doubtful]) -> list[ToldTogether]:
    """Open answers, the worst first: what may stop the job, what is outside as written, what is most likely outside."""
    return sorted(alike(one for one in answers if one.settled == "open"), key=lambda found: _bad(found.first))


def _bad(one: Doubtful) -> tuple[bool, bool, float]:
    low, high = one.margin_lowest or 0.0, one.margin_highest or 0.0
    share = -low / (high - low) if high > low else 0.0
    return one.severity != "stop", (one.margin or 0.0) >= 0.0, -share


def open_line(found: ToldTogether, figures: Mapping[FigureKey, Figure], bores: int, system: System) -> str:
    """An open answer in one line: where, from where to where, what is wanted, and the value that matters most."""
    one = found.first
    figure = figures.get((one.section, one.name, one.bore))
    if figure is None:  # only the doubt brings it near its limit
        least = one.nominal - (one.margin or 0.0)
        figure = Figure(one.name, one.bore, one.nominal, least, None, one.dimension, 0, "")
    leanings = one.margin_leanings or one.leanings
    most = max(leanings, key=lambda leaning: leaning.reach).key if leanings else ""
    where = f", {bores_words(found.bores, bores)}" if found.bores else ""
    said = (
        f"{place(one)}{where}: {range_words(one, system)}, wanted {limit_words(figure, system)}",
        f"most on {most}" if most else "",
        "outside as it stands" if (one.margin or 0.0) < 0.0 else "",
        "within wherever it could be worked out" if _inside(figure, one) else "",
        f"{found.more} more such, none worse" if found.more else "",
    )
    return "; ".join(words for words in said if words)


def _inside(figure: Figure, one: Doubtful) -> bool:
    """Whether all that was found of an open answer keeps its limits: what leaves it open is where nothing was found."""
    least, most = replace(figure, value=one.lowest), replace(figure, value=one.highest)
    return all(room >= 0.0 for end in (least, most) for room, _ in end.margins)


def bores_words(found: Sequence[int], bores: int) -> str:
    """Which bores, of so many."""
    if len(found) == bores > 1:
        return "all bores"
    return f"bore{'s' if len(found) > 1 else ''} {', '.join(map(str, found))}"


def together(findings: Iterable[Finding], bores: int) -> Iterator[Finding]:
    """Findings that say the same of several bores, once."""
    found: dict[tuple[object, ...], list[Finding]] = {}
    for finding in findings:
        found.setdefault((finding.id, finding.severity, finding.text, finding.remedy), []).append(finding)
    for same in found.values():
        at = sorted({finding.bore for finding in same if finding.bore is not None})
        if len(at) < 2:
            yield same[0]
        else:
            yield replace(same[0], bore=None, text=f"{bores_words(at, bores)}: {same[0].text}")


def count_words(over: OverDoubt, outside: int, opens: int) -> str:
    """How the whole stands, in one sentence."""
    within = len(alike(one for one in over.answers.values() if one.settled == "within"))
    waits = len(over.waiting) + len([name for name in over.waiting_figures if name[0] not in over.waiting])
    wait = f", {waits} {'waits' if waits == 1 else 'wait'} for values" if over.waiting_lines else ""
    return f"{within} within whatever the doubt, {opens} open, {outside} outside{wait}."


def exit_words(over: OverDoubt, opens: Sequence[ToldTogether]) -> str:
    """Why the command ends with 1 though nothing is outside for certain; empty where it does not."""
    grave = sum(found.first.severity == "stop" for found in opens)
    if not grave:
        return ""
    one = grave == 1
    answers = f"{grave} {'answer is' if one else 'answers are'} open"
    if grave < len(opens):
        answers = f"{grave} of the {len(opens)} open answers may turn out to stop the job"
    taken = "it as it is" if one else "them as they are"
    if over.accept_open:
        return f"{answers}: --accept-open took {taken}"
    return f"exit 1: {answers}; --accept-open takes {taken}"


def clashes_told(over: OverDoubt) -> list[Finding]:
    """Rules broken within the doubt that no open answer tells of, and that are not only of values nobody wrote."""
    filled = {value.key for value in over.described.values if value.origin == "filled"}
    opens = [
        {leaning.key for leaning in all_leanings(one)}
        for one in over.answers.values()
        if one.settled == "open"
    ]
    return [
        clash
        for clash in over.clashes
        if not set(clash.keys) <= filled
        and not any(set(clash.keys) <= keys and len(keys) <= CLOSE for keys in opens)
    ]


def clash_line(clash: Finding, width: int) -> str:
    """A rule broken within the doubt, with as many of its values as one line has room for."""
    what = clash.text.partition(": ")[2] or clash.text
    for named in range(len(clash.keys), 0, -1):
        more = len(clash.keys) - named
        keys = ", ".join(clash.keys[:named]) + (f" and {more} more" if more else "")
        line = f"within the doubt of {keys}: {what}"
        if len(line) + len(INDENT) <= width:
            break
    return line


def print_open(
    out: Terminal, sections: Sequence[Section], over: OverDoubt, system: System, everything: bool
) -> None:
    """Open answers, the worst first, a line each."""
    opens = worst_open(over.answers.values())
    figures = {(section.key, f.name, f.bore): f for section in sections for f in section.figures}
    bores, width = bores_of(over), out.console.width
    told = opens if everything else opens[:OPENS]
    for found in told:
        line = f"OPEN  {open_line(found, figures, bores, system)}"
        out.say(*wrapped(line, width, INDENT), style="yellow")
    if len(told) < len(opens):
        out.say(f"{INDENT}and {len(opens) - len(told)} more open; --all names them", style="yellow")
    if any(found.first.told for found in told):
        out.say(*wrapped(f"{INDENT}{NOT_PROVED}", width, INDENT), style="dim")


NOT_PROVED: Final = (
    "Not all of these are proved at every point of the doubt: --json says of each where it ends."
)


def print_clashes(out: Terminal, over: OverDoubt, everything: bool) -> None:
    """Rules that values within their doubt would break, a line each: each is only a corner of the doubt."""
    told = list(over.clashes) if everything else clashes_told(over)[:CLASHES]
    for clash in told:
        line = f"{SEVERITY_WORDS['note']}  {clash_line(clash, out.console.width)}"
        out.say(*wrapped(line, out.console.width, INDENT), style="dim")
    more = len(over.clashes) - len(told)
    head = f"{INDENT}and {more} more" if told else f"{SEVERITY_WORDS['note']}  {more}"
    places = "place" if more == 1 else "places"
    line = f"{head} such {places} within the doubt where a rule would be broken; --all names them"
    if more:
        out.say(*wrapped(line if told else line.replace(" such", ""), out.console.width, INDENT), style="dim")


def bores_of(over: OverDoubt) -> int:
    """How many bores the engine has."""
    return sum(len(line) for line in over.described.spec.engine.numbering.banks().values())
