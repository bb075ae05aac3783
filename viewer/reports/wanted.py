"""One value solved for, in the terminal or as one JSON object: the size, its doubt, and what turns with it."""

from __future__ import annotations

from typing import Any

from geometry.doubts.beside import Changed
from geometry.doubts.settling import SHOP_STEPS, Solved
from geometry.doubts.solving import NoRoot, Reached
from geometry.doubts.wanted import Varied, Want
from geometry.units import System
from viewer.reports.beside import (
    Listed,
    amount_text,
    answer_words,
    changes_of,
    print_answers,
    standing_as_json,
    state_words,
    verdict_words,
)
from viewer.terminal import Terminal

MOST_NAMED = 4
"""Values in doubt that are named, those that the answer leans on most."""
RELATIONS = {"=": "", ">=": "at least ", "<=": "at most "}
HOW = "solved again at both of the answer's corners, the other values at the ends of their doubt"


def wanted_text(want: Want, system: System) -> str:
    """What is wanted, in words."""
    return f"{answer_words(want.name)} {RELATIONS[want.relation]}{amount_text(want.value, want.dimension, system)}"


def no_root_line(want: Want, by: Varied, found: NoRoot, system: System) -> str:
    """Why there is no such value, with the range reached."""

    def end(reached: Reached) -> str:
        size = amount_text(reached.value, by.dimension, system)
        return f"{amount_text(reached.answer, want.dimension, system)} at {size} ({reached.why})"

    if found.idle:
        return f"{answer_words(want.name)} does not change with {by.key}"
    return (
        f"no {by.key} gives {wanted_text(want, system)}: it goes from {end(found.low)} to {end(found.high)}; "
        f"now {amount_text(by.now, by.dimension, system)}"
    )


def as_answer(want: Want, by: Varied, solved: Solved, lists: tuple[Listed, Listed]) -> dict[str, Any]:
    """What ``check --want --by --json`` answers, in house units."""
    told = solved.told
    return {
        "want": {
            "name": want.name, "bore": want.bore, "relation": want.relation, "value": want.value,
            "dimension": want.dimension, "now": round(solved.answer_before, 9),
        },
        "by": {
            "key": by.key, "dimension": by.dimension, "now": by.now, "solution": round(solved.value, 9),
            "lowest": _rounded(solved.lowest), "highest": _rounded(solved.highest),
            "leans_on": [leaning.key for leaning in told.leanings] if told else [],
            "assumed": told.assumed if told else 0,
            "sizes": [{"size": round(s.size, 9), "answer": round(s.answer, 9)} for s in solved.sizes],
            "chosen": round(solved.chosen.size, 9),
        },
        "turned": [
            {
                "section": changed.section, "name": changed.name, "bores": list(changed.bores),
                "first": standing_as_json(changed.first), "second": standing_as_json(changed.second),
                "verdict": verdict_words(changed),
            }
            for changed in _turned(lists)
        ],
        "exit_code_of": "the engine with the chosen size",
    }  # fmt: skip


def print_solved(
    title: str, want: Want, by: Varied, solved: Solved, lists: tuple[Listed, Listed], system: System
) -> int:
    """Print the solution and what turns with it.

    Returns
    -------
    Exit code of the engine with the size of the shop.
    """

    def size(value: float) -> str:
        return amount_text(value, by.dimension, system)

    out = Terminal()
    if lists[0].assumed:
        out.say(lists[0].assumed)
    out.say(title, style="bold")
    now = amount_text(solved.answer_before, want.dimension, system)
    out.say(f"Wanted: {wanted_text(want, system)}{_of_bores(want)}; it is {now}.", "")
    out.say(f"{by.key} = {size(solved.value)} (now {size(solved.before)})", style="bold")
    if solved.sizes:
        out.say(f"  {_shop_line(want, by, solved, system)}")
    for line in _doubt_lines(by, solved, system):
        out.say(f"  {line}")
    setting = f'{by.key}="{size(solved.chosen.size)}"'
    turned = _turned(lists)
    out.say("", f"With {setting}:" if turned else f"With {setting} no verdict turns.")
    if turned:
        print_answers(out, turned, lists[1], system)
    words = state_words(lists[1])
    out.say(
        "",
        f"The engine with that size {words}: the exit code says so. All that changes: --against-set {setting}",
    )
    return lists[1].code


def _shop_line(want: Want, by: Varied, solved: Solved, system: System) -> str:
    """The sizes of the shop on either side, and which of them will do."""

    def size(value: float) -> str:
        return amount_text(value, by.dimension, system)

    gives = ", ".join(
        f"{size(sized.size)} gives {amount_text(sized.answer, want.dimension, system)}"
        for sized in solved.sizes
    )
    head = f"In steps of {size(SHOP_STEPS[by.dimension][system])}: {gives}; "
    if solved.chosen not in solved.sizes:
        return head + "none of them keeps it"
    word = "nearest" if want.relation == "=" else "the nearest that keeps it"
    return f"{head}{word}: {size(solved.chosen.size)}."


def _of_bores(want: Want) -> str:
    return "" if want.bore is None else f" in bore {want.bore}"


def _doubt_lines(by: Varied, solved: Solved, system: System) -> list[str]:
    """How far the solution may be out, and what it leans on."""
    told = solved.told
    if told is None:
        far = "How far it may be out is not worked out for places that do not come near each other."
        return [] if solved.lowest is not None else [far]
    if not told.leanings:
        return ["No value in doubt changes it."]
    keys = ", ".join(leaning.key for leaning in told.leanings[:MOST_NAMED])
    more = len(told.leanings) - MOST_NAMED
    leans = f"{len(told.leanings)} values in doubt, {told.assumed} of them assumed: {keys}"
    leans += f" and {more} more" if more > 0 else ""
    rests = f"It rests on {leans}."
    ends = [
        amount_text(end, by.dimension, system) for end in (solved.lowest, solved.highest) if end is not None
    ]
    if len(ends) == 2:
        return [f"Over the doubt about the other values {ends[0]} to {ends[1]} ({HOW}).", rests]
    lines = ["At a corner of the doubt about the other values no size gives it.", rests]
    if ends:
        word = "up" if solved.lowest is None else "down"
        lines[:0] = [f"Over the doubt about the other values {word} to {ends[0]} ({HOW})."]
    return lines


def _turned(lists: tuple[Listed, Listed]) -> list[Changed]:
    return [changed for changed in changes_of(*lists) if changed.turn in ("worse", "better")]


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 9)
