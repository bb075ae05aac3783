"""What goes where, in words and as JSON; and where nothing works, what is to blame."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from math import isfinite
from typing import Any, Final

from geometry.matching.blame import Blame, LeftBore, NeededSize
from geometry.matching.columns import EVEN, FITS, LEVEL
from geometry.matching.fits import Shelf
from geometry.matching.outcome import MatchedFit, Outcome
from geometry.units import System, show, show_fine
from viewer.cautions import LINES
from viewer.terminal import Terminal

OUT_WORDS: Final = {"below": "too little", "above": "too much"}
VERDICT_STYLE: Final = {"below": "bold red", "above": "bold red", "open": "yellow"}
WHERE: Final = {"deck": "deck", "piston to wall": "to wall", "oil clearance": "oil", "pin in piston": "pin, piston",
                "pin in rod": "pin, rod", "top ring gap": "top gap", "second ring gap": "2nd gap"}  # fmt: skip
"""Headings, short enough for a narrow terminal."""


def answer(outcome: Outcome, listed: Outcome, shelf: Shelf) -> dict[str, Any]:
    """The answer as ``--json`` has it."""
    return {
        "possible": True,
        "within": outcome.all_within,
        "goal": round(outcome.cost, 6),
        "bores": [
            {
                "bore": number,
                "parts": dict(outcome.goes[number]),
                "fits": [_fit_json(fit) for fit in outcome.fits if fit.bore == number],
                "mass_kg": outcome.mass_kg.get(number),
            }
            for number in outcome.numbers
        ],
        "spreads": [{**asdict(spread), "range": round(spread.most - spread.least, 9)} for spread in outcome.spreads],
        "as_listed_outside": [_fit_json(fit) for fit in listed.fits if fit.outside],
        "weights": {name: asdict(goal) for name, goal in shelf.goals.items()},
        "notes": list(shelf.notes),
    }  # fmt: skip


def _fit_json(fit: MatchedFit) -> dict[str, Any]:
    rounded = {key: round(v, 6) if isinstance(v, float) else v for key, v in asdict(fit).items()}
    return {**rounded, "words": fit.words, "verdict": fit.state}


def not_possible(why: Blame, notes: Sequence[str]) -> dict[str, Any]:
    """The same where nothing works."""
    left = [
        {
            "bore": one.bore,
            "parts": dict(one.parts),
            "outside": [_fit_json(fit) for fit in one.outside],
            "sizes": [{k: _finite(v) for k, v in asdict(size).items()} for size in one.sizes],
        }
        for one in why.left
    ]
    return {
        "possible": False,
        "within": False,
        "cause": why.cause,
        "blame": [{"kind": kind, "name": name} for kind, name in why.parts],
        "fit": why.fit,
        "filled": why.filled,
        "left": left,
        "notes": list(notes),
    }


def _finite(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, 6) if isfinite(value) else None
    return value


def print_outcome(title: str, outcome: Outcome, listed: Outcome, shelf: Shelf, system: System) -> None:
    """Tables of what goes where and of its clearances, how even all is, and the goal in words."""
    out = Terminal()
    out.say(title, style="bold")
    _print_places(out, outcome)
    _print_fits(out, outcome, system)
    out.say("")
    for spread in outcome.spreads:
        texts = [_amount(value, spread.dimension, system) for value in (spread.least, spread.most)]
        apart = _amount(spread.most - spread.least, spread.dimension, system)
        out.say(f"{spread.words.capitalize()}: {texts[0]} to {texts[1]}, {apart} apart.")
    _print_listed(out, listed, outcome)
    opened = [fit for fit in outcome.fits if fit.state == "open"]
    outside = [fit for fit in outcome.fits if fit.outside]
    if outside:
        out.say(f"{len(outside)} outside, which no part of this file can change.", style="bold red")
    elif opened:
        text = f"{len(opened)} open: within limits as measured, not within the doubt of the sizes. Measure closer."
        out.say(text, style="bold yellow")
    else:
        doubt = any(fit.state != "within" for fit in outcome.fits)
        out.say(f"All within limits{' whatever the doubt' if doubt else ''}.", style="bold green")
    out.say("", *_goal_words(outcome, shelf, system), *shelf.notes, style="dim")
    out.say("", *LINES, style="dim")


def _print_places(out: Terminal, outcome: Outcome) -> None:
    kinds = list(dict.fromkeys(kind for goes in outcome.goes.values() for kind in goes))
    rows = [([str(n), *(outcome.goes[n].get(kind, "-") for kind in kinds)], "") for n in outcome.numbers]
    out.say("")
    out.say("What goes where", style="bold")
    out.table(["bore", *kinds], rows)


def _print_fits(out: Terminal, outcome: Outcome, system: System) -> None:
    """A column for each clearance, its limits under it, its source below the table."""
    names = [name for name in FITS if any(fit.name == name for fit in outcome.fits)]
    if not names:
        return
    by_place = {(fit.bore, fit.name): fit for fit in outcome.fits}
    rows = []
    for number in outcome.numbers:
        here = [by_place[number, name] for name in names]
        rows.append(
            ([str(number), *(_bare(fit.value_mm, system) for fit in here), _verdict(here)], _style(here))
        )
    for words, side in (("at least", "least_mm"), ("at most", "most_mm")):
        cells = [
            _limit_cell([getattr(by_place[n, name], side) for n in outcome.numbers], system) for name in names
        ]
        rows.append(([words, *cells, ""], "dim"))
    marks = [f"[{place}]" for place in range(1, len(names) + 1)]
    rows.append((["source", *marks, ""], "dim"))
    out.say("")
    headings = [f"{WHERE[name]}, {system}" for name in names]
    out.say("Clearances", style="bold")
    out.table(["bore", *headings, "verdict"], rows)
    for mark, name in zip(marks, names, strict=True):
        sources = dict.fromkeys(fit.source for fit in outcome.fits if fit.name == name)
        out.say(f"  {mark} {FITS[name]}: {'; '.join(sources)}", style="dim")


def _limit_cell(values: Sequence[float | None], system: System) -> str:
    """A limit that is the same in all bores, or from where to where it goes."""
    texts = sorted({"-" if value is None else _bare(value, system) for value in values})
    return texts[0] if len(texts) == 1 else f"{texts[0]} to {texts[-1]}"


def _bare(value_mm: float, system: System) -> str:
    """A length without its unit, which stands in the heading; a tenth of a thou is told apart."""
    return show(value_mm, "length", system, 5 if system == "in" else 4).rsplit(" ", 1)[0]


def _verdict(fits: Sequence[MatchedFit]) -> str:
    wrong = [f"{WHERE[fit.name]} {OUT_WORDS[fit.state]}" for fit in fits if fit.outside]
    opened = [f"{WHERE[fit.name]} open" for fit in fits if fit.state == "open"]
    return ", ".join([*wrong, *opened]) or "within"


def _style(fits: Sequence[MatchedFit]) -> str:
    return next((style for state, style in VERDICT_STYLE.items() if any(f.state == state for f in fits)), "")


def _amount(value: float, dimension: str, system: System) -> str:
    return (
        show(value, dimension, system, fine=True) if dimension == "length" else show(value, dimension, system)
    )


def _print_listed(out: Terminal, listed: Outcome, outcome: Outcome) -> None:
    """What the order of the file would do, where that is worse."""
    still = {(fit.bore, fit.name) for fit in outcome.fits if fit.outside}
    wrong = [fit for fit in listed.fits if fit.outside and (fit.bore, fit.name) not in still]
    if wrong:
        bores = ", ".join(dict.fromkeys(str(fit.bore) for fit in wrong))
        out.say(f"As listed, first part in first bore and so on: {len(wrong)} outside, in bore {bores}.")


def _goal_words(outcome: Outcome, shelf: Shelf, system: System) -> Iterator[str]:
    names = [name for name in FITS if any(fit.name == name for fit in outcome.fits)]
    weights = ", ".join(f"{name} {shelf.goals[name].weight:g}" for name in names)
    level, even = shelf.goals[LEVEL], shelf.goals[EVEN]
    yield (
        "Goal: the least sum over all bores of (distance from the middle / half of what lies between the limits)², "
        f"times its weight: {weights}."
    )
    yield (
        f"To it, decks: (distance from their mean / {show_fine(level.one or 0.0, system)})² times {level.weight:g}; "
        f"weights: (distance from their mean / {show(even.one or 0.0, 'mass', system)})² times {even.weight:g} "
        "(common practice, no source; the table `goal` changes them)."
    )
    yield f"Here it is {outcome.cost:.3f}, proved the least there is."


def print_not_possible(title: str, why: Blame, notes: Sequence[str], system: System) -> None:
    """What is to blame, and what would do."""
    out = Terminal()
    out.say(title, style="bold")
    total = why.filled + len(why.left)
    out.say(
        "",
        f"Not possible: at most {why.filled} of {total} bores can be filled within limits.",
        style="bold red",
    )
    out.say(_cause(why))
    for left in why.left:
        out.say("", _left_words(left))
        for fit in left.outside:
            out.say(
                f"  {fit.words}: {show_fine(fit.value_mm, system)}, {_limit_words(fit, system)} ({fit.source})"
            )
            for size in (one for one in left.sizes if one.fit == fit.name):
                out.say(f"    -> {size_words(size, system)}")
    out.say("", *notes, style="dim")
    out.say("", *LINES, style="dim")


def _cause(why: Blame) -> str:
    names = [f"{kind} {name}" for kind, name in why.parts]
    if why.cause == "alone":
        of = f": {FITS[why.fit]}" if why.fit else ""
        each = [
            f"{name} {'takes none of the parts' if name.startswith('bore') else 'fits no bore'}"
            for name in names
        ]
        return f"To blame: {'; '.join(each)}{of}."
    bores = [name for kind, name in why.parts if kind == "bore"]
    parts = [name for kind, name in why.parts if kind != "bore"]
    if why.cause == "few bores":
        return f"To blame: {why.kind} {', '.join(parts)}: all of them fit only bore {', '.join(bores)}."
    if why.cause == "few parts":
        shared = f"only {why.kind} {', '.join(parts)}" if parts else f"no {why.kind} at all"
        return (
            f"To blame: for bores {', '.join(bores)} there is {shared}; none of the others fits any of them."
        )
    return f"Each part fits somewhere, all together do not; left over are {', '.join(names)}."


def _left_words(left: LeftBore) -> str:
    parts = ", ".join(f"{kind} {name}" for kind, name in left.parts.items())
    return f"Bore {left.bore} is left; the nearest that is left for it: {parts}."


def _limit_words(fit: MatchedFit, system: System) -> str:
    if fit.state == "below":
        return f"at least {show_fine(fit.least_mm or 0.0, system)}"
    return f"at most {show_fine(fit.most_mm or 0.0, system)}"


def size_words(size: NeededSize, system: System) -> str:
    """What size would do: ``piston 5, diameter 4.0262 in: 4.0266 to 4.0286 in would fit bore 3``."""
    low, high = (_bare(side, system) if isfinite(side) else "" for side in (size.low_mm, size.high_mm))
    span = (
        f"{low} to {high} {system}"
        if low and high
        else f"{'at least' if low else 'at most'} {low or high} {system}"
    )
    what = f"{size.kind} {size.name}, {size.column} {_bare(size.now_mm, system)} {system}"
    return f"{what}: {span} would {'do' if size.kind == 'bore' else f'fit bore {size.bore}'}"
