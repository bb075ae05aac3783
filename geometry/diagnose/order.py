"""What is in the engine by the time that trouble begins: pistons go in, and caps are tightened, one after another.

What goes in later cannot be the cause, and what went in before was fine until then. That holds while the engine is put
together; of one that has run, everything is in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final, Literal, TypeAlias

from geometry.diagnose.candidates import Candidate
from geometry.diagnose.felt import Felt
from geometry.errors import refused
from geometry.record.model import Record
from geometry.record.place import BenchPlace

OrderIs: TypeAlias = Literal["given", "record", "numbers"]
TIGHTENED: Final = (
    "bolt.major.torque", "bolt.minor.torque", "bolt.major.stretch", "bolt.minor.stretch",
)  # fmt: skip
"""Entries of a build record that tell when a rod was closed."""


@dataclass(frozen=True, slots=True)
class Orders:
    """In which order things went in.

    Attributes
    ----------
    bores, mains : pistons, and main caps; empty: by number
    bores_are : who says so of the bores
    """

    bores: tuple[int, ...] = ()
    mains: tuple[int, ...] = ()
    bores_are: OrderIs = "numbers"


@dataclass(frozen=True, slots=True)
class NotYet:
    """What was not in, or not tight, when it began.

    Attributes
    ----------
    bores, mains : their numbers, in the order in which they go in; empty where everything was in
    no_piston : whether the crank was turned in its mains alone
    """

    bores: tuple[int, ...] = ()
    mains: tuple[int, ...] = ()
    no_piston: bool = False

    def could_be(self, candidate: Candidate) -> bool:
        """Whether a mistake could be felt by then: one of its places must be in."""
        later = self.mains if candidate.where == "main" else self.bores
        return not set(candidate.places) <= set(later)


def not_yet(felt: Felt, bores: int, mains: int) -> NotYet:
    """What goes in after the bore, or main bearing, after which it began.

    Parameters
    ----------
    felt : observations; its orders, where they are empty, are by the builder's numbers, and from the front
    bores, mains : how many the engine has
    """
    every = felt.order or tuple(range(1, bores + 1))
    if felt.ran:
        return NotYet()
    if felt.after_main is not None:
        # The crank is turned in its mains before the first rod goes on.
        later = _after(felt.after_main, felt.main_order or tuple(range(1, mains + 1)))
        return NotYet(_without(every, felt), later, True)
    if felt.after_bore is not None:
        return NotYet(_without(_after(felt.after_bore, every), felt))
    return NotYet()


def _without(later: tuple[int, ...], felt: Felt) -> tuple[int, ...]:
    """Less those that must be in, because something is told of them."""
    return tuple(bore for bore in later if bore not in felt.faults_in)


def _after(last: int, order: tuple[int, ...]) -> tuple[int, ...]:
    return order[order.index(last) + 1 :] if last in order else ()


def read_order(option: str, text: str, numbers: Sequence[int], what: str) -> tuple[int, ...]:
    """``1,3,5,7,2,4,6,8`` to an order of all of these numbers; what is left out comes last, by number.

    Parameters
    ----------
    option, what : who is told, and what the numbers count, where it is no such order

    Raises
    ------
    InputError : it is not a list of such numbers, or names one twice
    """
    right = f"write for example {','.join(map(str, sorted(numbers)))}"
    parts = [part.strip() for part in text.replace(";", ",").split(",")]
    if not all(part.isascii() and part.isdigit() and len(part) <= 4 for part in parts):
        raise refused(option, text, f"is not a list of {what}s", right)
    told = [int(part) for part in parts]
    unknown = [number for number in told if number not in numbers]
    if unknown:
        raise refused(option, text, f"there is no {what} {unknown[0]}", right)
    if len(set(told)) < len(told):
        twice = next(number for number in told if told.count(number) > 1)
        raise refused(option, text, f"names {what} {twice} twice", right)
    return (*told, *(number for number in sorted(numbers) if number not in told))


def recorded_order(record: Record, bores: Sequence[int]) -> tuple[int, ...]:
    """The order in which a build record says that the rods were closed; empty where it does not say it of every bore.

    Rods of one day stand in the order of their numbers.
    """
    closed: dict[int, date] = {}
    for bore in sorted(bores):
        entries = (record.entry(BenchPlace("bore", bore), path) for path in TIGHTENED)
        days = [entry.on for entry in entries if entry is not None and entry.on is not None]
        if not days:
            return ()
        closed[bore] = max(days)
    return tuple(sorted(closed, key=lambda bore: (closed[bore], bore)))
