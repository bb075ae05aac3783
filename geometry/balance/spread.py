"""How far the weighed parts of the bores are apart, and which to lighten by how much.

Pins, locks and rings are not lightened: what they are over comes off the piston that they ride on, so that each piston
is matched with its set. The two ends of a rod are matched each for itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from geometry.balance.weights import BoreWeight, PartName

TOLERANCE_KG: Final = 0.001
TOLERANCE_SOURCE: Final = "common practice, no source"
ROUNDING_KG: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Matched:
    """Parts that are weighed as one, and the one of them that metal is taken off.

    Attributes
    ----------
    lighten : the part that is lightened
    parts : what is weighed together
    words : what it is called
    """

    lighten: PartName
    parts: tuple[PartName, ...]
    words: str


SETS: Final = (
    Matched("piston", ("piston", "pin", "locks", "rings"), "piston with pin, locks and rings"),
    Matched("rod_small", ("rod_small",), "small end of the rod"),
    Matched("rod_big", ("rod_big", "shells"), "big end of the rod with shells"),
)


@dataclass(frozen=True, slots=True)
class WeightMatch:
    """One set of parts of one bore beside the lightest of its kind.

    Attributes
    ----------
    bore : the builder's number
    matched : which parts
    mass_kg, lightest_kg : of this bore, and of the lightest bore
    lightest_bore : where that is
    tolerance_kg : most that may be between them
    """

    bore: int
    matched: Matched
    mass_kg: float
    lightest_kg: float
    lightest_bore: int
    tolerance_kg: float

    @property
    def over_kg(self) -> float:
        """What it weighs more than the lightest: to come off for a perfect match."""
        return self.mass_kg - self.lightest_kg

    @property
    def is_over(self) -> bool:
        """Whether that is more than the tolerance."""
        return self.over_kg > self.tolerance_kg + ROUNDING_KG


def weight_matches(
    bores: Sequence[BoreWeight], tolerance_kg: float = TOLERANCE_KG
) -> tuple[WeightMatch, ...]:
    """Every set of parts that was weighed in at least two bores, by set and bore.

    Parameters
    ----------
    bores : what they weigh
    tolerance_kg : most that the heaviest may be over the lightest
    """
    found = []
    for matched in SETS:
        weighed = _weighed(bores, matched)
        if not weighed:
            continue
        lightest = min(weighed, key=lambda bore: bore.of(matched.parts))
        least = lightest.of(matched.parts)
        found += [
            WeightMatch(bore.bore, matched, bore.of(matched.parts), least, lightest.bore, tolerance_kg)
            for bore in weighed
        ]
    return tuple(found)


def _weighed(bores: Sequence[BoreWeight], matched: Matched) -> Sequence[BoreWeight]:
    """Bores in which the part that is lightened was weighed by itself; none where that is fewer than two.

    By the build record; without one by the engine file, where that gives bores weights of their own.
    """
    part = matched.lighten
    recorded = [bore for bore in bores if bore.parts[part].source == "record"]
    if recorded:
        return recorded if len(recorded) > 1 else ()
    written = [bore for bore in bores if bore.parts[part].source == "file"]
    differ = len({bore.parts[part].mass_kg for bore in written}) > 1
    return written if differ else ()
