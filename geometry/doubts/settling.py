"""The size that gives what is wanted: solved for, put on the shop's scale, and how far it may be out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from math import ceil, floor
from typing import Final, TypeAlias

from geometry.assembly import Assembly
from geometry.doubts.answers import Doubtful
from geometry.doubts.box import DoubtBox
from geometry.doubts.clearances import clearances_in_doubt
from geometry.doubts.corners import Reading, answers_in_doubt, leanings
from geometry.doubts.solving import NoRoot, Root, solve
from geometry.doubts.wanted import Varied, Want, bare
from geometry.units import System

BoxAt: TypeAlias = Callable[[float], DoubtBox]
"""The engine with the one value made to so much, in its house unit, and so in no doubt; may refuse it."""

SHOP_STEPS: Final[dict[str, dict[System, float]]] = {
    "length": {"in": 0.0254, "mm": 0.01}, "angle": {"in": 0.5, "mm": 0.5}, "volume": {"in": 0.1, "mm": 0.1},
    "torque": {"in": 1.3558179483314004, "mm": 1.0}, "rotation": {"in": 50.0, "mm": 50.0},
    "mass": {"in": 0.0001, "mm": 0.0001},
}  # fmt: skip
"""What a size is made or set to, in the house unit: a thou or a hundredth, half a degree, a tenth of a cc, a foot-pound
or a newton metre, 50 rpm, a tenth of a gram (common practice, no source)."""
LEAST_STEP: Final = 0.02


@dataclass(frozen=True, slots=True)
class Sized:
    """One size on the shop's scale and the answer that it gives."""

    size: float
    answer: float


@dataclass(frozen=True, slots=True)
class Solved:
    """The value that gives what is wanted.

    Attributes
    ----------
    before, answer_before : the value and the answer as they are now
    value : the solution
    sizes : the sizes of the shop on either side of it, the lower first
    chosen : the one of them that meets what is wanted, or is nearest to it
    lowest, highest : what the solution may be over the doubt of all other values; None where there is none at the
        corner that would say so, or where it was not worked out
    told : the answer over that doubt, with the value at the solution; None where nothing is in doubt, and for places
        that do not come near, of which it is not worked out
    """

    before: float
    answer_before: float
    value: float
    sizes: tuple[Sized, ...]
    chosen: Sized
    lowest: float | None
    highest: float | None
    told: Doubtful | None


def settle(want: Want, by: Varied, box_at: BoxAt, system: System) -> Solved | NoRoot:
    """Solve for one value, put it on the shop's scale, and say how far it may be out.

    Parameters
    ----------
    box_at : the engine with that value at so much, over the doubt of all others
    system : whose scale the shop works to

    Raises
    ------
    ValueError : the answer cannot be had from the engine as it is
    """

    def answer(value: float) -> float:
        return want.read(_made(want, box_at(value), {}))

    before = answer(by.now)
    root = solve(answer, want.value, by.now, by.limits, LEAST_STEP)
    if isinstance(root, NoRoot):
        return root
    sizes = tuple(_sizes(root, by, system, answer))
    chosen = _chosen(want, sizes) or Sized(root.value, answer(root.value))
    low, high, told = _in_doubt(want, by, box_at, root.value)
    return Solved(by.now, before, root.value, sizes, chosen, low, high, told)


def _made(want: Want, box: DoubtBox, point: Mapping[str, float]) -> Assembly:
    """The engine at a point, with its bodies only where they are needed."""
    return box.assembly_at(point) if want.bodies else bare(box.spec_at(point), box.built_at(point))


def _sizes(root: Root, by: Varied, system: System, answer: Callable[[float], float]) -> Iterator[Sized]:
    """The sizes of the shop on either side of the solution at which there is an engine."""
    step = SHOP_STEPS.get(by.dimension, {}).get(system)
    if step is None:
        return
    ticks = root.value / step
    on_scale = abs(ticks - round(ticks)) < 1e-6
    for tick in dict.fromkeys([round(ticks)] if on_scale else [floor(ticks), ceil(ticks)]):
        try:
            yield Sized(tick * step, answer(tick * step))
        except (ValueError, ArithmeticError):
            continue


def _chosen(want: Want, sizes: tuple[Sized, ...]) -> Sized | None:
    """The nearest size that meets what is wanted; where just so much is wanted, whichever comes nearest to it."""
    good = [sized for sized in sizes if want.relation == "=" or want.met_by(sized.answer)]
    return min(good, key=lambda sized: abs(sized.answer - want.value), default=None)


def _in_doubt(
    want: Want, by: Varied, box_at: BoxAt, value: float
) -> tuple[float | None, float | None, Doubtful | None]:
    """Least and most that the solution may be over the doubt of all other values.

    Each other value is put at either end of its doubt alone, at the solution, which says at which of its ends the
    answer is least (of a distance: at the place where it is least, by one evaluation each); the value is then solved
    for again at the answer's worst and at its best corner.
    """
    box = box_at(value)
    if not box.coordinates:
        return value, value, None
    told = _distance_over(want, box) if want.places else _figure_over(want, box)
    if told is None:
        return None, None, None
    ends = {side.key: (side.lowest, side.highest) for side in box.coordinates}
    roots: list[Root | NoRoot | None] = []
    for sense in (1.0, -1.0):
        corner = {
            leaning.key: ends[leaning.key][sense * leaning.below > sense * leaning.above]
            for leaning in told.leanings
        }

        def there(size: float, corner: Mapping[str, float] = corner) -> float:
            return want.read(_made(want, box_at(size), corner))

        try:
            roots.append(solve(there, want.value, value, by.limits, LEAST_STEP))
        except (ValueError, ArithmeticError):
            roots.append(None)
    values = [root.value if isinstance(root, Root) else None for root in roots]
    known = [one for one in values if one is not None]
    low = min(known, default=None) if len(known) == 2 or (known and known[0] < value) else None
    high = max(known, default=None) if len(known) == 2 or (known and known[0] >= value) else None
    return low, high, told


def _figure_over(want: Want, box: DoubtBox) -> Doubtful:
    """What is wanted, over the doubt of all other values."""

    def read(point: Mapping[str, float]) -> dict[tuple[str, str, int | None], Reading]:
        found = want.read(_made(want, box, point))
        return {(want.section, want.name, want.bore): Reading(found, None, None, want.dimension)}

    (told,) = answers_in_doubt(box, read)
    return told


def _distance_over(want: Want, box: DoubtBox) -> Doubtful | None:
    """The same of a distance, of the pair that may come nearest; None where no pair comes near."""
    pairs = [pair for pair in clearances_in_doubt(box) if any(want.about(near.pair) for near in pair.near)]
    worst = min(pairs, key=lambda pair: pair.lowest_mm, default=None)
    if worst is None:
        return None
    nominal = min(near.approach.min_mm for near in worst.near)
    low, high = min(worst.lowest_mm, nominal), max(worst.highest_mm, nominal)
    return Doubtful(
        want.section, want.name, want.bore, "length", nominal, low, high, None, None, None,
        leanings(box, worst.changes), (), worst.wider_mm, worst.told,
    )  # fmt: skip
