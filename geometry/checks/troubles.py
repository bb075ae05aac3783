"""Places that a picture must point at: what comes too close or stands wrong, where, at which angle, how badly.

A still, the window's list and its jumps all read the same list, so that no picture shows an engine as sound that a
report calls wrong. What a build record says of its own readings is added by ``geometry.record.troubles``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Final

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.checks.clearances import Clearance, judged
from geometry.checks.fault_spots import Waiting, fault_spots
from geometry.checks.trouble_spot import Point, TroubleKind, TroubleSpot, worst_first
from geometry.clearance.full_turn import turn_of
from geometry.clearance.words import bore_of, ordered, short_pair_words

__all__ = ["Point", "TroubleKind", "TroubleSpot", "troubles_of", "worst_first"]

MOST_CLEAR: Final = 12
"""Kinds of meeting that keep their limits, for a list that shows what is nearest to them."""


def troubles_of(
    assembly: Assembly,
    clearances: Sequence[Clearance] | None = None,
    readings: Iterable[TroubleSpot] = (),
    without: Waiting = (),
    clear: int = MOST_CLEAR,
) -> tuple[TroubleSpot, ...]:
    """Every place to point at, the worst first; places within their limits at the end.

    Parameters
    ----------
    assembly : as designed, or as put together
    clearances : its certified clearances; None: they are certified here, which takes as long as ``check``
    readings : what a build record says of its own readings (``geometry.record.troubles``); it goes before what the
        checks say of the same thing, since the record may hold its own limits
    without : sections, and (section, figure), that wait for values and are not told
    clear : how many kinds of meeting that keep their limits are listed behind, in every bore
    """
    found = judged(assembly, turn_of(assembly)[0]) if clearances is None else clearances
    spots = [*readings, *fault_spots(assembly, without), *clearance_spots(found, clear)]
    once: dict[tuple[object, ...], TroubleSpot] = {}
    for spot in spots:
        key = (spot.kind, spot.group, spot.bore, spot.main, spot.bodies)
        known = once.setdefault(key, spot)
        if known is not spot and known.value is None:  # looked at: the build's words, the record's source
            once[key] = replace(spot, source=known.source)
    return worst_first(once.values())


def clearance_spots(clearances: Sequence[Clearance], clear: int = MOST_CLEAR) -> Iterator[TroubleSpot]:
    """One place for two bodies: all that miss their limits, and the nearest of those that keep them.

    Parameters
    ----------
    clearances : the one that misses its limit by most first
    """
    seen: set[frozenset[str]] = set()
    kept: set[str] = set()
    for clearance in clearances:
        spot = _of_clearance(clearance)
        if frozenset(spot.bodies) in seen:
            continue
        if not spot.is_wrong:
            if len(kept | {spot.group}) > clear:
                continue
            kept.add(spot.group)
        seen.add(frozenset(spot.bodies))
        yield spot


def _of_clearance(clearance: Clearance) -> TroubleSpot:
    near, pair = clearance.near.approach, clearance.near.pair
    a, b = ordered(pair)
    ends = (near.at_a_mm, near.at_b_mm) if a is pair.a else (near.at_b_mm, near.at_a_mm)
    bores = [bore for bore in (bore_of(a), bore_of(b)) if bore is not None]
    limit = clearance.limit
    return TroubleSpot(
        "clearance", f"{a.feature} {b.feature}", "note" if clearance.verdict == "clear" else "stop",
        clearance.verdict, bores[0] if bores else None, None, near.crank_deg, (a.body.name, b.body.name),
        _point(ends[0]), _point(ends[1]), near.min_mm, limit.least_mm, near.min_mm - near.within_mm - limit.least_mm,
        "length", limit.source, short_pair_words(a, b),
    )  # fmt: skip


def _point(at_mm: Array) -> Point:
    x, y, z = (float(v) for v in at_mm)
    return x, y, z
