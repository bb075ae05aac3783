"""A diagnosis in the terminal, and as one JSON object."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from geometry.diagnose.contradictions import SetAside
from geometry.diagnose.order import OrderIs, Orders
from geometry.diagnose.ranking import Cause, Diagnosis
from viewer.cautions import LINES
from viewer.reports.mistake import RESTS
from viewer.terminal import Terminal

LOOKS_SHOWN = 4
HARDLY = 0.005
ORDER_WORDS: Final[dict[OrderIs, str]] = {
    "given": "in the order given",
    "record": "in the order in which the record says the rods were closed",
    "numbers": "by number",
}
NOISE = (
    "Chances rest on a noise model of our own (angles read to 5°, one observation in twelve wrong) and equal first "
    "chances for every mistake in every bore: an order of looking, not a verdict."
)


def percent(chance: float) -> str:
    """A chance in whole percent."""
    return f"{100 * chance:.0f} %" if chance >= HARDLY else "< 1 %"


@dataclass(frozen=True, slots=True)
class Taken:
    """How what was said was taken.

    Attributes
    ----------
    aside : what contradicts something else and was set aside
    orders : in which order things went in
    """

    aside: tuple[SetAside, ...] = ()
    orders: Orders = field(default_factory=Orders)


def not_asked(found: Diagnosis, orders: Orders, options: bool = True) -> str:
    """What was not in yet and was not asked, and by which order; empty where everything was in.

    Parameters
    ----------
    options : whether there are options of the command line to tell another order by
    """
    said = []
    if found.later.mains:
        order = "in the order given" if orders.mains else "from the front"
        said.append(f"{_numbered('main bearing', found.later.mains)} ({order})")
    if found.later.bores:
        known = "no piston is in yet" if found.later.no_piston else ORDER_WORDS[orders.bores_are]
        said.append(f"{_numbered('bore', found.later.bores)} ({known})")
    if not said:
        return ""
    by_number = not (orders.mains if found.later.no_piston else orders.bores)
    option = "--main-order 3,2,4, and so on." if found.later.no_piston else "--order 1,3,5, and so on."
    other = f" If they went in otherwise, say {option}" if options and by_number else ""
    return f"Not in yet when it began, so not the cause: {'; '.join(said)}.{other}"


def _numbered(word: str, numbers: Sequence[int]) -> str:
    *most, last = map(str, numbers)
    return f"{word}s {', '.join(most)} and {last}" if most else f"{word} {last}"


def print_diagnosis(
    engine: str, found: Diagnosis, first: int, assumed: str = "", taken: Taken | None = None
) -> None:
    """Causes with their evidence, then what to look at next.

    Parameters
    ----------
    assumed : how many values of the engine are assumed, in words; empty where none is
    taken : how what was said was taken
    """
    out, taken = Terminal(), taken or Taken()
    out.say(*(one.text for one in taken.aside))
    if assumed:
        out.say(assumed)
    out.say(f"{engine}: what it could be", style="bold")
    later = not_asked(found, taken.orders)
    if later:
        out.say(later)
    for number, alike in enumerate(found.alike[:first], 1):
        cause = alike.causes[0]
        out.say("")
        each = " each" if len(alike.causes) > 1 else ""
        out.say(f"{number}. {percent(cause.chance):>5}{each}  {alike.name}", style="bold")
        out.say(*(f"          for      {entry.text}" for entry in cause.speaks_for))
        out.say(*(f"          against  {entry.text}" for entry in cause.speaks_against))
    out.say("")
    out.say(f"Something not in the catalogue: {percent(found.unlisted)}")
    telling = [look for look in found.looks if look.bits >= 0.01][:LOOKS_SHOWN]
    if telling:
        out.say("")
        out.say("Look next, the most telling per minute first", style="bold")
        for look in telling:
            name = f"{look.look}:{look.place}"
            out.say(f"  {look.minutes:3.0f} min  {name:14}{look.words}")
        out.say("  If one shows nothing, ask again with --looked and its name.", style="dim")
    out.say("")
    out.say(NOISE, *([RESTS] if assumed else []), *LINES, style="dim")


def answer(found: Diagnosis, first: int, taken: Taken | None = None) -> dict[str, Any]:
    """What ``diagnose --json`` answers: causes, evidence, next looks."""
    taken = taken or Taken()
    return {
        "contradictions": [
            {"kept": one.kept, "set_aside": one.dropped, "text": one.text} for one in taken.aside
        ],
        "not_in_yet": {
            "bores": list(found.later.bores), "mains": list(found.later.mains),
            "order": list(taken.orders.bores), "order_is": taken.orders.bores_are,
        },
        "causes": [_cause(cause) for cause in found.causes[:first]],
        "alike": [
            {
                "name": alike.name, "chance_of_each": round(alike.causes[0].chance, 6),
                "chance_together": round(alike.chance, 6), "mistakes": [part.key for part in alike.causes[0].parts],
                "places": [[list(part.places) for part in cause.parts] for cause in alike.causes],
                "everywhere": alike.everywhere,
            }
            for alike in found.alike[:first]
        ],
        "unlisted": round(found.unlisted, 6),
        "looks": [
            {
                "look": look.look, "place": look.place, "words": look.words, "minutes": look.minutes,
                "bits": round(look.bits, 4), "bits_per_minute": round(look.bits_per_minute, 5),
            }
            for look in found.looks[: 2 * LOOKS_SHOWN]
        ],
        "notes": [NOISE],
    }  # fmt: skip


def _cause(cause: Cause) -> dict[str, Any]:
    return {
        "name": cause.name,
        "chance": round(cause.chance, 6),
        "weight": round(cause.weight, 4),
        "parts": [
            {
                "mistake": part.key, part.where: part.place, "places": list(part.places), "felt": part.felt,
                "look_for": part.look_for, "remedy": part.remedy, "recorded": part.recorded,
            }
            for part in cause.parts
        ],
        "for": [{"text": entry.text, "weight": round(entry.weight, 4)} for entry in cause.speaks_for],
        "against": [{"text": entry.text, "weight": round(entry.weight, 4)} for entry in cause.speaks_against],
    }  # fmt: skip
