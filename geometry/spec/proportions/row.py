"""One row of the table of proportions: what a value usually is, how far that may be out, and how it is measured."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, TypeAlias

DimensionKind: TypeAlias = Literal[
    "journal", "machined", "stock", "forged", "cast", "sheet", "depth", "volume", "angle", "mass", "torque",
    "material", "speed", "chosen",
]  # fmt: skip
"""How a dimension comes to be, which decides how far an unmeasured one may be out: a ground journal or housing, a
machined distance, something bought in standard sizes, a forged or cast outside, pressed sheet, a small depth, ..; and
``chosen`` for what the builder decides (a speed, a limit), which is in no doubt."""
Instrument: TypeAlias = Literal[
    "micrometer", "bore_gauge", "caliper", "depth_gauge", "height_gauge", "rule", "feeler", "burette", "protractor",
    "radius_gauge", "thread_gauge", "scales", "torque_wrench", "sheet",
]  # fmt: skip
"""What a value is measured with; ``sheet``: nobody measures it, the part's maker says it."""


@dataclass(frozen=True, slots=True)
class Proportion:
    """What is known beforehand of one key of the engine file.

    Attributes
    ----------
    key : as the user writes it, arrays without their number: ``piston.grooves[].root``
    kind : how the dimension comes to be
    instrument : what it is measured with
    how : how it is measured, one line in the trade's words, ending without a full stop
    rule : its usual value in the house unit, from the values known so far by key; None where no proportion is known.
        For a place in an array the key carries it, counted from 1
    told : the proportion in words: ``0.6 of the stroke``; empty without a rule. What stands in an array has its words,
        and its rule comes with its place (``table.usual``)
    leaves : how far out a value may still be when it was measured so, either way, in its house unit; None: as far as
        the instrument leaves it (``instruments.TOOLS``)
    """

    key: str
    kind: DimensionKind
    instrument: Instrument
    how: str
    rule: Callable[[ValuesByKey], float] | None = None
    told: str = ""
    leaves: float | None = None


ValuesByKey: TypeAlias = "dict[str, float]"
"""House-unit values by key as the user writes it, arrays counted from 1."""
