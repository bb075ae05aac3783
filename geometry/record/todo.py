"""What is still unmeasured, in the order of the job, with what each reading will be held against."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.record.bench import Bench, lay_out
from geometry.record.catalogue import ReadingKind, is_wanted, items_at, words_of
from geometry.record.clocking import planned_deg, scheme_of
from geometry.record.limits import GAP_LIMITS, limit_of
from geometry.record.model import Record
from geometry.record.place import BenchPlace
from geometry.record.wording import expected
from geometry.record.words import how_to_enter
from geometry.record.worn import where_to_measure
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
    for item, place in items_at(bench):
        number = place.number if place.kind == "bore" else None
        if (bore is not None and number != bore) or not is_wanted(item, bench, place):
            continue
        limit, source = _held_against(item, bench, place)
        what, enter = words_of(item, bench, place, asked=True), how_to_enter(place, item.path, bench.system)
        if item.ring and item.limit in GAP_LIMITS.values():
            what += where_to_measure(bench, place, item.ring)
        found.append(
            Todo(item.step, place.words, number, place.number, item.path, what, limit, source, enter)
        )
    return tuple(found)


def _held_against(item: ReadingKind, bench: Bench, place: BenchPlace) -> tuple[str, str]:
    """What an entry will be held against, and where that comes from; empty where nothing is known."""
    if item.path.endswith(".angle"):
        planned = planned_deg(bench, place).get(item.ring or "")
        scheme = scheme_of(bench)
        if planned is None or scheme is None:
            return "", ""
        return f"{planned:.0f}° clockwise from the front", f"the scheme `{scheme.key}`: {scheme.source}"
    if item.limit:
        held = limit_of(item.limit, bench, place)
        return (held.text(bench), str(held.source)) if held is not None else ("", "")
    wanted = expected(item, bench, place)
    return (wanted[1], str(wanted[2])) if wanted is not None else ("", "")
