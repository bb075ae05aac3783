"""A build record as a section of the check: every reading with its limit, and what is wrong as findings."""

from __future__ import annotations

from pathlib import Path

from geometry.checks.section import Column, Finding, Row, Section
from geometry.record.load import load_record
from geometry.record.verdict import Verdict
from geometry.record.verdicts import verdicts
from geometry.spec.engine import Engine
from geometry.units import System


def readings_section(spec: Engine, record: Path, system: System) -> Section:
    """Verdicts on all that was recorded, in the order of the job."""
    found = verdicts(spec, load_record(record, spec), system=system)
    rows: tuple[Row, ...] = tuple(verdict.as_row() for verdict in found)
    findings = tuple(
        Finding(f"record_{v.path.replace('.', '_')}", v.severity, v.bore, _said(v), v.remedy)
        for v in found
        if v.severity is not None and not _said_by_ring_clock(v)
    )
    columns = (
        Column("place", "place"), Column("what", "what"), Column("reading", "reading"),
        Column("limit", "limit"), Column("verdict", "verdict"),
    )  # fmt: skip
    return Section("readings", f"Bench readings: {record.name}", columns, rows, findings)


def _said_by_ring_clock(verdict: Verdict) -> bool:
    """Whether the check's own ring clock, which runs on the same angles, reports it: once is enough."""
    return verdict.dimension == "angle" and verdict.verdict == "outside"


def _said(verdict: Verdict) -> str:
    place = "" if verdict.bore is not None else f"{verdict.place}, "
    limit = f", {verdict.limit}" if verdict.limit else ""
    return f"{place}{verdict.what}: {verdict.reading}{limit}: {verdict.text}"
