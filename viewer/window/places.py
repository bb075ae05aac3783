"""The places worth going to: close ones and faults alike, like places of several bores together, the worst first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from geometry.assembly import Assembly
from geometry.checks.clearances import judged
from geometry.checks.close_places import Close, listed, with_curve
from geometry.checks.troubles import TroubleSpot, troubles_of
from geometry.clearance.full_turn import full_turn
from viewer.verdicts import as_assumed
from viewer.window.loaded import Loaded
from viewer.window.state import Destination, Look

CURVES = 24
"""Places whose distance is drawn over the turn from the start; the closest at an angle is one of these."""


@dataclass(frozen=True, slots=True, eq=False)
class ListedPlace:
    """One place.

    Attributes
    ----------
    spot : where it is, how bad it is, against which limit
    line : number of the line of the list that it stands in, with like places of other bores
    close : the pair of parts that comes close there, where it is such a place
    """

    spot: TroubleSpot
    line: int
    close: Close | None = None

    @property
    def goal(self) -> Destination:
        """What going there asks of the state."""
        return Destination(self.spot.crank_deg, self.spot.bore, self.line, look_of(self.spot))


def look_of(spot: TroubleSpot) -> Look:
    """How a place is looked at: ring and chamfer have views of their own, everything else is gone near to."""
    if spot.kind == "ring":
        return "rings"
    # of the rod's own faults those at the crankpin's fillet concern rod and crank
    if spot.kind == "rod" and "crank" in spot.bodies:
        return "chamfer"
    return "near"


def parts_at(spot: TroubleSpot, assembly: Assembly) -> tuple[str, ...]:
    """Parts that are lit at a place: those concerned that are there; a bolt with the rod and the cap that it holds."""
    held = (f"rod {spot.bore}", f"rod_cap {spot.bore}") if spot.kind == "bolt" else ()
    there = {body.name for body in assembly.bodies}
    return tuple(name for name in dict.fromkeys((*spot.bodies, *held)) if name in there)


def find_places(loaded: Loaded, assembly: Assembly) -> tuple[ListedPlace, ...]:
    """All places of an engine; a record's own readings too where it is the engine as built."""
    clearances = judged(assembly, full_turn(assembly))
    readings: Iterable[TroubleSpot] = ()
    if assembly is loaded.built and loaded.record is not None:
        from geometry.record.troubles import record_troubles

        readings = record_troubles(assembly, loaded.record)
    spots = troubles_of(assembly, clearances, readings, loaded.waiting)
    return in_lines(spots, listed(clearances, None))


def in_lines(spots: Sequence[TroubleSpot], closes: Sequence[Close]) -> tuple[ListedPlace, ...]:
    """Places in the order of the list: line by line as bad as its worst, in a line the worst bore first.

    Parameters
    ----------
    spots : the worst first
    closes : close places, to which the clearances among the spots belong by their two bodies
    """
    of_bodies = {frozenset(close.bodies): close for close in closes}
    lines: dict[tuple[str, str], list[TroubleSpot]] = {}
    for spot in spots:
        lines.setdefault((spot.kind, spot.group), []).append(spot)
    found: list[ListedPlace] = []
    for line, alike in enumerate(lines.values()):
        for spot in alike:
            close = of_bodies.get(frozenset(spot.bodies)) if spot.kind == "clearance" else None
            if close is not None and len(found) < CURVES:
                close = with_curve(close)
            found.append(ListedPlace(spot, line, close))
    return tuple(found)


def bores_words(alike: Sequence[ListedPlace], chosen: ListedPlace, assumed: str = "") -> str:
    """Which bore (or main bearing) a line speaks of, how many more are like it, and how many keep the limit."""
    spot = chosen.spot
    where = (
        f"bore {spot.bore}" if spot.bore is not None else f"main {spot.main}" if spot.main is not None else ""
    )
    others = [one.spot for one in alike if one is not chosen]
    like = sum(one.is_wrong == spot.is_wrong for one in others)
    within = as_assumed(f"{len(others) - like} {'within' if spot.is_wrong else 'outside'}", assumed)
    return ", ".join(
        filter(None, (where, f"{like} more" if like else "", within if like < len(others) else ""))
    )
