"""How far an unmeasured value may be out, by how its dimension comes to be.

Two shares for each kind: of a value that somebody wrote as ``about`` (looked up, remembered, held to a rule), and of
one that nobody wrote, which was filled in by proportion. No standard says either; every reason tells which are common
practice and which are judgement.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from geometry.doubt import exact_sum
from geometry.spec.base import Quantity
from geometry.spec.doubts import DoubtShares, DoubtTable
from geometry.spec.proportions.row import DimensionKind

Way = Literal["about", "filled"]


@dataclass(frozen=True, slots=True)
class Out:
    """How far out a value of one kind may be, either way.

    Attributes
    ----------
    share : of the value's own magnitude
    least : but at least so much, in the house unit of ``dimension``; zero for no such floor
    reason : why, ending with who says so
    dimension : what ``least`` counts in, a key of ``units.DIMENSIONS``
    """

    share: float
    least: float
    reason: str
    dimension: str = "length"


_PRACTICE: Final = "common practice, no source"
_JUDGEMENT: Final = "judgement, no source"

ABOUT: Final[Mapping[DimensionKind, Out]] = {
    "journal": Out(
        0.01, 0.05, f"journals and housings are reground in steps of a hundredth of it; {_PRACTICE}"
    ),
    "machined": Out(0.02, 0.25, f"a machined distance off a rule or a list; {_JUDGEMENT}"),
    "stock": Out(0.05, 0.1, f"a standard size, perhaps the next one; {_JUDGEMENT}"),
    "forged": Out(0.05, 0.8, f"a forging with its draft and flash; {_PRACTICE}"),
    "cast": Out(0.05, 0.8, f"a casting as poured, a thirty-second of an inch or a twentieth; {_PRACTICE}"),
    "sheet": Out(0.1, 1.6, f"pressed sheet that bends as it is handled; {_JUDGEMENT}"),
    "depth": Out(
        0.25, 0.025, f"a small depth by eye, a quarter of it or a thousandth of an inch; {_JUDGEMENT}"
    ),
    "volume": Out(0.05, 0.5, f"a volume without a burette; {_JUDGEMENT}", "volume"),
    "angle": Out(0.03, 1.0, f"an angle by eye or off a card; {_JUDGEMENT}", "angle"),
    "mass": Out(0.05, 0.0, f"a weight from a list, parts differ by so much; {_JUDGEMENT}", "mass"),
    "torque": Out(0.1, 0.0, f"a torque from memory; {_JUDGEMENT}", "torque"),
    "material": Out(0.1, 0.0, f"an alloy by its family name; {_JUDGEMENT}"),
    "speed": Out(0.05, 0.0, f"a speed off the dial; {_JUDGEMENT}", "rotation"),
    "chosen": Out(0.0, 0.0, ""),
}
"""Of a value that somebody wrote as ``about``."""

FILLED: Final[Mapping[DimensionKind, Out]] = {
    "journal": Out(0.1, 0.5, f"journals of engines of one size differ by a tenth; {_JUDGEMENT}"),
    "machined": Out(0.1, 1.0, f"distances of engines of one size differ by a tenth; {_JUDGEMENT}"),
    "stock": Out(0.15, 0.2, f"the next standard size either way; {_JUDGEMENT}"),
    "forged": Out(0.15, 1.5, f"forgings of engines of one size differ by a seventh; {_JUDGEMENT}"),
    "cast": Out(0.15, 1.5, f"castings of engines of one size differ by a seventh; {_JUDGEMENT}"),
    "sheet": Out(0.3, 3.0, f"pans are as deep as the frame allows; {_JUDGEMENT}"),
    "depth": Out(0.5, 0.05, f"from half of it to half as much again; {_JUDGEMENT}"),
    "volume": Out(0.25, 2.0, f"chambers and crowns differ by a quarter; {_JUDGEMENT}", "volume"),
    "angle": Out(0.1, 2.0, f"angles differ from engine to engine by a tenth; {_JUDGEMENT}", "angle"),
    "mass": Out(0.2, 0.0, f"parts of one size differ by a fifth; {_JUDGEMENT}", "mass"),
    "torque": Out(0.25, 0.0, f"it hangs on the thread and its grease; {_JUDGEMENT}", "torque"),
    "material": Out(0.15, 0.0, f"alloys of one family differ by a seventh; {_JUDGEMENT}"),
    "speed": Out(0.1, 0.0, f"engines of one size differ by a tenth; {_JUDGEMENT}", "rotation"),
    "chosen": Out(0.0, 0.0, ""),
}
"""Of a value that was filled in by proportion."""

_BY_DIMENSION: Final[Mapping[str, DimensionKind]] = {
    "length": "machined", "angle": "angle", "mass": "mass", "force": "material", "torque": "torque",
    "pressure": "material", "rotation": "speed", "speed": "speed", "temperature": "material",
    "temperature_difference": "material", "expansion": "material", "volume": "volume", "density": "material",
    "area": "machined",
}  # fmt: skip

MOST_OF_POSITIVE: Final = 0.5
"""What must lie above zero is never in doubt by more than this share of itself."""


def kind_of_dimension(dimension: str) -> DimensionKind:
    """How a dimension comes to be where no row of the table of proportions says it."""
    return _BY_DIMENSION[dimension]


def out_of(kind: DimensionKind, way: Way, table: DoubtTable) -> Out:
    """How far out a value may be, by the trade or by the builder's own ``[doubt]`` table.

    A share of the builder's own changes the floor in the same proportion; what was filled in is never in less doubt
    than what is about so much, unless the table says it.
    """
    if kind == "chosen":
        return ABOUT[kind]
    about = _own(ABOUT[kind], table, kind, "[doubt]")
    if way == "about":
        return about
    filled = _own(FILLED[kind], table.filled, kind, "[doubt.filled]")
    own = getattr(table.filled, kind) is not None
    return about if about.share > filled.share and not own else filled


def _own(usual: Out, shares: DoubtShares, kind: DimensionKind, table: str) -> Out:
    share: float | None = getattr(shares, kind)
    if share is None:
        return usual
    return Out(share, usual.least * share / usual.share, f"your own share in {table}", usual.dimension)


def half_width(nominal: float, quantity: Quantity, out: Out) -> float:
    """How far out a value may be either way, in its house unit.

    A share of its magnitude, also for positions that may be zero or negative, but at least the kind's floor; for
    what must lie above zero at most half of itself.
    """
    floor = out.least if out.dimension == quantity.dimension else 0.0
    wide = max(out.share * abs(nominal), floor)
    return min(wide, MOST_OF_POSITIVE * nominal) if quantity.least == 0.0 and nominal > 0.0 else wide


def band(nominal: float, quantity: Quantity, out: Out) -> tuple[float, float]:
    """The least and the most that a value may be, within the limits of its quantity."""
    wide = half_width(nominal, quantity, out)
    return max(exact_sum(nominal, -wide), quantity.least), min(exact_sum(nominal, wide), quantity.most)


def told(out: Out) -> str:
    """The share with its reason: ``5 % of it: a casting as poured ..``."""
    return f"{out.share * 100:.3g} % of it: {out.reason}" if out.reason else ""
