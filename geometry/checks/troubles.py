"""Places that a picture must point at: what comes too close or stands wrong, where, at which angle, how badly.

A still, the window's list and its jumps all read the same list, so that no picture shows an engine as sound that a
report calls wrong.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from geometry.checks.section import Nearby, Severity

TroubleKind: TypeAlias = Literal["clearance", "ring", "rod", "bolt", "bearing", "piston", "crank", "reading"]
Point: TypeAlias = tuple[float, float, float]


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
