"""How far the weighed parts of the bores are apart, and which to lighten by how much.

Pins, locks and rings are not lightened: what they are over comes off the piston that they ride on, so that each piston
is matched with its set. The two ends of a rod are matched each for itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from geometry.balance.weights import PARTS, BoreWeight, PartName, Weighed
from geometry.spec.engine import Engine

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
    Matched("piston", ("piston", "pin", "locks", "rings"), "piston with what rides on it"),
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


def tolerance_kg(spec: Engine) -> tuple[float, str]:
    """How far like parts may differ, and who says so."""
    own = spec.weights.tolerance_kg
    return (TOLERANCE_KG, TOLERANCE_SOURCE) if own is None else (own, "your engine file")


def weight_matches(
    weighed: Mapping[int, Mapping[PartName, float]], tolerance_kg: float = TOLERANCE_KG
) -> tuple[WeightMatch, ...]:
    """Every set of parts that was weighed in at least two bores, by set and bore.

    What rides on the part that is lightened counts where it was weighed in every one of these bores.

    Parameters
    ----------
    weighed : weights off the scales by bore and part, kg
    tolerance_kg : most that the heaviest may be over the lightest
    """
    found = []
    for matched in SETS:
        bores = [bore for bore in sorted(weighed) if matched.lighten in weighed[bore]]
        if len(bores) < 2:
            continue
        parts = [part for part in matched.parts if all(part in weighed[bore] for bore in bores)]
        masses = {bore: sum(weighed[bore][part] for part in parts) for bore in bores}
        lightest = min(bores, key=lambda bore: masses[bore])
        found += [
            WeightMatch(bore, matched, mass, masses[lightest], lightest, tolerance_kg)
            for bore, mass in masses.items()
        ]
    return tuple(found)


def weighed_parts(bores: Sequence[BoreWeight]) -> dict[int, dict[PartName, float]]:
    """Weights that bores have of their own: by the build record, else by the engine file where bores differ."""
    recorded = {bore.bore: _from(bore, "record") for bore in bores}
    if any(recorded.values()):
        return recorded
    written = {bore.bore: _from(bore, "file") for bore in bores}
    odd = {part for part in PARTS if len({parts.get(part) for parts in written.values()}) > 1}
    return {bore: {part: kg for part, kg in parts.items() if part in odd} for bore, parts in written.items()}


def _from(bore: BoreWeight, source: Weighed) -> dict[PartName, float]:
    return {name: part.mass_kg for name, part in bore.parts.items() if part.source == source}
