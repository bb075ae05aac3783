"""The least and the most of many numbers over a box of doubt, each evaluated at its own worst and best corner.

A number that follows from the engine's values by a formula of the trade is very nearly a sum of one term for each
value as long as the doubt is small against the value. So each value is moved to its two ends alone; what that does to a
number says at which end it is least. Put together these ends are the number's worst corner. It is then worked out
there, and where it is not what the sum of the single changes says, each value is tried at its other end from there,
until nothing makes it worse. What a number does not lean on stays free, so that many numbers share a corner. Values
that do nothing alone may do something together: all are moved off nominal at once, two ways, and a number that does not
change then by the sum of the single changes is searched over all values from there.

Where it ends: nothing between the corners is looked at but the two ends of each value alone and the nominal ones. How
far the sum of the single changes lies beyond what was found at the corner is told (``Doubtful.wider_mm``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import isfinite
from typing import Final, TypeAlias

from geometry.doubts.answers import Doubtful, Leaning, Side
from geometry.doubts.box import Coordinate, DoubtBox
from geometry.errors import GeometryError, InputError

AnswerKey: TypeAlias = tuple[str, str, int | None]
"""Section, name and bore: what a ``Doubtful`` is known by."""
Point: TypeAlias = "Mapping[str, float]"
"""Values by key of coordinate that differ from nominal."""
SHARE: Final = 0.02
"""How far the sum of the single changes may lie from what is found at a corner, as a share of the interval, before
the other ends are tried."""
ROUNDS: Final = 3
MOST_TRIED: Final = 10
"""Values whose other end is tried from a corner in a round: those of the greatest reach."""
NOTHING: Final = 1e-12
"""Changes below this share of the number itself are rounding."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One number at one point, in the house unit of its dimension, and what holds it.

    Attributes
    ----------
    value : the number
    least, most : what it is held to there; None where there is no such limit
    dimension : a key of ``units.DIMENSIONS``, or ``ratio``
    """

    value: float
    least: float | None
    most: float | None
    dimension: str


Read: TypeAlias = Callable[[Point], Mapping[AnswerKey, Reading]]
"""Works out the numbers at a point; may raise ``GeometryError`` or ``InputError`` where nothing can be put together."""


def answers_in_doubt(box: DoubtBox, read: Read) -> tuple[Doubtful, ...]:
    """Every number with its least and its most over the box, in the order in which they are read at nominal values.

    Parameters
    ----------
    box : the values in doubt
    read : works out all numbers at a point, such as ``lambda point: figures_of(box.assembly_at(point))``

    Raises
    ------
    GeometryError, InputError : nothing can be put together at nominal values
    """
    seen = _Seen(read)
    nominal = seen.nominal
    ends = {side.key: tuple(_ends(side)) for side in box.coordinates}
    for key, values in ends.items():
        for value in values:
            seen.at({key: value})
    tasks = [
        _Task(key, part, sign, seen.changes(key, part, ends))
        for key, reading in nominal.items()
        for part in _parts(reading)
        for sign in (1.0, -1.0)
    ]
    _start_afield(tasks, seen, ends)
    for _ in range(ROUNDS):
        open_ = [task for task in tasks if not task.done]
        if not open_:
            break
        shared = merged([task.corner for task in open_])
        for task in open_:
            task.corner = next(corner for corner in shared if corner.items() >= task.corner.items())
            task.judge(seen, ends)
    found: dict[AnswerKey, dict[tuple[str, float], _Task]] = {}
    for task in tasks:
        found.setdefault(task.key, {})[task.part, task.sign] = task
    return tuple(_answer(box, seen, key, found[key]) for key in nominal)


def _start_afield(tasks: Sequence[_Task], seen: _Seen, ends: Mapping[str, Sequence[float]]) -> None:
    """Let numbers that values change only together start from where they are all off nominal."""
    for turn in range(2):
        point = {name: values[(k + turn) % len(values)] for k, (name, values) in enumerate(ends.items())}
        seen.at(point)
        for task in tasks:
            here, nominal = (seen.number(task.key, task.part, at) for at in (point, {}))
            if here is None or nominal is None:
                continue
            single = [
                task.changes[name][end] for name, end in point.items() if end in task.changes.get(name, ())
            ]
            span = max(sum(map(abs, single)), abs(here - nominal))
            if abs(here - nominal - sum(single)) > max(SHARE * span, NOTHING * abs(nominal)):
                task.corner = {**point, **task.corner}
                task.afield = True


def merged(corners: Iterable[Point]) -> list[dict[str, float]]:
    """Fewer corners that hold all of these: two are put together where they do not want one value at two ends."""
    out: list[dict[str, float]] = []
    for corner in sorted(corners, key=len, reverse=True):
        for other in out:
            if all(other.get(key, value) == value for key, value in corner.items()):
                other.update(corner)
                break
        else:
            out.append(dict(corner))
    return out


def _ends(side: Coordinate) -> Iterator[float]:
    """The ends of a value that are not its nominal."""
    yield from (end for end in (side.lowest, side.highest) if end != side.nominal)


def _parts(reading: Reading) -> Iterator[str]:
    """The smooth numbers that an answer is made of: itself, and what is left to either limit."""
    yield "value"
    if reading.least is not None:
        yield "over"
    if reading.most is not None:
        yield "under"


def _part(reading: Reading, part: str) -> float | None:
    if part == "value":
        return reading.value
    if part == "over":
        return None if reading.least is None else reading.value - reading.least
    return None if reading.most is None else reading.most - reading.value


class _Seen:
    """All that was worked out so far, by point."""

    def __init__(self, read: Read) -> None:
        self._read = read
        self.nominal = read({})
        self.points: dict[tuple[tuple[str, float], ...], Mapping[AnswerKey, Reading]] = {(): self.nominal}
        self.refused: dict[tuple[tuple[str, float], ...], str] = {}

    def at(self, point: Point) -> Mapping[AnswerKey, Reading]:
        """The numbers at a point; none where nothing can be put together, and the reason is kept."""
        name = tuple(sorted(point.items()))
        if name not in self.points:
            try:
                self.points[name] = self._read(point)
            except (GeometryError, InputError, ValueError, ArithmeticError) as bad:
                self.points[name], self.refused[name] = {}, str(bad).splitlines()[0]
        return self.points[name]

    def number(self, key: AnswerKey, part: str, point: Point) -> float | None:
        """One number at a point; None where it is not to be had."""
        reading = self.at(point).get(key)
        found = None if reading is None else _part(reading, part)
        return found if found is not None and isfinite(found) else None

    def changes(
        self, key: AnswerKey, part: str, ends: Mapping[str, Sequence[float]]
    ) -> dict[str, dict[float, float]]:
        """What each value that changes a number at all does to it, by the end that it is moved to."""
        here = self.number(key, part, {})
        out: dict[str, dict[float, float]] = {}
        if here is None:
            return out
        for name, values in ends.items():
            there = {value: self.number(key, part, {name: value}) for value in values}
            moved = {value: found - here for value, found in there.items() if found is not None}
            if any(abs(change) > NOTHING * max(1.0, abs(here)) for change in moved.values()):
                out[name] = moved
        return out

    def every(self, key: AnswerKey, part: str) -> list[float]:
        """All that was found of one number."""
        found = (_part(numbers[key], part) for numbers in self.points.values() if key in numbers)
        return [number for number in found if number is not None and isfinite(number)]

    def lack(self, key: AnswerKey) -> str:
        """Why a number could not be worked out everywhere; empty where it could."""
        for name, numbers in self.points.items():
            where = " and ".join(f"{k} = {value:.6g}" for k, value in name[:2]) + (", .." if name[2:] else "")
            if name in self.refused:
                return f"nothing can be put together with {where}: {self.refused[name]}"
            if key not in numbers:
                return f"not to be had with {where}"
            if not isfinite(numbers[key].value):
                return f"no number with {where}"
        return ""


@dataclass(slots=True)
class _Task:
    """The search for one end of one number: ``sign`` 1 for its least, -1 for its most."""

    key: AnswerKey
    part: str
    sign: float
    changes: dict[str, dict[float, float]]
    corner: dict[str, float] = field(init=False)
    predicted: float = field(init=False, default=0.0)
    """What the sum of the single changes says, less nominal."""
    done: bool = field(init=False, default=False)
    afield: bool = field(init=False, default=False)
    """Values change the number together otherwise than alone: all of them are tried."""

    def __post_init__(self) -> None:
        self.corner = {}
        for name, moved in self.changes.items():
            end = min(moved, key=lambda value: self.sign * moved[value])
            if self.sign * moved[end] < 0:
                self.corner[name] = end
                self.predicted += moved[end]

    def judge(self, seen: _Seen, ends: Mapping[str, Sequence[float]]) -> None:
        """See whether the corner is what was foreseen; if not, go on to a neighbour that is worse, if any."""
        here, nominal = (seen.number(self.key, self.part, point) for point in (self.corner, {}))
        self.done = True
        if here is None or nominal is None:
            return
        span = max(abs(self.predicted), abs(here - nominal))
        if not self.afield and abs(here - nominal - self.predicted) <= SHARE * span:
            return
        reach = {name: max(abs(c) for c in moved.values()) for name, moved in self.changes.items()}
        tried = list(ends) if self.afield else sorted(reach, key=lambda name: -reach[name])[:MOST_TRIED]
        for name in tried:
            for end in ends[name]:
                other = {**self.corner, name: end}
                there = seen.number(self.key, self.part, other)
                if there is not None and self.sign * (there - here) < 0:
                    self.corner, here, self.done = other, there, False


def _answer(box: DoubtBox, seen: _Seen, key: AnswerKey, tasks: Mapping[tuple[str, float], _Task]) -> Doubtful:
    """All that is known of one number put together."""
    reading = seen.nominal[key]
    spans = {part: _span(seen, key, part, tasks) for part in _parts(reading)}
    lowest, highest, wider = spans["value"]
    left = [part for part in ("over", "under") if part in spans]
    margin = min((m for part in left if (m := _part(reading, part)) is not None), default=None)
    nearer = min(left, key=lambda part: _part(reading, part) or 0.0, default=None)
    section, name, bore = key
    lack = seen.lack(key)
    margins = None if margin is None else _margins(reading, spans, open_=bool(lack))
    return Doubtful(
        section,
        name,
        bore,
        reading.dimension,
        reading.value,
        lowest,
        highest,
        margin,
        None if margins is None else margins[0],
        None if margins is None else margins[1],
        leanings(box, tasks["value", 1.0].changes),
        () if nearer is None else leanings(box, tasks[nearer, 1.0].changes),
        wider,
        lack,
        () if lack or len(left) < 2 else tuple(_side(box, reading, part, spans, tasks) for part in left),
    )


def _side(
    box: DoubtBox,
    reading: Reading,
    part: str,
    spans: Mapping[str, tuple[float, float, float]],
    tasks: Mapping[tuple[str, float], _Task],
) -> Side:
    """What is left to one limit."""
    low, high, _ = spans[part]
    return Side(_part(reading, part) or 0.0, low, high, leanings(box, tasks[part, 1.0].changes))


def _margins(
    reading: Reading, spans: Mapping[str, tuple[float, float, float]], open_: bool
) -> tuple[float, float]:
    """What is left to the nearer limit, least and most.

    Of two limits the nearer one may change within the box: the most that can be left is no more than the most to
    either, and no more than half of what lies between them where that is fixed.
    """
    low = min(spans[part][0] for part in ("over", "under") if part in spans)
    high = min(spans[part][1] for part in ("over", "under") if part in spans)
    if reading.least is not None and reading.most is not None:
        fixed = abs((spans["over"][0] - spans["value"][0]) + reading.least) < NOTHING
        high = min(high, (reading.most - reading.least) / 2) if fixed else high
    # what cannot be put together somewhere is settled nowhere
    return (min(low, -NOTHING), max(high, 0.0)) if open_ else (low, high)


def _span(
    seen: _Seen, key: AnswerKey, part: str, tasks: Mapping[tuple[str, float], _Task]
) -> tuple[float, float, float]:
    """Least, most, and by how much the sum of the single changes lies beyond either."""
    every = seen.every(key, part)
    here = seen.number(key, part, {})
    if not every or here is None:
        return float("nan"), float("nan"), 0.0
    low, high = min(every), max(every)
    beyond = max(low - (here + tasks[part, 1.0].predicted), here + tasks[part, -1.0].predicted - high, 0.0)
    return low, high, beyond if beyond > SHARE * (high - low) else 0.0


def leanings(box: DoubtBox, changes: Mapping[str, Mapping[float, float]]) -> tuple[Leaning, ...]:
    """The values that change a number, the greatest reach first.

    Parameters
    ----------
    changes : by key of coordinate, the change of the number by the end that the value is moved to
    """
    found = []
    for side in box.coordinates:
        if side.key not in changes:
            continue
        moved = changes[side.key]
        below, above = moved.get(side.lowest, 0.0), moved.get(side.highest, 0.0)
        slope = (above - below) / (side.highest - side.lowest)
        found.append(Leaning(side.key, slope, below, above, side.assumed))
    return tuple(sorted(found, key=lambda leaning: -leaning.reach))
