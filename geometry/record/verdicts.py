"""What the entries say: within, outside, or cannot tell; each with its limit and where that comes from."""

from __future__ import annotations

from collections.abc import Iterator

from geometry.record.catalogue import lay_out, readings_at
from geometry.record.judging import judged, spoken
from geometry.record.model import Record
from geometry.record.verdict import Verdict
from geometry.spec.engine import Engine
from geometry.units import System


def verdicts(
    engine: Engine, record: Record, *, bore: int | None = None, system: System | None = None
) -> tuple[Verdict, ...]:
    """Judge every entry of a record, in the order of the job.

    Parameters
    ----------
    engine, record : the engine file and its build record
    bore : only this bore, by the builder's number
    system : units of the words; default as the engine file asks for

    Raises
    ------
    GeometryError : the engine cannot be laid out
    """
    bench = lay_out(engine, record, system)
    return tuple(verdict for at in readings_at(bench, bore) for verdict in judged(at))


def entries_shown(
    engine: Engine, record: Record, *, bore: int | None = None, system: System | None = None
) -> Iterator[dict[str, str | int | None]]:
    """Rows of everything that is recorded, in the order of the job; parameters and errors as ``verdicts``.

    Yields
    ------
    ``place``, ``bore``, ``entry``, ``what``, ``reading``, ``by``, ``on``, ``note``.
    """
    for at in readings_at(lay_out(engine, record, system), bore):
        entry = at.entry
        if entry is not None:
            yield {
                "place": at.place.words,
                "bore": at.bore,
                "entry": at.kind.path,
                "what": at.words,
                "reading": spoken(at),
                "by": entry.by,
                "on": entry.on.isoformat() if entry.on else None,
                "note": entry.note,
            }
