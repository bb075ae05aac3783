"""One verdict, and the order in which verdicts are read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite
from typing import Final, Literal, TypeAlias

from geometry.checks.section import Severity
from geometry.rings.bore import GapAlongBore
from geometry.rings.source import Source

Word: TypeAlias = Literal["within", "outside", "cannot tell"]

_SUFFIX: Final = {"length": "mm", "torque": "nm", "angle": "deg", "mass": "kg"}
_WORDS: Final[tuple[Word, ...]] = ("outside", "cannot tell", "within")
_SEVERITIES: Final[tuple[Severity | None, ...]] = ("stop", "look", "note", None)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one entry says.

    Attributes
    ----------
    place : ``bore 3``, ``main 2``, ``crank``
    bore : the builder's number, None elsewhere
    step : the step of the job
    path : the entry, as typed
    what : what it is, in words
    reading : as it would be spoken
    limit : what it is held against, in words; empty when there is nothing
    source : where the limit comes from
    verdict : ``within``, ``outside`` or ``cannot tell``
    severity : ``stop``, ``look`` or ``note``; None within
    text : what it means, for a verdict that is not within
    remedy : what to do
    dimension : key of ``geometry.units.DIMENSIONS`` of the numbers below; empty for what was looked at
    low, high : what the reading proves, house unit; None at an open end
    least, most : the limit, house unit
    along : a ring's gap where its bore is tightest and widest; None for anything else
    group : what it tells of, where the path alone does not say so: several rules are judged on one angle
    """

    place: str
    bore: int | None
    step: str
    path: str
    what: str
    reading: str
    limit: str
    source: Source
    verdict: Word
    severity: Severity | None = None
    text: str = ""
    remedy: str = ""
    dimension: str = ""
    low: float | None = None
    high: float | None = None
    least: float | None = None
    most: float | None = None
    along: GapAlongBore | None = None
    group: str = ""

    def as_row(self) -> dict[str, str | int | float | None]:
        """Plain values for tables and ``--json``; numbers under keys that carry their unit."""
        row: dict[str, str | int | float | None] = {
            "place": self.place, "bore": self.bore, "step": self.step, "entry": self.path, "what": self.what,
            "reading": self.reading, "limit": self.limit, "limit_source": str(self.source),
            "limit_certainty": self.source.certainty, "verdict": self.verdict, "severity": self.severity,
            "text": self.text, "remedy": self.remedy,
        }  # fmt: skip
        if self.dimension:
            suffix = _SUFFIX[self.dimension]
            for name in ("low", "high", "least", "most"):
                value = getattr(self, name)
                row[f"{name}_{suffix}"] = round(value, 6) if value is not None and isfinite(value) else None
        if self.along is not None:
            row |= _places(self.along)
        return row


def _places(along: GapAlongBore) -> dict[str, float | None]:
    """A ring's gap where its bore is tightest and widest, with the depths below the deck, mm."""
    numbers = {
        "tightest_low_mm": along.tightest.lower_mm, "tightest_high_mm": along.tightest.upper_mm,
        "tightest_depth_mm": along.tightest_depth_mm,
        "widest_low_mm": along.widest.lower_mm, "widest_high_mm": along.widest.upper_mm,
        "widest_depth_mm": along.widest_depth_mm,
    }  # fmt: skip
    return {name: round(value, 6) if isfinite(value) else None for name, value in numbers.items()}


def worst_first(verdicts: Iterable[Verdict]) -> tuple[Verdict, ...]:
    """Sort verdicts: what stops the job, what deserves a look, what cannot be told, what is well."""
    return tuple(sorted(verdicts, key=lambda v: (_WORDS.index(v.verdict), _SEVERITIES.index(v.severity))))
