"""How a check stands as a whole over the doubt about the values: closing words, exit code, and the same as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from geometry.checks.section import Finding
from geometry.doubts.answers import Doubtful
from viewer.reports.doubts import OverDoubt


def closing(over: OverDoubt, findings: Sequence[Finding]) -> tuple[str, bool]:
    """How the whole stands, and whether something is outside whatever the doubt."""
    stops = sum(finding.severity == "stop" for finding in findings)
    opens = sum(finding.open_to is not None for finding in findings)
    part = ", of what is answered" if over.waiting_lines else ""
    if stops:
        return f"{stops} outside the limit whatever the doubt, {opens} open{part}.", True
    if opens:
        return f"Nothing outside whatever the doubt, {opens} open{part}.", False
    head = "Nothing outside its limit" if findings else "All within limits"
    return f"{head}, whatever the doubt{part}.", False


def exit_words(over: OverDoubt, findings: Sequence[Finding]) -> str:
    """Why the command ends with 1 though nothing is outside for certain; empty where it does not."""
    every = sum(finding.open_to is not None for finding in findings)
    opens = sum(finding.open_to == "stop" for finding in findings)
    if not opens:
        return ""
    one = opens == 1
    answers = f"{opens} {'answer is' if one else 'answers are'} open"
    if opens < every:
        answers = f"{opens} of the {every} open answers may turn out to stop the job"
    taken = "it as it is" if one else "them as they are"
    if over.accept_open:
        return f"{answers}: --accept-open took {taken}"
    return f"exit 1: {answers}; --accept-open takes {taken}"


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
