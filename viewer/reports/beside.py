"""Two lists side by side, in the terminal or as one JSON object: what differs, and what becomes of the answers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from geometry.checks.section import Section
from geometry.clearance.words import feature_words
from geometry.collision.broad_phase import NEAR_MM
from geometry.doubts.answers import Doubtful
from geometry.doubts.beside import AnswerStanding, Changed, Differing, Entered, beside, differing
from geometry.spec.described import Described
from geometry.spec.known import as_toml
from geometry.units import System, show
from viewer.reports.tables import SEVERITY_STYLE
from viewer.terminal import Terminal

MOST_KEPT = 24
"""Rows that stay within their limits, or have none, in the printed table; ``--all`` prints the rest."""
NOT_NEAR = "not near"
HEADINGS = ("answer", "bores", "first", "second", "limit", "verdict")
EXIT = "The exit code is that of the second list."


@dataclass(frozen=True, slots=True)
class Listed:
    """One of the two lists.

    Attributes
    ----------
    name : what the builder calls it: the engine and its file, or what was changed
    described, sections : the file, and what a check of it answers
    code : exit code of that check
    answers : the same over the doubt about its values; empty where there is none
    assumed : how many values are assumed, in words; empty where none is
    waits : whether answers are left out that wait for keys of the file
    """

    name: str
    described: Described
    sections: Sequence[Section]
    code: int = 0
    answers: Sequence[Doubtful] = ()
    assumed: str = ""
    waits: bool = False

    @property
    def bores(self) -> int:
        """How many bores it has."""
        return sum(len(bank) for bank in self.described.spec.engine.numbering.banks().values())


def amount_text(value: float, dimension: str, system: System) -> str:
    """A number of a check as the builder reads it."""
    if dimension == "ratio":
        return f"{value:.3f}"
    return show(value, dimension, system, fine=dimension in ("length", "angle"))


def answer_words(name: str) -> str:
    """An answer in words: ``deck``; of two features of a clearance ``rod bolt to bore wall``."""
    sides = name.split(" : ")
    return " to ".join(map(feature_words, sides)) if len(sides) == 2 else name


def as_answer(first: Listed, second: Listed) -> dict[str, Any]:
    """What ``check --against --json`` answers: numbers in house units, null where a list does not have it."""
    changes = changes_of(first, second)
    return {
        "first": first.name,
        "second": second.name,
        **(
            {"assumed": {"first": first.assumed, "second": second.assumed}}
            if first.assumed or second.assumed
            else {}
        ),
        "exit_code_of": "second",
        "differing": [_pair_as_json(pair) for pair in differing(first.described, second.described)],
        "answers": [_change_as_json(change) for change in changes if not change.same],
        "unchanged": sum(change.same for change in changes),
    }


def print_beside(first: Listed, second: Listed, system: System, everything: bool = False) -> int:
    """Print both lists side by side.

    Returns
    -------
    Exit code of the second list.
    """
    out = Terminal()
    for word, listed in (("first:  ", first), ("second: ", second)):
        out.say_headed(word, f"{listed.name}{f'; {listed.assumed}' if listed.assumed else ''}")
    out.say("")
    _print_keys(out, differing(first.described, second.described), system)
    out.say("")
    _print_changes(out, changes_of(first, second), second, system, everything)
    if first.waits or second.waits:
        out.say("What waits for keys that a file does not hold is left out: `fullturn check` says what for.")
    out.say("", f"The second list {state_words(second)}. {EXIT}", style="bold")
    return second.code


def changes_of(first: Listed, second: Listed) -> tuple[Changed, ...]:
    """What becomes of every answer from the first list to the second."""
    return beside(first.sections, second.sections, (first.answers, second.answers))


def state_words(listed: Listed) -> str:
    """How a list stands as a whole, in words."""
    if not listed.code:
        return f"has nothing outside its limit{' in what is answered' if listed.waits else ''}"
    certain = not listed.answers or any(
        one.settled == "outside" and one.severity == "stop" for one in listed.answers
    )
    return f"has {'something outside its limit' if certain else 'verdicts that are open within the doubt'}"


def _print_keys(out: Terminal, pairs: Sequence[Differing], system: System) -> None:
    if not pairs:
        out.say("The two lists have the same values.")
        return
    rows = [
        ((pair.key, _entered_text(pair.first, system), _entered_text(pair.second, system)), "")
        for pair in pairs
    ]
    out.table(("value", "first", "second"), rows, "What differs")


def _entered_text(entered: Entered | None, system: System) -> str:
    if entered is None:
        return "-"
    if not entered.dimension:
        value = entered.value
        return Path(value).name if isinstance(value, str) and "/" in value else as_toml(value).strip('"')
    text = amount_text(entered.value, entered.dimension, system)
    word = {"about": "about ", "filled": "by proportion "}.get(entered.origin, "")
    if entered.lowest == entered.highest:
        return word + text
    low, high = (amount_text(end, entered.dimension, system) for end in (entered.lowest, entered.highest))
    return f"{word}{text} ({low} to {high})"


def _print_changes(
    out: Terminal, changes: Sequence[Changed], second: Listed, system: System, everything: bool
) -> None:
    told = worth_telling(changes, system)
    turned = [change for change in told if change.turn != "moves"]
    moved = [change for change in told if change.turn == "moves"]
    shown = turned + (moved if everything else moved[:MOST_KEPT])
    print_answers(out, shown, second, system)
    more = len(told) - len(shown)
    if more:
        out.say(f"{more} more change and keep their verdict: --all prints them.")
    alike = len(changes) - len(told)
    out.say("1 answer stays as it is." if alike == 1 else f"{alike} answers stay as they are.")


def worth_telling(changes: Sequence[Changed], system: System) -> list[Changed]:
    """Those that change by what can be read, in the order given."""
    return [change for change in changes if not change.same and not _reads_the_same(change, system)]


def print_answers(out: Terminal, shown: Sequence[Changed], second: Listed, system: System) -> None:
    """Print a row for each answer that changes, and the sources of the limits under them."""
    sources: dict[str, int] = {}
    rows = [(cells_of(change, second.bores, system, sources), _style(change)) for change in shown]
    if rows:
        out.table(HEADINGS, rows, "What changes in the answers")
    out.say(*(f"  [{number}] {source}" for source, number in sources.items()), style="dim")
    if any(NOT_NEAR in cell for cells, _ in rows for cell in cells):
        out.say(f"  {NOT_NEAR}: {show(NEAR_MM, 'length', system)} apart or more.", style="dim")


def _reads_the_same(change: Changed, system: System) -> bool:
    """Whether it changes by less than the last digit that is shown, and keeps its verdict."""
    if change.first is None or change.second is None or change.turn in ("worse", "better"):
        return False
    one, other = (_value(change, standing, system) for standing in (change.first, change.second))
    return one == other and change.first.settled == change.second.settled


def cells_of(change: Changed, bores: int, system: System, sources: dict[str, int]) -> list[str]:
    """A row under ``HEADINGS``; ``sources`` gets the limits' sources, numbered as the row names them."""
    named = "all" if len(change.bores) == bores > 1 else ", ".join(map(str, change.bores)) or "-"
    return [
        answer_words(change.name),
        named,
        _value(change, change.first, system),
        _value(change, change.second, system),
        _limit(change, system, sources),
        verdict_words(change),
    ]


