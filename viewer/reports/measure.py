"""What to measure next, in words: five lines under a check, all of it, or as JSON."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from textwrap import wrap
from typing import Any

from geometry.doubts.answers import Doubtful
from geometry.doubts.next_measure import Directly, NextMeasure, Plan
from geometry.spec.proportions.instruments import CLAY, SOURCE, TOOLS
from geometry.units import System, show
from viewer.terminal import Terminal

FIRST = 5
WIDTH = 100
"""Columns of a line at most, and no more than the terminal has."""
MEASURE_FIRST = (
    "Measure the first, enter it, and check again: what was worth measuring second may not be then."
)
_CALLED = {tool: words.words for tool, words in TOOLS.items()}


def answer_words(answer: Doubtful) -> str:
    """One answer as the tables name it, its bore first: ``bore 3: rod bolt head to pan rail, left``."""
    name = answer.name.replace(" : ", " to ")
    if answer.bore is None:
        return name
    rest = re.sub(rf", bore {answer.bore}(?!\d)", "", name)
    return f"bore {answer.bore}: {rest}"


def first_lines(plan: Plan, dimensions: Mapping[str, str], system: System, count: int = FIRST) -> list[str]:
    """The first few of the plan, a line each; no line where nothing is open."""
    if not plan.measures:
        return []
    lines = ["What to measure next, the value that is worth most for its minutes first:"]
    for place, one in enumerate(plan.measures[:count], start=1):
        lines.append(f"{place:3}  {_value(one, dimensions, system)}: {_cost(one)}")
    more = len(plan.measures) - count
    head = f"     and {more} more; " if more > 0 else "     "
    return [*lines, head + "`check --measure` says how each is measured and what it settles"]


def print_measures(title: str, plan: Plan, dimensions: Mapping[str, str], system: System) -> None:
    """Every value that is worth measuring, in the order in which it is."""
    out = Terminal()
    out.say(title, style="bold")
    width = min(WIDTH, out.console.width)
    if not plan.measures:
        out.say("", *wrapped(_nothing(plan), width, ""))
        return
    out.say("", "What to measure, the value that is worth most for its minutes first")
    for place, one in enumerate(plan.measures, start=1):
        first, *rest = _told(one, dimensions, system)
        out.say("", *wrapped(f"{place:2}  {first}", width, "    "), style="bold")
        for line in rest:
            out.say(*wrapped(f"    {line}", width, "    "))
    out.say("")
    for note in _notes(plan):
        out.say(*wrapped(f"  {note}", width, "  "), style="dim")


def wrapped(text: str, width: int, indent: str) -> list[str]:
    """A text in lines no wider than that, all but the first indented."""
    return wrap(text, width, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False)


def measures_json(plan: Plan, dimensions: Mapping[str, str]) -> list[dict[str, Any]]:
    """The plan as plain numbers in house units."""
    return [
        {
            "key": one.key,
            "dimension": dimensions[one.key],
            "nominal": _rounded(one.nominal),
            "lowest": _rounded(one.lowest),
            "highest": _rounded(one.highest),
            "assumed": one.assumed,
            "instrument": one.means.instrument,
            "how": one.means.how,
            "minutes": _rounded(one.minutes),
            "same_set_up_as": one.same_set_up_as or None,
            "needed": _rounded(one.needed),
            "share_of_open": _rounded(one.share),
            "closely": _rounded(one.closely),
            "answers": [_named(answer) for answer in one.answers],
            "too_fine_for_it": [_named(answer) for answer in one.too_fine],
        }
        for one in plan.measures
    ]


def _named(answer: Doubtful) -> dict[str, Any]:
    return {"section": answer.section, "name": answer.name, "bore": answer.bore}


def _rounded(number: float) -> float:
    return round(number, 6)


def _told(one: NextMeasure, dimensions: Mapping[str, str], system: System) -> Iterator[str]:
    """One value: what it is and may be; how it is measured, how closely, at what cost; what it settles."""
    yield f"{_value(one, dimensions, system)}"
    yield one.means.how
    yield f"needed {_closely(one, dimensions, system)}; {_cost(one)}"
    yield f"settles {_settles(one)}"


def _value(one: NextMeasure, dimensions: Mapping[str, str], system: System) -> str:
    dimension = dimensions[one.key]
    now, low, high = (show(value, dimension, system) for value in (one.nominal, one.lowest, one.highest))
    return f"{one.key} {now}, may be {low} to {high}"


def _cost(one: NextMeasure) -> str:
    together = f", in one set-up with {one.same_set_up_as}" if one.same_set_up_as else ""
    return f"{_CALLED[one.means.instrument]}, {_minutes(one)} min{together}"


def _closely(one: NextMeasure, dimensions: Mapping[str, str], system: System) -> str:
    """How closely it has to be known, and whether its instrument gives that."""
    dimension = _difference(dimensions[one.key])
    if one.closely < one.means.leaves:
        return f"closer than the {show(one.means.leaves, dimension, system, fine=True)} that this leaves"
    return f"within {show(one.closely, dimension, system, fine=True)}"


def _difference(dimension: str) -> str:
    """How a difference of two values is printed: of temperatures without their zero."""
    return "temperature_difference" if dimension == "temperature" else dimension


def _minutes(one: NextMeasure) -> str:
    return f"{one.minutes:.3g}"


def _settles(one: NextMeasure) -> str:
    """How many open answers lean on it, and the one that is most likely outside."""
    count = len(one.answers)
    worst = answer_words(one.answers[0])
    return worst if count == 1 else f"up to {count}; the worst: {worst}"


def _nothing(plan: Plan) -> str:
    if not plan.beyond:
        return "Nothing to measure: no verdict is open."
    named = ", ".join(answer_words(answer) for answer in plan.beyond)
    return f"Open, and no measuring of single values settles it any further: {named}."


def _notes(plan: Plan) -> Iterator[str]:
    yield MEASURE_FIRST
    yield (
        "The order: how often a value belongs to the quickest set of measurements that settles every verdict, over "
        "engines drawn from within the doubt; then its share of all that is open, over its minutes."
    )
    yield f"Minutes: {SOURCE}; your own go into [measuring]. A second value in the same set-up counts half."
    yield from (_directly(offer) for offer in plan.directly[:FIRST])
    fine = list(dict.fromkeys(answer_words(a) for one in plan.measures for a in one.too_fine))
    if fine:
        yield f"May stay open with these instruments if all is as written: {_some(fine)}."
    if plan.beyond:
        yield f"Open, and not by what is listed: {_some([answer_words(answer) for answer in plan.beyond])}."


def _directly(offer: Directly) -> str:
    return (
        f"{answer_words(offer.answer)} leans on {len(offer.keys)} of these, {offer.their_minutes:.0f} minutes "
        f"together: quicker measured itself, with {CLAY.words}."
    )


def _some(names: Sequence[str], most: int = FIRST) -> str:
    more = len(names) - most
    return ", ".join(names[:most]) + (f" and {more} more" if more > 0 else "")
