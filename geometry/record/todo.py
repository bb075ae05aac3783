"""What is still unmeasured, in the order of the job, with what each reading will be held against."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.record.catalogue import lay_out, readings_at
from geometry.record.model import Record
from geometry.record.words import how_to_enter
from geometry.spec.engine import Engine
from geometry.units import System


@dataclass(frozen=True, slots=True)
class Todo:
    """One thing still to measure or to look at.

    Attributes
    ----------
    step : the step of the job
    place : ``bore 3``, ``main 2``, ``crank``
    bore : the builder's number, None elsewhere
    number : the same, or the number of the main bearing; None for the crank
    entry : the path to type with `record set`
    what : in words
    limit : what it will be held against; empty where nothing is known
    source : where the limit comes from; empty without one
    enter : the words to type behind the place once it is known
    """

    step: str
    place: str
    bore: int | None
    number: int | None
    entry: str
    what: str
    limit: str
    source: str
    enter: str


def todo(
    engine: Engine, record: Record, *, bore: int | None = None, system: System | None = None
) -> tuple[Todo, ...]:
    """List everything that belongs to the job and is not recorded yet.

    Parameters
    ----------
    engine, record : the engine file and its build record
    bore : only this bore, by the builder's number
    system : units of the words

    Raises
    ------
    GeometryError : the engine cannot be laid out
    """
    bench = lay_out(engine, record, system)
    found = []
    for at in readings_at(bench, bore):
        if not at.is_wanted:
            continue
        limit, wanted = at.limit, at.wanted
        held = limit.text(bench.system) if limit else wanted.words if wanted else ""
        against = limit or wanted
        source = str(against.source) if against else ""
        enter = how_to_enter(at.kind, bench.system)
        found.append(
            Todo(
                at.kind.step,
                at.place.words,
                at.bore,
                at.place.number,
                at.kind.path,
                at.asked,
                held,
                source,
                enter,
            )
        )
    return tuple(found)
