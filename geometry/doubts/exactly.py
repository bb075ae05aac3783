"""Some answers worked out exactly at a point of the box: only the checks and the pairs that they are about."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from geometry.assembly import Assembly
from geometry.checks.section import checks
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
    try:
        assembly = box.assembly_at(point)
        found = {**_figures(assembly, wanted), **_clearances(assembly, wanted)}
    except (GeometryError, InputError, ValueError, ArithmeticError):
        return [NOWHERE] * len(wanted)
    return [found.get(_key(answer), NOWHERE) for answer in wanted]


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
    named = list(_named(listed(assembly), names))
    pairs = [pair for _, pair in named]
    found = certify_all(
        [(pair.a, pair.b) for pair in pairs], [pair.period_deg for pair in pairs], memory=Memory()
    )
    margins: dict[_Key, float] = {}
    for ((name, bore), pair), approach in zip(named, found, strict=True):
        margin = approach.min_mm - limit_for(assembly.spec, pair.limit).least_mm
        key = (CLEARANCES, name, bore)
        margins[key] = min(margin, margins.get(key, margin))
    return margins


def _named(
    listing: Listing, names: set[tuple[str, int | None]]
) -> Iterator[tuple[tuple[str, int | None], Pair]]:
    """The pairs that could meet and are called so, with their names as the table of clearances has them."""
    first = {name.split(" : ")[0] for name, _ in names}
    words = [place_words(place) for place in listing.places]
    for row, (i, j) in enumerate(listing.wanted.tolist()):
        if words[i] not in first and words[j] not in first:
            continue
        pair = listing.pair(row)
        a, b = ordered(pair)
        bore = bore_of(a) if bore_of(a) is not None else bore_of(b)
        name = (f"{place_words(a)} : {place_words(b, a)}", bore)
        if name in names:
            yield name, pair
