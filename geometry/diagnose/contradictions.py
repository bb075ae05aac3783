"""What cannot all be true of one engine: named two by two, and settled where one of the two is the more exact."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import permutations
from typing import Any, Final

from geometry.diagnose.felt import Felt
from geometry.diagnose.likelihood import HIGH_SD_MM, LATE_SD_DEG
from geometry.errors import InputError, Problem

FAR_SD: Final = 6.0
"""Two readings of one thing that lie farther apart than so many spreads are not of one thing."""


@dataclass(frozen=True, slots=True)
class Saying:
    """One thing that was said: as it was said, and what it means."""

    words: str
    felt: Felt


@dataclass(frozen=True, slots=True)
class SetAside:
    """Two things that cannot both be, of which one is asked.

    Attributes
    ----------
    kept, dropped : as they were said
    why : why they cannot both be
    """

    kept: str
    dropped: str
    why: str

    @property
    def text(self) -> str:
        """In words."""
        return (
            f'Contradiction: "{self.kept}" and "{self.dropped}" cannot both be: {self.why}. '
            f'"{self.dropped}" is set aside.'
        )


@dataclass(frozen=True, slots=True)
class _Rule:
    """Two things that cannot both be.

    Attributes
    ----------
    clash : whether the first of two contradicts the second
    why : why
    loses : fields of the second that are set aside, with what stands in for them; empty: neither is the more exact
    cold : nothing is said where the engine is free cold and something else when it is hot
    """

    clash: Callable[[Felt, Felt], bool]
    why: str
    loses: tuple[tuple[str, Any], ...] = ()
    cold: bool = False


def _far(one: Sequence[tuple[int, float]], other: Sequence[tuple[int, float]], spread: float) -> bool:
    mine = dict(one)
    return any(bore in mine and abs(mine[bore] - value) > FAR_SD * spread for bore, value in other)


_NOT_BOUND = (("bound", False),)
_RULES: Final = (
    _Rule(lambda a, b: a.head_on is True and b.head_on is False, "the head is on or off"),
    _Rule(
        lambda a, b: bool({*a.no_side_play} & {*b.side_play_good}),
        "a feeler blade goes in or does not; try it again and say the one that is so",
    ),
    _Rule(lambda a, b: a.free and b.bound, "the crank turns freely or does not turn", cold=True),
    _Rule(lambda a, b: a.free and b.heavy, "the crank turns freely or heavily", cold=True),
    _Rule(lambda a, b: a.period_deg == 360.0 and b.period_deg == 720.0, "it comes in every turn or in every second"),
    _Rule(
        lambda a, b: _far(a.top_late_deg, b.top_late_deg, LATE_SD_DEG),
        "two readings of one top dead centre; take it again",
    ),
    _Rule(lambda a, b: _far(a.high_mm, b.high_mm, HIGH_SD_MM), "two readings of one crown; take it again"),
    _Rule(lambda a, b: a.stops and b.free, "where it stops it is not free", (("free", False),), cold=True),
    _Rule(lambda a, b: a.stops and b.bound, "a crank that is bound does not turn as far as that", _NOT_BOUND),
    _Rule(
        lambda a, b: bool(a.torque_nm or a.clicks_deg) and b.bound,
        "that is told of a crank that turns, and one that is bound does not",
        _NOT_BOUND,
    ),
    _Rule(
        lambda a, b: a.period_deg is not None and b.bound,
        "what comes once a turn is told of a crank that turns",
        (("bound", False), ("in_places", True)),
    ),
    _Rule(lambda a, b: a.bound and b.heavy, "a crank that turns heavily is not bound", (("heavy", False),)),
)  # fmt: skip


def settled(
    told: Sequence[Saying], half_speed: bool, order: Sequence[int] = (), main_order: Sequence[int] = ()
) -> tuple[Felt, tuple[SetAside, ...]]:
    """Everything that was said together, and what of it had to be set aside.

    Parameters
    ----------
    told : one by one
    half_speed : whether something that turns at half speed stays in the engine with the head off: its cam
    order, main_order : in which the pistons went in and the main caps were tightened; empty: by number

    Raises
    ------
    InputError : two of them cannot both be, and neither is the more exact
    """
    told = list(told)
    aside, impossible = _clashes(told)
    if impossible:
        raise InputError(impossible)
    aside += [*_without_head(told, half_speed), *_later_beginnings(told, (order, main_order))]
    felt = Felt(order=tuple(order), main_order=tuple(main_order))
    for one in told:
        felt = felt.joined(one.felt)
    return felt, tuple(aside)


def _clashes(told: list[Saying]) -> tuple[list[SetAside], list[Problem]]:
    """What the rules say; what loses is taken out of ``told``."""
    aside, impossible = [], []
    hot = any(one.felt.when_hot for one in told)
    for rule in _RULES:
        if hot and rule.cold:
            continue
        for i, j in permutations(range(len(told)), 2):
            if not rule.clash(told[i].felt, told[j].felt):
                continue
            if rule.loses:
                aside.append(SetAside(told[i].words, told[j].words, rule.why))
                told[j] = Saying(told[j].words, replace(told[j].felt, **dict(rule.loses)))
            else:
                both = f'"{told[min(i, j)].words}" and "{told[max(i, j)].words}"'
                impossible.append(Problem("--felt", None, both, "cannot both be", rule.why))
    return aside, list(dict.fromkeys(impossible))


def _later_beginnings(told: list[Saying], orders: tuple[Sequence[int], Sequence[int]]) -> Iterator[SetAside]:
    """Of several beginnings the first is asked: mains come before bores, and each by its order."""

    def when(k: int) -> tuple[int, int]:
        felt = told[k].felt
        main = felt.after_main is not None
        number = felt.after_main if main else felt.after_bore
        order = orders[1 if main else 0]
        assert number is not None
        return (0 if main else 1), (list(order).index(number) if number in order else number)

    begun = [
        k for k, one in enumerate(told) if one.felt.after_main is not None or one.felt.after_bore is not None
    ]
    begun.sort(key=when)
    for k in begun[1:]:
        if when(k) != when(begun[0]):
            why = "trouble begins once; ask of the first, put it right, then ask of the other"
            yield SetAside(told[begun[0]].words, told[k].words, why)
            told[k] = Saying(told[k].words, replace(told[k].felt, after_bore=None, after_main=None))


def _without_head(told: list[Saying], half_speed: bool) -> Iterator[SetAside]:
    """With the head off and no cam in the block nothing turns at half speed; turns are easily miscounted."""
    off = next((one.words for one in told if one.felt.head_on is False), None)
    if off is None or half_speed:
        return
    for k, one in enumerate(told):
        if one.felt.period_deg == 720.0:
            told[k] = Saying(one.words, replace(one.felt, period_deg=None))
            yield SetAside(off, one.words, "with the head off nothing in this engine turns at half speed")
