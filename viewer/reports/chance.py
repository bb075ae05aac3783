"""How likely a set of parts gives trouble, in words for a customer, as a table and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import floor, log10
from typing import Any

from geometry.doubts.chance import Probability, Trouble
from geometry.doubts.stacks import MarginStack
from geometry.units import System, show
from viewer.reports.measure import WIDTH, answer_words, wrapped
from viewer.terminal import Terminal

MOST_ROWS = 24
"""Rows of the printed table; the rest is in ``--json``."""
MOST_SHARES = 3
NOTHING_IN_DOUBT = (
    "Nothing is in doubt: every value counts as measured, and `fullturn check` says what comes of them."
)
_SPREADS = {
    "uniform": "anywhere within the doubt alike",
    "normal": "by the bell curve, the doubt as plus and minus 3 sigma and cut off there",
}


def print_chance(title: str, trouble: Trouble, stacked: Sequence[MarginStack], system: System) -> None:
    """Words first, then the table, then what it rests on."""
    out = Terminal()
    out.say(title, style="bold")
    if not trouble.spreads:
        out.say("", NOTHING_IN_DOUBT)
        return
    out.say("", *customer_words(trouble), "")
    by_answer = {id(stack.answer): stack for stack in stacked}
    likely = [one for one in trouble.each if one.odds.estimate > 0.0 or one.answer.settled == "open"]
    rows = _merged([_row(one.odds, by_answer[id(one.answer)], system) for one in likely])
    if rows:
        headings = (
            "answer", "outside", "true share", "spare", "worst case", "RSS", "by"
        )  # fmt: skip
        out.table(
            headings,
            [(cells, "") for cells in rows[:MOST_ROWS]],
            "Chance of each, and what is left to its limit",
        )
        out.say("")
    width = min(WIDTH, out.console.width)
    for note in _notes(trouble, len(rows)):
        out.say(*wrapped(f"  {note}", width, "  "), style="dim")


def customer_words(trouble: Trouble) -> Iterator[str]:
    """What a customer wants to hear, in a line or two."""
    odds = trouble.in_all
    sets = _counted(trouble.sets)
    if odds.high == 0.0:
        yield "No such set of parts is outside a limit, whatever the doubt."
    elif odds.estimate == 0.0:
        yield f"None of {sets} such sets of parts was outside a limit: at most {odds_words(odds.high)} would be."
    elif odds.low == 1.0:
        yield f"Every such set of parts is outside a limit, whatever the doubt: {_likeliest(trouble)}."
    elif odds.estimate == 1.0:
        yield (
            f"All of {sets} such sets of parts were outside a limit: at least {_percent(odds.low)} of all would be; "
            f"most likely {_likeliest(trouble)}."
        )
    else:
        yield (
            f"About {odds_words(odds.estimate)} such sets of parts would be outside a limit, most likely "
            f"{_likeliest(trouble)}."
        )
        yield f"With 95 in 100 the true share is between {_percent(odds.low)} and {_percent(odds.high)}."


def _likeliest(trouble: Trouble) -> str:
    """The answer that is most often outside, of those that stop the work."""
    first = next(one for one in trouble.each if one.answer.severity == "stop")
    sure = first.odds.estimate == 1.0 or first.odds.estimate == trouble.in_all.estimate
    return answer_words(first.answer) + ("" if sure else f" ({odds_words(first.odds.estimate)})")


def odds_words(share: float) -> str:
    """A probability as so many in a hundred, in a thousand, in ten thousand, whichever is read best."""
    for whole in (100, 1000, 10_000, 100_000):
        if share * whole >= 0.995 or whole == 100_000:
            break
    number = share * whole
    shown = f"{number:.0f}" if number >= 9.95 or abs(number - round(number)) < 0.05 else f"{number:.1f}"
    if share < 1.0 and shown == str(whole):
        shown = f"more than {whole - 1}"
    return f"{shown} in {_counted(whole)}"


def chance_json(trouble: Trouble, stacked: Sequence[MarginStack]) -> dict[str, Any]:
    """All of it as plain numbers in house units."""
    by_answer = {id(stack.answer): stack for stack in stacked}
    return {
        "sets": trouble.sets,
        "seed": trouble.seed,
        "spreads": dict(trouble.spreads),
        "in_all": _odds_json(trouble.in_all),
        "each": [
            {
                "section": one.answer.section,
                "name": one.answer.name,
                "bore": one.answer.bore,
                "dimension": one.answer.dimension,
                "verdict": one.answer.settled,
                **_odds_json(one.odds),
                **_stack_json(by_answer[id(one.answer)]),
            }
            for one in trouble.each
        ],
    }


def _odds_json(odds: Probability) -> dict[str, Any]:
    return {
        "probability": round(odds.estimate, 9),
        "low": round(odds.low, 9),
        "high": round(odds.high, 9),
        "undecided_by_sums": round(odds.doubtful, 9),
        "worked_out_exactly": odds.exact,
        "sums_were_wrong": odds.corrected,
    }


def _stack_json(stack: MarginStack) -> dict[str, Any]:
    return {
        "margin": round(stack.nominal, 6),
        "worst_case": [round(stack.worst_low, 6), round(stack.worst_high, 6)],
        "root_sum_square": [round(stack.likely_low, 6), round(stack.likely_high, 6)],
        "shares": {key: round(share, 4) for key, share in stack.shares},
    }


def _row(odds: Probability, stack: MarginStack, system: System) -> list[str]:
    answer = stack.answer
    most = ", ".join(f"{key} {100.0 * share:.0f} %" for key, share in stack.shares[:MOST_SHARES])
    numbers = [
        _amount(stack.nominal, answer.dimension, system),
        _span(stack.worst_low, stack.worst_high, answer.dimension, system),
        _span(stack.likely_low, stack.likely_high, answer.dimension, system),
    ]
    look = "" if answer.severity == "stop" else f" ({answer.severity})"
    return [answer_words(answer) + look, _percent(odds.estimate), _between(odds), *numbers, most]


def _between(odds: Probability) -> str:
    if odds.low == odds.high:
        return "certain"
    if odds.low == 0.0:
        return f"at most {_percent(odds.high)}"
    if odds.high == 1.0:
        return f"at least {_percent(odds.low)}"
    return f"{_percent(odds.low)} to {_percent(odds.high)}"


def _percent(share: float) -> str:
    """To two digits of the share or of what is left to all, whichever is less."""
    percent = 100.0 * share
    rest = min(percent, 100.0 - percent)
    digits = 0 if rest <= 0.0 or rest >= 9.95 else min(1 - floor(log10(rest)), 4)
    return f"{percent:.{digits}f} %"


def _merged(rows: Sequence[list[str]]) -> list[list[str]]:
    """Rows that read alike but for the bore as one, its bores named."""
    found: dict[tuple[str, ...], tuple[list[str], list[str]]] = {}
    for row in rows:
        bore, colon, rest = row[0].partition(": ")
        name = rest if colon and bore.startswith("bore ") else row[0]
        _, bores = found.setdefault((name, *row[1:]), ([name, *row[1:]], []))
        if name != row[0]:
            bores.append(bore.removeprefix("bore "))
    return [
        [
            f"bore{'s' if len(bores) > 1 else ''} {', '.join(bores)}: {cells[0]}" if bores else cells[0],
            *cells[1:],
        ]
        for cells, bores in found.values()
    ]


def _span(low: float, high: float, dimension: str, system: System) -> str:
    return f"{_amount(low, dimension, system)} to {_amount(high, dimension, system)}"


def _amount(value: float, dimension: str, system: System) -> str:
    """What is left to a limit; a difference, so that a temperature has no zero of its own."""
    if dimension == "ratio":
        return f"{value:.3g}"
    kind = "temperature_difference" if dimension == "temperature" else dimension
    return show(value, kind, system, fine=True)


def _counted(number: int) -> str:
    return f"{number:,}".replace(",", " ")


def _notes(trouble: Trouble, rows: int) -> Iterator[str]:
    used: Mapping[str, int] = {
        spread: sum(one == spread for one in trouble.spreads.values()) for spread in _SPREADS
    }
    told = [
        f"{count} value{'s' if count > 1 else ''} {_SPREADS[spread]}"
        for spread, count in used.items()
        if count
    ]
    yield (
        f"{_counted(trouble.sets)} sets of parts drawn from seed {trouble.seed}: {'; '.join(told)}; each independent "
        "of the others, and one value for all bores alike."
    )
    yield 'Spreads are an assumption: [doubt] spread = "uniform" or "normal" chooses one for all.'
    odds = trouble.in_all
    if odds.doubtful > 0.0:
        yield (
            f"Worked out by adding up what each value does. {odds_words(odds.doubtful)} sets lie so near a limit that "
            f"the sum may be in error; {odds.exact} of these were worked out exactly, and {odds.corrected} came out "
            "otherwise."
        )
    yield (
        "0 of so many is no proof: the true share may be up to 3 in so many (Hanley and Lippman-Hand 1983). Intervals "
        "are Wilson's (1927)."
    )
    yield (
        "RSS (root-sum-square): 3 sigma of independent values (Scholz 1995); worst case: all values at their worst at "
        "once."
    )
    if rows > MOST_ROWS:
        yield f"{rows - MOST_ROWS} more rows are in --json."
