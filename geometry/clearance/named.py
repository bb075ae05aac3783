"""Pairs of places by what a person calls them: as the file names them, or in the words of the table."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np

from geometry.clearance.pairs import Pair
from geometry.clearance.place import Place
from geometry.clearance.words import feature_words, place_words, short_words
from geometry.collision.distance_curve import distance_curve
from geometry.errors import refused

COARSE_DEG: Final = 15.0
_WORD: Final = re.compile(r"[\w.]+")


def typed_name(places: Iterable[Place], text: str, option: str) -> str:
    """A place as a person calls it, as ``called`` takes it: its feature, then what tells it from others of the kind.

    What is written is a feature (``rod_bolt 3``), or words of the table with or without bore and side: ``rod bolt
    head``, ``Bore wall, bore 2``.

    Raises
    ------
    InputError
        Nothing is called so, or several kinds of places are.
    """
    known = list(places)
    if text.lower().split()[0] in {place.feature for place in known}:
        return text
    words = _words(text)
    found: set[str] = set()
    for so_called in (_begins, _within_name, _within):
        found = found or {place.feature for place in known if so_called(place, words)}
    if len(found) == 1:
        return " ".join((found.pop(), *words))
    if not found:
        kinds = ", ".join(sorted({feature_words(place.feature) for place in known}))
        raise refused(option, text, "no place is called so", f"places are: {kinds}")
    meant = (place for place in known if place.feature in found and _within(place, words))
    choices = ", ".join(sorted({_kind_words(place) for place in meant}))
    raise refused(option, text, "may be several places", f"one of: {choices}")


def nearest_named(pairs: Sequence[Pair], first: str, second: str) -> Pair | None:
    """The pair of two places that comes nearest over a turn; None where no pair is called so.

    Parameters
    ----------
    first, second : as ``typed_name`` gives them: ``rod_bolt 3``, ``pan_rail``
    """
    found = [
        pair
        for pair in pairs
        if (called(pair.a, first) and called(pair.b, second))
        or (called(pair.b, first) and called(pair.a, second))
    ]
    coarse = np.arange(0.0, 360.0, COARSE_DEG)
    return min(
        found, key=lambda p: float(np.min(distance_curve(p.a, p.b, coarse, 0.1).distance_mm)), default=None
    )


def called(place: Place, typed: str) -> bool:
    """Whether a place is called so: its feature, and all further words those of its name, place or body."""
    name, *rest = typed.lower().split()
    return name == place.feature and _within(place, _words(" ".join(rest)))


def _words(text: str) -> list[str]:
    """The words of a text, without commas and brackets, in small letters."""
    return _WORD.findall(text.lower())


def _begins(place: Place, words: Sequence[str]) -> bool:
    """Whether words are the short name of a place, with or without more of what it is called."""
    short = _words(short_words(place).split(", bore ")[0])
    return list(words[: len(short)]) == short and _within(place, words)


def _within_name(place: Place, words: Sequence[str]) -> bool:
    """Whether words are all in the name of a place, in any order."""
    return set(words) <= set(_words(place_words(place)))


def _within(place: Place, words: Sequence[str]) -> bool:
    """Whether words are all in the name of a place, or in what its feature and its body are called in the program."""
    more = f"{place.body.name} {place.place} {place.feature.replace('_', ' ')}"
    return set(words) <= {*_words(place_words(place)), *_words(more)}


def _kind_words(place: Place) -> str:
    """What a place is, of whichever bore, cheek or main bearing."""
    return re.sub(r",? (bore |main )?\d+", "", short_words(place))
