"""How all of an engine stands, in one line at the head of the page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from geometry.checks.section import Section
from viewer.page.shape import PlaceData, VerdictData
from viewer.reports.tables import all_findings
from viewer.verdicts import as_assumed

AS_WRITTEN: Final = "values in doubt are taken as written: check tells what they leave open"


def verdict_of(sections: Sequence[Section], places: Sequence[PlaceData], assumed: str) -> VerdictData:
    """Say it as ``check`` ends; a place of the list that no check tells of, such as a turned piston, counts as well.

    Where the readings of a build record are among the sections, they tell of everything, and each fault once.

    Parameters
    ----------
    places : every place that misses its limit, and others
    assumed : what verdicts rest on, empty where nothing is assumed
    """
    told = [finding.severity for finding in all_findings(sections)]
    read = any(section.key == "readings" for section in sections)
    shown = [] if read else [place["severity"] for place in places]
    stops = max(told.count("stop"), shown.count("stop"))
    looks = max(told.count("look"), shown.count("look"))
    kept = "nothing outside its limit" if looks else "all within limits"
    return {
        "severity": "stop" if stops else "look" if looks else "note",
        "words": as_assumed(f"{stops} outside the limit" if stops else kept, assumed),
        "said": f"{looks} to look at" if looks else "",
    }


def in_doubt(verdict: VerdictData) -> VerdictData:
    """The same where values are in doubt: what is within may be outside as they turn out."""
    said = "; ".join(filter(None, (verdict["said"], AS_WRITTEN)))
    severity = "look" if verdict["severity"] == "note" else verdict["severity"]
    return {"severity": severity, "words": f"{verdict['words']}, open within the doubt", "said": said}
