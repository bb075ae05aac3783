"""Everything that can be recorded, in the order of the job: the rows of the folder ``kinds``, put together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain, permutations
from typing import Final

import geometry.record.kinds
from geometry.errors import PartError
from geometry.kinematics.layout import build_layout
from geometry.record.kind import STEPS, Bench, LimitKind, ReadingAt, ReadingKind
from geometry.record.model import Record
from geometry.registry import registered
from geometry.rings.clocked import rings_of
from geometry.spec.engine import Engine
from geometry.units import System


def catalogued(kinds: Iterable[ReadingKind]) -> tuple[ReadingKind, ...]:
    """Kinds of reading in the order of the job.

    Raises
    ------
    PartError : one stands where another does or has its table, or two limits have one name
    """
    found = tuple(sorted(kinds, key=lambda kind: STEPS.index(kind.step)))
    for one, other in permutations(found, 2):
        if one.place == other.place and f"{other.path}.".startswith(f"{one.path}."):
            raise PartError(f"the kind of reading {other.place} {other.path} stands where {one.path} does")
        if one.limit and other.limit and one.limit.name == other.limit.name and one.limit != other.limit:
            raise PartError(f"two limits are called {one.limit.name}: of {one.path} and of {other.path}")
    return found


_FILES: Final = registered(
    geometry.record.kinds, "KINDS", tuple, lambda rows: f"{rows[0].place} {rows[0].path}"
)
KINDS: Final = catalogued(chain.from_iterable(_FILES.values()))
"""Every kind of reading, in the order of the job."""

KIND_AT: Final = {(kind.place, kind.path): kind for kind in KINDS}
LIMITS: Final[dict[str, LimitKind]] = {kind.limit.name: kind.limit for kind in KINDS if kind.limit}
"""Every limit, by its key under ``[limits]``."""


def lay_out(engine: Engine, record: Record, system: System | None = None) -> Bench:
    """Put an engine and its record on the bench.

    Parameters
    ----------
    engine, record : the engine file and its build record
    system : units of the answers; default: those that the engine file asks for, or else mm

    Raises
    ------
    GeometryError : the engine cannot be laid out
    """
    return Bench(engine, build_layout(engine), record, KINDS, system or engine.engine.units or "mm")


def readings_at(bench: Bench, bore: int | None = None) -> Iterator[ReadingAt]:
    """Everything that can be recorded on this engine, step by step, and within a step place by place.

    Parameters
    ----------
    bench : the engine and its record
    bore : only this bore, by the builder's number
    """
    rings = rings_of(bench.engine)
    for step in STEPS:
        for place_kind in ("main", "crank", "bore"):
            here = [kind for kind in bench.kinds if (kind.step, kind.place) == (step, place_kind)]
            for place in bench.places(place_kind):
                if bore is None or (place_kind == "bore" and place.number == bore):
                    yield from (
                        ReadingAt(kind, bench, place)
                        for kind in here
                        if kind.ring is None or kind.ring in rings
                    )
