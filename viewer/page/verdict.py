"""How all of an engine stands, in one line at the head of the page."""

from __future__ import annotations

from collections.abc import Sequence

from geometry.checks.section import Section
from viewer.page.shape import PlaceData, VerdictData
from viewer.reports import ending
from viewer.reports.doubts import OverDoubt
from viewer.reports.tables import all_findings
from viewer.verdicts import as_assumed


def verdict_of(
    sections: Sequence[Section],
    places: Sequence[PlaceData],
    assumed: str,
    over: OverDoubt | None = None,
) -> VerdictData:
    """Say it as ``check`` ends, or by the places alone where no check was asked.

    Parameters
    ----------
    sections : settled over the doubt where there is any
    places : every place that misses its limit, and others
    assumed : what verdicts rest on, empty where nothing is assumed
    over : what is in doubt; None: nothing
    """
    if over is not None:
        return _over_doubt(sections, over)
    found = [f.severity for f in all_findings(sections)] if sections else [p["severity"] for p in places]
    stops = found.count("stop")
    looks = sum(one["severity"] == "look" for one in places)
    kept = "nothing outside its limit" if looks else "all within limits"
    said = f"{looks} to look at" if looks else ""
    return {
        "severity": "stop" if stops else "look" if looks else "note",
        "words": as_assumed(f"{stops} outside the limit" if stops else kept, assumed),
        "said": said,
    }


def _over_doubt(sections: Sequence[Section], over: OverDoubt) -> VerdictData:
    settled = [finding for finding in all_findings(sections) if finding.open_to is None]
    told = ending.together(settled, ending.bores_of(over))
    outside = [f for f in told if f.severity == "stop" or (f.severity == "look" and f.figure)]
    opens = ending.worst_open(over.answers.values())
    return {
        "severity": "stop" if outside else "look" if opens or over.waiting_lines else "note",
        "words": ending.count_words(over, len(outside), len(opens)).rstrip("."),
        "said": "",
    }
