"""Some answers worked out exactly at a point of the box: only the checks and the pairs that they are about."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from geometry.assembly import Assembly, assemble
from geometry.checks.clearances import meeting_of
from geometry.checks.section import Check, checks
from geometry.clearance.limits import limit_for
from geometry.clearance.pairs import Listing, Pair, listed
from geometry.clearance.words import bore_of, ordered, place_words
from geometry.collision.certify import Memory, certify_all
from geometry.doubts.answers import Doubtful
from geometry.doubts.box import DoubtBox
from geometry.errors import GeometryError, InputError

CLEARANCES = "clearances"
NOWHERE = float("-inf")
"""The margin of an answer where nothing can be put together."""


def margins_at(box: DoubtBox, point: Mapping[str, float], wanted: Sequence[Doubtful]) -> list[float]:
    """The margins of some answers with values within their doubt, in their house units.

    Parameters
    ----------
    point : values by key of what differs from nominal
    wanted : answers that are held to a limit

    Returns
    -------
    In the order of ``wanted``; minus infinity where the engine cannot be put together or the answer is not to be had.
    """
    kinds: set[str] | None = {kind for check in checks() if _asks(check, wanted) for kind in check.bodies}
    if any(answer.section == CLEARANCES for answer in wanted):
        kinds = None
    try:
        assembly = assemble(box.spec_at(point), box.built_at(point), kinds)
        found = {**_figures(assembly, wanted), **_clearances(assembly, wanted)}
    except (GeometryError, InputError, ValueError, ArithmeticError):
        return [NOWHERE] * len(wanted)
    return [found.get(_key(answer), NOWHERE) for answer in wanted]


def dear_sections() -> frozenset[str]:
    """Sections whose answers take long: those that need bodies."""
    return frozenset({CLEARANCES, *(check.key for check in checks() if check.bodies)})


def _asks(check: Check, wanted: Sequence[Doubtful]) -> bool:
    return any(answer.section == check.key for answer in wanted)


_Key = tuple[str, str, int | None]


def _key(answer: Doubtful) -> _Key:
    return answer.section, answer.name, answer.bore


def _figures(assembly: Assembly, wanted: Sequence[Doubtful]) -> dict[_Key, float]:
    """Margins of figures that need no certified distance."""
    found: dict[_Key, float] = {}
    for check in checks():
        asked = [answer for answer in wanted if answer.section == check.key]
        if not asked or check.figures is None:
            continue
        bores = {answer.bore for answer in asked}
        only = None if None in bores else sorted(bore for bore in bores if bore is not None)
        for figure in check.figures(assembly, only):
            if figure.margin is not None:
                found[check.key, figure.name, figure.bore] = figure.margin
    return found


def _clearances(assembly: Assembly, wanted: Sequence[Doubtful]) -> dict[_Key, float]:
    """Margins of certified distances; of several places of one name the least."""
    names = {(answer.name, answer.bore) for answer in wanted if answer.section == CLEARANCES}
    if not names:
        return {}
    meetings = _meetings(listed(assembly), names)
    pairs = [pair for found in meetings.values() for pair in found]
    certified = certify_all(
        [(pair.a, pair.b) for pair in pairs], [pair.period_deg for pair in pairs], memory=Memory()
    )
    spare = {
        id(pair): approach.min_mm - limit_for(assembly.spec, pair.limit).least_mm
        for pair, approach in zip(pairs, certified, strict=True)
    }
    return {
        (CLEARANCES, name, bore): min(spare[id(pair)] for pair in found)
        for (name, bore), found in meetings.items()
    }


def _meetings(
    listing: Listing, names: set[tuple[str, int | None]]
) -> dict[tuple[str, int | None], list[Pair]]:
    """By answer, all pairs that its row of the table is the nearest of."""
    features = {place.feature for place in listing.places for name, _ in names if place_words(place) in name}
    called: dict[tuple[object, ...], tuple[str, int | None]] = {}
    members: dict[tuple[object, ...], list[Pair]] = {}
    for row, (i, j) in enumerate(listing.wanted.tolist()):
        if listing.places[i].feature not in features and listing.places[j].feature not in features:
            continue
        pair = listing.pair(row)
        meeting = meeting_of(pair)
        members.setdefault(meeting, []).append(pair)
        a, b = ordered(pair)
        name = f"{place_words(a)} : {place_words(b)}", bore_of(a) if bore_of(a) is not None else bore_of(b)
        if name in names:
            called[meeting] = name
    return {name: members[meeting] for meeting, name in called.items()}