def _value(change: Changed, standing: AnswerStanding | None, system: System) -> str:
    if standing is None:
        return NOT_NEAR if " : " in change.name else "-"
    text = amount_text(standing.value, change.dimension, system)
    if standing.lowest is None or standing.highest is None or standing.lowest == standing.highest:
        return text
    low, high = (amount_text(end, change.dimension, system) for end in (standing.lowest, standing.highest))
    return f"{text} ({low} to {high})"


def _limit(change: Changed, system: System, sources: dict[str, int]) -> str:
    standing = change.second or change.first
    if standing is None or not standing.held:
        return "-"
    text = _bounds(standing, change.dimension, system)
    first = change.first
    if change.second is not None and first is not None and first.held:
        was = _bounds(first, change.dimension, system)
        text += f" (was {was})" if was != text else ""
    return f"{text} [{sources.setdefault(standing.source, len(sources) + 1)}]" if standing.source else text


def _bounds(standing: AnswerStanding, dimension: str, system: System) -> str:
    told = [
        f"{word} {amount_text(end, dimension, system)}"
        for word, end in (("at least", standing.least), ("at most", standing.most))
        if end is not None
    ]
    return ", ".join(told)


def verdict_words(change: Changed) -> str:
    """What becomes of the verdict: ``was within, is outside``."""
    one, other = change.first, change.second
    was, now = (_state(standing) for standing in (one, other))
    if one is None or other is None:
        missing = NOT_NEAR if " : " in change.name else "not there"
        was, now = was or missing, now or missing
        if missing == NOT_NEAR and change.turn == "moves":
            return "within"
    return f"was {was}, is {now}" if was != now else now


def _state(standing: AnswerStanding | None) -> str:
    if standing is None:
        return ""
    if not standing.held:
        return "no limit"
    words = {"within": "within", "open": "open", "outside": "outside"}[standing.state]
    if standing.settled in ("within", "outside"):
        words += " whatever the doubt"
    if standing.state != "within" and standing.gravity in ("look", "note"):
        words += ", worth a look" if standing.gravity == "look" else ", a note"
    return words


def _style(change: Changed) -> str:
    if change.turn == "better":
        return "green"
    standing = change.second
    return SEVERITY_STYLE.get(standing.gravity, "") if standing is not None and standing.gravity else ""


def _pair_as_json(pair: Differing) -> dict[str, Any]:
    def plain(entered: Entered | None) -> Any:
        if entered is None:
            return None
        if not entered.dimension:
            return entered.value
        return {
            "value": round(entered.value, 9), "lowest": round(entered.lowest, 9),
            "highest": round(entered.highest, 9), "origin": entered.origin,
        }  # fmt: skip

    dimension = next((e.dimension for e in (pair.first, pair.second) if e is not None and e.dimension), None)
    return {"key": pair.key, "dimension": dimension, "first": plain(pair.first), "second": plain(pair.second)}


def _change_as_json(change: Changed) -> dict[str, Any]:
    return {
        "section": change.section,
        "name": change.name,
        "bores": list(change.bores),
        "dimension": change.dimension,
        "first": standing_as_json(change.first),
        "second": standing_as_json(change.second),
        "turn": change.turn,
        "verdict": verdict_words(change),
    }


def standing_as_json(standing: AnswerStanding | None) -> dict[str, Any] | None:
    """Where an answer stands, in house units."""
    if standing is None:
        return None
    return {
        "value": round(standing.value, 6),
        "lowest": standing.lowest,
        "highest": standing.highest,
        "least": standing.least,
        "most": standing.most,
        "source": standing.source,
        "state": standing.state if standing.held else "no limit",
        "severity": standing.gravity,
    }
