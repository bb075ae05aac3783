"""A build record as a section of the check: every reading with its limit, and what is wrong as findings."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

from geometry.checks.section import Column, Finding, Row, Section
from geometry.record.load import load_record
from geometry.record.model import Record
from geometry.record.place import BenchPlace, read_place
from geometry.record.verdict import Verdict
from geometry.record.verdicts import verdicts
from geometry.spec.engine import Engine
from geometry.units import System

KEY: Final = "readings"
_TOGETHER: Final = (
    # entries that tell of one fault
    (r"shell\.(upper|lower)\.seat", "shell.seat"),
    (r"shell\.(upper|lower)\.proud", r"shell.\1.tang"),
    (r"ring\.(top|second)\.groove", "ring.groove"),
    (r"ring\.expander\.ends", "ring.expander_overlapped.expander"),
    (r"diameter\.\w+", "diameter"),
    (r"(bearing\.)?gauged", r"\1clearance"),
    (r"bolt\.(\w+)\.(torque|stretch)", r"bolt.\1.tension"),
)


def readings_section(spec: Engine, record: Path, system: System) -> Section:
    """Verdicts on all that a record file holds, in the order of the job."""
    return section_of(spec, load_record(record, spec), record.name, system)


def section_of(spec: Engine, record: Record, name: str, system: System) -> Section:
    """Verdicts on all that was recorded, in the order of the job.

    Parameters
    ----------
    spec, record : the engine file and its build record
    name : what the record is called
    system : units of the words
    """
    found = verdicts(spec, record, system=system)
    rows: tuple[Row, ...] = tuple(verdict.as_row() for verdict in found)
    findings = tuple(
        _finding(spec, v) for v in found if v.severity is not None and not _said_by_ring_clock(v)
    )
    columns = (
        Column("place", "place"), Column("what", "what"), Column("reading", "reading"),
        Column("limit", "limit"), Column("verdict", "verdict"),
    )  # fmt: skip
    return Section(KEY, f"Bench readings: {name}", columns, rows, findings)


def _finding(spec: Engine, verdict: Verdict) -> Finding:
    place = read_place(spec, verdict.place)
    return Finding(
        f"record_{verdict.path.replace('.', '_')}", verdict.severity or "note", verdict.bore, _said(verdict),
        verdict.remedy, group=group_of(place, verdict), main=place.number if place.kind == "main" else None,
    )  # fmt: skip


def group_of(place: BenchPlace, verdict: Verdict) -> str:
    """What is wrong with which part, the same as the checks call it."""
    group = verdict.group or verdict.path
    for pattern, together in _TOGETHER:
        match = re.fullmatch(pattern, group)
        group = match.expand(together) if match else group
    return group if place.kind == "bore" else f"{place.kind}.{group}"


def _said_by_ring_clock(verdict: Verdict) -> bool:
    """Whether the check's own ring clock, which runs on the same angles, reports it: once is enough."""
    return verdict.dimension == "angle" and verdict.verdict == "outside"


def _said(verdict: Verdict) -> str:
    place = "" if verdict.bore is not None else f"{verdict.place}, "
    limit = f", wanted {verdict.limit}" if verdict.limit else ""
    return f"{place}{verdict.what}: {verdict.reading}{limit}: {verdict.text}"
