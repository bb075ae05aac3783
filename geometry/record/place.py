"""Places on an engine that entries belong to, and their sides in the builder's words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import chain
from typing import Final

from geometry.errors import refused
from geometry.kinematics.layout import build_layout
from geometry.spec.clashes.rule import rods_per_throw
from geometry.spec.engine import Engine

KINDS: Final = ("bore", "main", "crank")
EVERY: Final = ("all", "every")
"""Instead of the numbers of places."""


def bore_numbers(engine: Engine) -> tuple[int, ...]:
    """List the builder's bore numbers, ascending."""
    return tuple(sorted(number for bank in engine.engine.numbering.banks().values() for number in bank))


def main_numbers(engine: Engine) -> tuple[int, ...]:
    """List the main bearings from the front, from 1: one more than there are throws."""
    return tuple(range(1, len(bore_numbers(engine)) // rods_per_throw(engine) + 2))


@dataclass(frozen=True, slots=True)
class BenchPlace:
    """A part of the engine that entries belong to.

    Attributes
    ----------
    kind : ``bore``, ``main`` or ``crank``
    number : the builder's bore number, or the main bearing from the front; None for the crank
    """

    kind: str
    number: int | None = None

    @property
    def words(self) -> str:
        """As a builder says it: ``bore 3``."""
        return self.kind if self.number is None else f"{self.kind} {self.number}"

    @property
    def keys(self) -> tuple[str, ...]:
        """The path of its table in the file."""
        return (self.kind,) if self.number is None else (self.kind, str(self.number))


def read_place(engine: Engine, text: str) -> BenchPlace:
    """Read ``bore 3``, ``main 2`` or ``crank``.

    Raises
    ------
    InputError : no such place on this engine
    """
    found = re.fullmatch(r"\s*([A-Za-z]*)\s*(\d{1,3})?\s*", text)
    kind = found[1].lower() if found else ""
    number = int(found[2]) if found and found[2] else None
    if kind == "crank" and number is None:
        return BenchPlace("crank")
    known = {"bore": bore_numbers(engine), "main": main_numbers(engine)}
    if kind in known and number in known[kind]:
        return BenchPlace(kind, number)
    if kind in known:
        shown = ", ".join(map(str, known[kind]))
        what = f"there is no {kind} {number}" if number is not None else f"which {kind} is not said"
        raise refused("", text.strip(), what, f"this engine has {kind} {shown}")
    near = get_close_matches(kind, KINDS, 1, 0.5)
    right = f"did you mean {near[0]}?" if near else f"write bore {known['bore'][0]}, main 1 or crank"
    raise refused("", text.strip(), "is not a place on this engine", right)


def read_places(engine: Engine, text: str) -> tuple[BenchPlace, ...]:
    """Read one place or several: ``bore 3``, ``bore 1-8``, ``bore 1,3,5-8``, ``main all``, ``crank``.

    Returns
    -------
    In the order given, each once.

    Raises
    ------
    InputError : something of it is no place on this engine
    """
    found = re.fullmatch(r"\s*(bore|main)s?\s+(\S.*?)\s*", text, re.IGNORECASE)
    if found is None or re.fullmatch(r"\d{1,3}", found[2]):
        return (read_place(engine, re.sub(r"(?i)\b(bore|main)s\b", r"\1", text)),)
    kind, said = found[1].lower(), found[2].lower()
    known = bore_numbers(engine) if kind == "bore" else main_numbers(engine)
    if said in EVERY:
        return tuple(BenchPlace(kind, number) for number in known)
    numbers = list(dict.fromkeys(chain.from_iterable(_range(text, part) for part in _parts(said))))
    unknown = [str(number) for number in numbers if number not in known]
    if unknown:
        shown = ", ".join(map(str, known))
        what = f"there is no {kind} {' or '.join(filter(None, (', '.join(unknown[:-1]), unknown[-1])))}"
        raise refused("", text.strip(), what, f"this engine has {kind} {shown}")
    return tuple(BenchPlace(kind, number) for number in numbers)


def is_of_place(word: str) -> bool:
    """Whether a word, as the shell cuts them, still says at which places: ``1-8``, ``1,3``, ``all``."""
    return re.fullmatch(r"[\d,\-\u2013]+|to|and|all|every", word.lower()) is not None


def _parts(said: str) -> list[str]:
    """What a list of numbers and ranges is made of."""
    joined = re.sub(r"\s*(?:[-\u2013]|\bto\b)\s*", "-", said)
    return [part for part in re.split(r"\s*(?:,|\band\b|\s)\s*", joined) if part]


def _range(text: str, part: str) -> range:
    found = re.fullmatch(r"(\d{1,3})(?:-(\d{1,3}))?", part)
    if found is None:
        right = "write a number, a range or both, for example 3 or 1-4 or 1,3,5-8, or all"
        raise refused("", text.strip(), f"{part} is not a number of a place", right)
    first, last = int(found[1]), int(found[2] or found[1])
    if last < first:
        raise refused("", text.strip(), f"{part} runs backwards", f"write {last}-{first}")
    return range(first, last + 1)


def bolt_sides(engine: Engine, bore: int) -> tuple[str, str]:
    """Name the side of the major and of the minor thrust face of a bore: ``("inboard", "outboard")``."""
    site = build_layout(engine).site(bore)
    return site.side("major"), site.side("minor")
