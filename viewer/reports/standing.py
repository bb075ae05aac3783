"""How a check stands as a whole over the doubt about the values: its exit code, and all of it as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from geometry.checks.section import Finding
from geometry.doubts.answers import Doubtful
from viewer.reports.doubts import OverDoubt


def code(over: OverDoubt, findings: Sequence[Finding]) -> int:
    """Exit code: 1 when something is outside its limit, or may be and that is not accepted."""
    outside = any(finding.severity == "stop" for finding in findings)
    return int(outside or (not over.accept_open and any(finding.open_to == "stop" for finding in findings)))


def as_plain(over: OverDoubt) -> dict[str, Any]:
    """What ``--json`` holds besides the sections, in house units."""
    values = over.described.values
    assumed = over.described.assumed
    return {
        "values": {
            "count": len(values),
            "assumed": len(assumed),
            "not_in_file": sum(value.origin == "filled" for value in assumed),
            "in_doubt": len(over.described.doubted),
        },
        "doubts": [
            {
                "key": value.key,
                "dimension": value.dimension,
                "nominal": _rounded(value.nominal),
                "lowest": _rounded(value.lowest),
                "highest": _rounded(value.highest),
                "origin": value.origin,
                "reason": value.reason,
            }
            for value in values
            if value.in_doubt or value.assumed
        ],
        "answers": [_plain(one) for one in over.answers.values()],
        "waiting": [
            {"section": section, "name": None, "keys": list(keys)} for section, keys in over.waiting.items()
        ]
        + [
            {"section": section, "name": name, "keys": list(keys)}
            for (section, name), keys in over.waiting_figures.items()
        ],
        "accept_open": over.accept_open,
    }


def _plain(one: Doubtful) -> dict[str, Any]:
    return {
        "section": one.section,
        "name": one.name,
        "bore": one.bore,
        "dimension": one.dimension,
        "nominal": _rounded(one.nominal),
        "lowest": _rounded(one.lowest),
        "highest": _rounded(one.highest),
        "margin": _rounded(one.margin),
        "margin_lowest": _rounded(one.margin_lowest),
        "margin_highest": _rounded(one.margin_highest),
        "settled": one.settled,
        "assumed": one.assumed,
        "wider": _rounded(one.wider_mm),
        "told": one.told,
        "leanings": [
            {
                "key": leaning.key,
                "slope": _rounded(leaning.slope),
                "below": _rounded(leaning.below),
                "above": _rounded(leaning.above),
                "assumed": leaning.assumed,
            }
            for leaning in one.leanings
        ],
    }


def _rounded(number: float | None) -> float | None:
    return None if number is None or number != number else round(number, 6)
