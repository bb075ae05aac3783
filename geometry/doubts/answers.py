"""One answer under doubt: nominal, lowest, highest, what it leans on, and a verdict that says whether it is settled."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from geometry.checks.section import Severity

Settled: TypeAlias = Literal["within", "outside", "open", "no limit"]
"""Within its limits whatever the doubt, outside whatever the doubt, open; or nothing holds it to a limit."""


@dataclass(frozen=True, slots=True)
class Leaning:
    """How one answer leans on one value in doubt.

    Attributes
    ----------
    key : the value, as the user writes it
    slope : change of the answer by one house unit of the value, at nominal
    below, above : what the value at its lowest and at its highest makes of the answer, less the nominal answer
    assumed : nobody measured the value
    """

    key: str
    slope: float
    below: float
    above: float
    assumed: bool

    @property
    def reach(self) -> float:
        """The most that it changes the answer, either way."""
        return max(abs(self.below), abs(self.above))


@dataclass(frozen=True, slots=True)
class Side:
    """What is left to one of an answer's limits: a smooth number, which the smaller of two is not.

    Attributes
    ----------
    margin, lowest, highest : what is left at nominal values, the least and the most; below zero outside
    leanings : the values in doubt that change it
    """

    margin: float
    lowest: float
    highest: float
    leanings: tuple[Leaning, ...]


@dataclass(frozen=True, slots=True)
class Doubtful:
    """One number that a check answers with, over all values within their doubt, in the house unit.

    Attributes
    ----------
    section, name, bore : which answer; ``name`` is that of the figure or of the pair of places
    dimension : a key of ``units.DIMENSIONS``, or ``ratio``
    nominal, lowest, highest : the answer at nominal values, the least and the most that it may be
    margin, margin_lowest, margin_highest : what is left to the nearer limit, the same way; below zero outside; None
        without a limit. Limits may themselves follow from values in doubt, so that this is not always the
        answer less its limit
    leanings : the values in doubt that change it, the greatest reach first; slopes are those of the answer
    margin_leanings : the same of the margin; empty without a limit
    wider_mm : by how much the true interval may be wider than said, where the method ended; zero as a rule
    told : where the method ended, in words; empty as a rule
    sides : each limit apart, where there are two; ``margin_leanings`` are those of the nearer one then
    severity : how grave the answer is where it is, or may be, outside
    """

    section: str
    name: str
    bore: int | None
    dimension: str
    nominal: float
    lowest: float
    highest: float
    margin: float | None
    margin_lowest: float | None
    margin_highest: float | None
    leanings: tuple[Leaning, ...] = ()
    margin_leanings: tuple[Leaning, ...] = ()
    wider_mm: float = 0.0
    told: str = ""
    sides: tuple[Side, ...] = ()
    severity: Severity = "stop"

    @property
    def settled(self) -> Settled:
        """The verdict, whatever the doubt."""
        if self.margin_lowest is None or self.margin_highest is None:
            return "no limit"
        if self.margin_lowest >= 0.0:
            return "within"
        return "outside" if self.margin_highest < 0.0 else "open"

    @property
    def assumed(self) -> int:
        """How many assumed values it rests on."""
        return sum(leaning.assumed for leaning in self.leanings)
