"""One place that a picture must point at, and the order of several."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from geometry.checks.section import SEVERITY_WORDS, Nearby, Severity

TroubleKind: TypeAlias = Literal["clearance", "ring", "rod", "bolt", "bearing", "piston", "crank", "reading"]
Point: TypeAlias = tuple[float, float, float]
_GRAVEST: Final = tuple(SEVERITY_WORDS)
_NEAREST: Final[tuple[Nearby, ...]] = ("overlaps", "touches", "close", "clear")


@dataclass(frozen=True, slots=True)
class TroubleSpot:
    """One place to look at.

    Attributes
    ----------
    kind : what family of thing is wrong
    group : name shared by like places (the same pair of parts in every bore), by which a list groups them
    severity : ``stop`` outside its limit, ``look`` worth a second look, ``note`` within
    nearby : how it is marked
    bore : the builder's number, None where it is no matter of one bore
    main : of the main bearing from the front, None where it is no matter of one
    crank_deg : engine crank degrees at which it shows; None where any angle will do
    bodies : names of the parts concerned, the first the one to do something about
    a_mm, b_mm : ends of the dimension in the engine frame at that angle; only ``b_mm`` where words alone stand there
    value, limit, margin : in the house unit of ``dimension``, margin below zero outside; None where there is none
    dimension : a key of ``units.DIMENSIONS``
    source : who says the limit
    words : short name of the place, without number or verdict: ``rod bolt to pan rail``
    """

    kind: TroubleKind
    group: str
    severity: Severity
    nearby: Nearby
    bore: int | None
    main: int | None
    crank_deg: float | None
    bodies: tuple[str, ...]
    a_mm: Point | None
    b_mm: Point | None
    value: float | None
    limit: float | None
    margin: float | None
    dimension: str
    source: str
    words: str

    @property
    def is_wrong(self) -> bool:
        """Whether a limit is not kept, or something is not as it must be."""
        return self.severity != "note"


def worst_first(spots: Iterable[TroubleSpot]) -> tuple[TroubleSpot, ...]:
    """Stops before looks before what is within; of those what overlaps first, then what misses most of its limit.

    What is wrong without a number to it (a part the wrong way round) goes before what has one.
    """
    return tuple(sorted(spots, key=_gravity))


def _gravity(spot: TroubleSpot) -> tuple[int, int, float]:
    # margins of other dimensions are set against one another by what share of the limit is missed
    margin = float("-inf") if spot.margin is None else spot.margin
    if spot.dimension != "length" and spot.margin is not None and spot.limit:
        margin = spot.margin / abs(spot.limit)
    return _GRAVEST.index(spot.severity), _NEAREST.index(spot.nearby), margin
