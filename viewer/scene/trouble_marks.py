"""Where an engine does not clear or was put together wrong, marked in any picture of it, and the same in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.checks.troubles import TroubleSpot
from geometry.kinematics.poses import inverse, transform
from geometry.units import System, show
from viewer.scene.model import Callout
from viewer.verdicts import as_assumed, source_beside

MOST_WORDS: Final = 3
"""Kinds of trouble that are told in words; further ones are marked and counted."""
SAME_ANGLE_DEG: Final = 0.05
IN_METAL: Final = frozenset({"rod.fillet", "shell.fillet"})
"""Groups whose values below zero are metal in metal, as a clearance's are."""
FINE: Final = frozenset({"length"})


@dataclass(frozen=True, slots=True)
class TroubleGroup:
    """Like places in several bores, the worst first."""

    spots: tuple[TroubleSpot, ...]

    @property
    def worst(self) -> TroubleSpot:
        """The one that is told in figures."""
        return self.spots[0]

    @property
    def bores(self) -> tuple[int, ...]:
        """The builder's numbers of the bores that have it, in rising order."""
        return tuple(sorted({spot.bore for spot in self.spots if spot.bore is not None}))


def grouped_troubles(spots: Sequence[TroubleSpot], bore: int | None = None) -> tuple[TroubleGroup, ...]:
    """Places by their kind, in the order given; of one bore and of what is no matter of a bore, or of all."""
    groups: dict[tuple[str, str], list[TroubleSpot]] = {}
    for spot in spots:
        if bore is None or spot.bore in (None, bore):
            groups.setdefault((spot.kind, spot.group), []).append(spot)
    return tuple(TroubleGroup(tuple(found)) for found in groups.values())


def marks(
    assembly: Assembly, groups: Sequence[TroubleGroup], crank_deg: float, units: System, named: bool = True
) -> tuple[Callout, ...]:
    """A mark at every place, at the crank angle of the picture; words at the worst of each of the first kinds.

    A distance is drawn where it is true: at its own angle, or at any angle where both its ends ride on one part.
    Elsewhere a dot marks the place on the part concerned, and the words say at which angle it comes about.

    Parameters
    ----------
    named : whether the words begin with the name of the place
    """
    found = []
    for rank, group in enumerate(groups):
        for spot in group.spots:
            worded = rank < MOST_WORDS and spot is group.worst
            name = f"{where_words(spot)}: " if named else ""
            if spot.b_mm is not None:
                found.append(_mark(assembly, spot, crank_deg, units, name if worded else None))
    return tuple(found)


def _mark(
    assembly: Assembly, spot: TroubleSpot, crank_deg: float, units: System, name: str | None
) -> Callout:
    a, b, here = ends_at(assembly, spot, crank_deg)
    text = ""
    if name is not None:
        when = "" if here or spot.crank_deg is None else f" at {spot.crank_deg:.1f}°"
        text = f"{name}{amount_words(spot, units)}{when}"
        text += f", {limit}" if (limit := limit_words(spot, units)) else ""
    between = (spot.bodies[0], spot.bodies[-1])
    return Callout(a, b, text, spot.nearby, between, spot.value or 0.0, crank_deg, said=text)


def ends_at(assembly: Assembly, spot: TroubleSpot, crank_deg: float) -> tuple[Array, Array, bool]:
    """Both ends of a place's dimension at any crank angle, and whether it is true there.

    Where it is not, both are the point of the moving part that it is about.
    """
    end = np.asarray(spot.b_mm if spot.a_mm is None else spot.a_mm, dtype=float)
    ends = np.array([end, spot.b_mm], dtype=float)
    if spot.crank_deg is None or _same(assembly, crank_deg, spot.crank_deg):
        return ends[0], ends[1], True
    frames = {body.name: body.frame for body in assembly.bodies}
    moving = next((name for name in spot.bodies if frames.get(name, "E") != "E"), None)
    if moving is None:
        return ends[0], ends[1], True
    before, now = (assembly.frame_poses(angle)[frames[moving]] for angle in (spot.crank_deg, crank_deg))
    ends = transform(now @ inverse(before), ends)
    if spot.kind != "clearance" and spot.group != "piston.head":  # both ends ride on the same part
        return ends[0], ends[1], True
    mine = ends[0] if moving == spot.bodies[0] else ends[1]
    return mine, mine, False


def _same(assembly: Assembly, one_deg: float, other_deg: float) -> bool:
    cycle = assembly.layout.firing.cycle_deg
    return abs((one_deg - other_deg + cycle / 2) % cycle - cycle / 2) < SAME_ANGLE_DEG


def where_words(spot: TroubleSpot) -> str:
    """The place, its bore or main bearing first."""
    if spot.main is not None:
        return f"main {spot.main}, {spot.words}"
    return spot.words if spot.bore is None else f"bore {spot.bore}, {spot.words}"


def amount_words(spot: TroubleSpot, units: System) -> str:
    """How much: the depth, what is left, or the value; the verdict where there is no number."""
    if spot.value is None or not spot.dimension:
        return "not as it must be" if spot.is_wrong else "as it must be"
    size = show(abs(spot.value), spot.dimension, units, fine=spot.dimension in FINE)
    if spot.kind == "clearance" or spot.group in IN_METAL:
        return {"overlaps": f"{size} deep", "touches": "touches"}.get(spot.nearby, f"{size} left")
    return f"{size} too little" if spot.value < 0.0 else size


def limit_words(spot: TroubleSpot, units: System) -> str:
    """The limit, ``at least`` or ``at most``; empty without one, and at zero, which goes without saying."""
    if not spot.limit or spot.value is None or not spot.dimension:
        return ""
    above = spot.is_wrong and spot.value > spot.limit
    limit = show(spot.limit, spot.dimension, units, fine=spot.dimension in FINE)
    return f"at {'most' if above else 'least'} {limit}"


def told(groups: Sequence[TroubleGroup], units: System, assumed: str = "") -> tuple[str, ...]:
    """Lines of the caption: the worst of each kind with angle, limit, source and verdict, and how many more.

    Parameters
    ----------
    assumed : how many values of the engine are assumed, in words; empty where none is
    """
    wrong = [group for group in groups if group.worst.is_wrong]
    lines = [told_line(group, units, assumed) for group in wrong[:MOST_WORDS]]
    more = len(wrong) - len(lines)
    if more > 0:
        lines.append(
            f"and {more} more {'kind' if more == 1 else 'kinds'} of trouble: `fullturn check` tells them"
        )
    return tuple(lines)


def told_line(group: TroubleGroup, units: System, assumed: str = "") -> str:
    """One kind of trouble in one line; ``assumed`` as in ``told``."""
    spot = group.worst
    others = [bore for bore in group.bores if bore != spot.bore]
    also = f" (also {', '.join(map(str, others))})" if others else ""
    when = f" at {spot.crank_deg:.1f}°" if spot.crank_deg is not None and spot.kind == "clearance" else ""
    limit = limit_words(spot, units)
    held = f"{limit} ({_source(spot, units)})" if limit else spot.source
    # a part put in the wrong way round is wrong whatever its sizes are
    verdict = as_assumed("outside" if spot.is_wrong else "within", assumed if spot.dimension else "")
    where = where_words(spot).replace(",", f"{also},", 1) if also else where_words(spot)
    return f"{where}: {amount_words(spot, units)}{when}, {held}: {verdict}"


def _source(spot: TroubleSpot, units: System) -> str:
    """Where a limit comes from, behind that limit."""
    if spot.dimension != "length" or spot.limit is None:
        return spot.source
    return source_beside(spot.source, spot.limit, units)
