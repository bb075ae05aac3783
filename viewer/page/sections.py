"""Tables of answers, written for the page as `check` prints them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final, cast

from geometry.checks.section import Column, Finding, Row, Section, Severity
from geometry.units import System
from viewer.page.shape import RowData, SectionData
from viewer.reports.tables import WITH_IT, merged

_NUMBER: Final = re.compile(r"\d+")


def sections_of(sections: Sequence[Section], system: System) -> list[SectionData]:
    """One table for each section that says anything."""
    return [_one(section, system) for section in sections if section.rows or section.findings]


def _one(section: Section, system: System) -> SectionData:
    shown = section.rows if section.shown is None else section.shown
    return {
        "key": section.key,
        "title": section.title,
        "single": section.single,
        "headings": [column.heading for column in section.columns],
        "rows": _rows(shown, section.columns, system),
        "more": [] if section.shown is None else _rows(section.rows, section.columns, system),
        "findings": [
            {"severity": f.severity, "bore": f.bore, "text": _text(f), "remedy": f.remedy}
            for f in section.findings
        ],
        "notes": list(section.notes),
    }


def _text(finding: Finding) -> str:
    """What was found, with what follows from it."""
    return "; ".join((finding.text, *(f"{WITH_IT} {also}" for also in finding.also)))


def _numbers(text: str) -> list[int]:
    return [int(number) for number in _NUMBER.findall(text)]


def _rows(rows: Sequence[Row], columns: Sequence[Column], system: System) -> list[RowData]:
    """Rows that read alike but for the bore as one, with the bores that they are about."""
    place = next((i for i, column in enumerate(columns) if column.key in ("bore", "place")), None)
    return [
        {
            "cells": cells,
            "severity": cast("Severity", grave or ""),
            "bores": [] if place is None or cells[place].startswith("main") else _numbers(cells[place]),
        }
        for cells, grave in merged(rows, columns, system)
    ]
