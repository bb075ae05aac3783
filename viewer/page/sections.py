"""Tables of answers, written for the page as `check` prints them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from geometry.checks.section import Section, Severity
from geometry.units import System
from viewer.page.shape import SectionData
from viewer.reports.tables import merged


def sections_of(sections: Sequence[Section], system: System) -> list[SectionData]:
    """One table for each section."""
    return [_one(section, system) for section in sections]


def _one(section: Section, system: System) -> SectionData:
    rows = merged(section.rows, section.columns, system)
    return {
        "key": section.key,
        "title": section.title,
        "headings": [column.heading for column in section.columns],
        "rows": [
            {"cells": cells, "severity": cast("Severity", grave or "note"), "bore": None}
            for cells, grave in rows
        ],
        "findings": [
            {"severity": f.severity, "bore": f.bore, "text": f.text, "remedy": f.remedy}
            for f in section.findings
        ],
    }
