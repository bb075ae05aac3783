"""Where an engine was put together otherwise than designed, and how that is put right: the cures of assembly.

A clearance that is lost through the way in which parts went together comes back by putting them right, and by no other
part: whether it does is tried on the engine (``trials``), never read off the names of the two places.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from typing import Final

from geometry.assembly import Assembly
from geometry.built import AS_DESIGNED, BoreBuild, Built, built_linkage

_AS_DESIGNED: Final = BoreBuild()
_FROM: Final = ("piston_from", "rod_from", "cap_from")

OF_A_BORE: Final[dict[str, str]] = {
    "bolt_out_mm": "seat the rod bolts of bore {n}: clean seat and thread, look for a burr, tighten them again",
    "bolt_longer_mm": "rod bolts of the right length in bore {n}",
    "rod_turned": "turn the rod of bore {n} together with its cap: large chamfer to the cheek",
    "cap_turned": "turn the rod cap of bore {n} round on its rod",
    "cap_from": "put each rod cap on its own rod: that of bore {other} is in bore {n}",
    "rod_from": "put each rod in its own bore: that of bore {other} is in bore {n}",
    "piston_turned": "turn the piston of bore {n} round on its rod: front mark to the front",
    "piston_from": "put each piston in its own bore: that of bore {other} is in bore {n}",
    "rod_length_change_mm": "a rod of the right length in bore {n}",
    "compression_height_change_mm": "a piston of the right compression height in bore {n}",
    "shell_proud_mm": "seat the bearing shells of bore {n}, each tang in its notch",
    "rings_exchanged": "put each ring of bore {n} in its own groove",
}
"""By the field of ``BoreBuild`` that departs from the design: what puts it right, an order. The least work first."""
MAIN_TURNED: Final = "main_cap_turned"
MAIN_ORDER: Final = "main_cap_order"


@dataclass(frozen=True, slots=True)
class Departure:
    """One thing that was put together otherwise than designed.

    Attributes
    ----------
    field : of ``BoreBuild``, or of ``Built`` for main caps
    number : the builder's bore, or the main bearing from the front
    cure : what puts it right, an order
    """

    field: str
    number: int
    cure: str


def departures(built: Built, bores: Sequence[int], mains: Sequence[int] = ()) -> Iterator[Departure]:
    """What departs from the design in some bores and at some main bearings, the least work first."""
    for field, words in OF_A_BORE.items():
        for bore in bores:
            found = getattr(built.bore(bore), field)
            if found != getattr(_AS_DESIGNED, field) and not (field in _FROM and found == bore):
                yield Departure(field, bore, words.format(n=bore, other=found))
    for main in mains:
        if main in built.main_cap_turned:
            yield Departure(MAIN_TURNED, main, f"turn main cap {main} round")
        order = built.main_cap_order
        if order is not None and order[main - 1] != main:
            yield Departure(
                MAIN_ORDER, main, f"put each main cap on its own bearing: main {main} has another's"
            )


def put_right(built: Built, wrong: Sequence[Departure]) -> Built:
    """The build with some things put right; parts that changed places go back in both bores."""
    for one in wrong:
        if one.field == MAIN_TURNED:
            kept = tuple(main for main in built.main_cap_turned if main != one.number)
            built = replace(built, main_cap_turned=kept)
        elif one.field == MAIN_ORDER:
            built = replace(built, main_cap_order=AS_DESIGNED.main_cap_order)
        else:
            other = getattr(built.bore(one.number), one.field) if one.field in _FROM else None
            back = {one.field: getattr(_AS_DESIGNED, one.field)}
            for bore in chain((one.number,), () if other is None else (other,)):
                if bore in built.bores:
                    built = built.with_bore(bore, **back)
    return built


def cure_of(assembly: Assembly, bores: Sequence[int], keeps: Callable[[Assembly], bool]) -> str:
    """What puts a figure right that is outside through the way in which parts were put together; empty where it is not.

    Parameters
    ----------
    assembly : as it was put together; the figure is outside there
    bores : where it may come from
    keeps : whether a figure is within its limit in an engine of which only layout, motion and build are asked
    """
    wrong = tuple(departures(assembly.built, bores))
    for tried in (*((one,) for one in wrong), wrong):
        built = put_right(assembly.built, tried)
        right = replace(assembly, built=built, linkage=built_linkage(assembly.layout, built))
        if tried and keeps(right):
            return "; and ".join(one.cure for one in tried)
    return ""
