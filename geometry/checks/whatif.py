"""One dimension swept: how each clearance changes, and where it crosses its limit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TypeAlias

import numpy as np

from geometry.assembly import Assembly
from geometry.clearance.full_turn import full_turn
from geometry.clearance.limits import Limit, limit_for
from geometry.clearance.pairs import pairs_of
from geometry.clearance.words import ordered
from geometry.collision.certify import TOLERANCE_MM, Memory, certify_all
from geometry.errors import GeometryError, InputError

Kind: TypeAlias = tuple[str, str]
Build: TypeAlias = Callable[[float], Assembly]
CROSSING_TOLERANCE = 1e-4
FAR_MM = 15.0


@dataclass(frozen=True, slots=True)
class Track:
    """One kind of meeting over the swept values.

    Attributes
    ----------
    kind : features of the two places
    limit : least clearance wanted
    least_mm : least distance over the turn at each value; nan where it stays far or nothing can be built
    crossings : values at which the distance crosses its limit, by root search
    """

    kind: Kind
    limit: Limit
    least_mm: tuple[float, ...]
    crossings: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Sweep:
    """All kinds of meeting that come near anywhere in the sweep; the one that is worst anywhere first.

    ``refused`` says, by position in ``values``, why an engine cannot be built there.
    """

    values: tuple[float, ...]
    tracks: tuple[Track, ...]
    refused: dict[int, str]


def sweep(build: Build, values: Sequence[float]) -> Sweep:
    """Certify the engine at each value and search every crossing of a limit between neighbours.

    Parameters
    ----------
    build : makes the engine for one value; may raise ``InputError`` or ``GeometryError``
    values : in rising or falling order; a falling one is worked out as the rising one that it is
    """
    if len(values) > 1 and values[0] > values[-1]:
        return _turned_round(sweep(build, values[::-1]))
    memory = Memory()
    columns: list[dict[Kind, float]] = []
    limits: dict[Kind, Limit] = {}
    refused: dict[int, str] = {}
    for position, value in enumerate(values):
        try:
            assembly = build(value)
        except (InputError, GeometryError) as bad:
            refused[position] = _reason(bad)
            columns.append({})
            continue
        column: dict[Kind, float] = {}
        for near in full_turn(assembly, FAR_MM, memory=memory).near:
            a, b = ordered(near.pair)
            kind = (a.feature, b.feature)
            limits.setdefault(kind, limit_for(assembly.spec, near.pair.limit))
            column[kind] = min(column.get(kind, np.inf), near.approach.min_mm)
        columns.append(column)
    tracks = [_track(build, values, columns, kind, limit, memory) for kind, limit in limits.items()]
    tracks.sort(key=lambda t: float(np.nanmin(t.least_mm)) - t.limit.least_mm)
    return Sweep(tuple(values), tuple(tracks), refused)


def _turned_round(rising: Sweep) -> Sweep:
    tracks = (replace(t, least_mm=t.least_mm[::-1], crossings=t.crossings[::-1]) for t in rising.tracks)
    last = len(rising.values) - 1
    refused = {last - position: why for position, why in reversed(rising.refused.items())}
    return Sweep(rising.values[::-1], tuple(tracks), refused)


def _reason(bad: InputError | GeometryError) -> str:
    """The first of what is wrong, without the place in the file, where no user wrote the value."""
    first = bad.problems[0] if isinstance(bad, InputError) else bad
    return f"{first.what}; {first.right}" if first.right else first.what


def _track(
    build: Build,
    values: Sequence[float],
    columns: list[dict[Kind, float]],
    kind: Kind,
    limit: Limit,
    memory: Memory,
) -> Track:
    from scipy.optimize import brentq  # slow to import, and every check would pay for it

    least = tuple(column.get(kind, float("nan")) for column in columns)
    crossings = []
    for (v0, c0), (v1, c1) in pairwise(zip(values, columns, strict=True)):
        if not c0 or not c1:
            continue
        s0, s1 = (c.get(kind, FAR_MM) - limit.least_mm for c in (c0, c1))
        if s0 * s1 < 0:
            with suppress(InputError, GeometryError):  # somewhere in between nothing can be built
                found = brentq(
                    lambda value: least_of(build(value), kind, memory) - limit.least_mm,
                    v0,
                    v1,
                    xtol=CROSSING_TOLERANCE,
                )
                crossings.append(float(found))
    return Track(kind, limit, least, tuple(crossings))


def least_of(assembly: Assembly, kind: Kind, memory: Memory) -> float:
    """Least distance over the turn of all meetings of one kind; ``FAR_MM`` when none comes so near."""
    pairs = [p for p in pairs_of(assembly)[0] if tuple(x.feature for x in ordered(p)) == kind]
    found = certify_all(
        [(p.a, p.b) for p in pairs], [p.period_deg for p in pairs], TOLERANCE_MM, FAR_MM, memory
    )
    return min((a.min_mm for a in found if not a.bound_only), default=FAR_MM)
