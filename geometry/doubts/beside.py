"""Two engine files side by side: which values differ, and what that changes in the answers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, Literal, TypeAlias

from geometry.checks.clearances import SAME_MM
from geometry.checks.section import SEVERITY_WORDS, Figure, Row, Section, Severity
from geometry.doubt import Origin
from geometry.doubts.answers import Doubtful, Settled
from geometry.spec.base import quantity_of
from geometry.spec.described import Described
from geometry.spec.engine import Engine
from geometry.spec.known import look_up
from geometry.spec.locate import Path, written

Turn: TypeAlias = Literal["worse", "stays outside", "better", "moves"]
"""What becomes of a verdict from the first list to the second, in the order in which it is told."""
AnswerKey: TypeAlias = tuple[str, str, int | None]
"""Section, name and bore of an answer."""

TURNS: Final[tuple[Turn, ...]] = ("worse", "stays outside", "better", "moves")
_SAME: Final = 1e-9
_STATES: Final = ("within", "open", "outside")
_SKIPPED: Final = ("engine.name",)


@dataclass(frozen=True, slots=True)
class Entered:
    """One value as a file has it; where it is a quantity, in its house unit and with its doubt."""

    value: Any
    dimension: str = ""
    lowest: float = 0.0
    highest: float = 0.0
    origin: Origin = "measured"

    def differs(self, other: Entered) -> bool:
        """Whether the two say something else; numbers that agree to a part in a billion are the same."""
        if not self.dimension or not other.dimension:
            return bool(self.value != other.value)
        pairs = ((self.value, other.value), (self.lowest, other.lowest), (self.highest, other.highest))
        return self.origin != other.origin or any(abs(a - b) > _SAME * max(1.0, abs(a)) for a, b in pairs)


@dataclass(frozen=True, slots=True)
class Differing:
    """One key whose value differs; None where a file leaves it out and nothing stands in for it."""

    key: str
    first: Entered | None
    second: Entered | None


@dataclass(frozen=True, slots=True)
class AnswerStanding:
    """One answer in one of the lists.

    Attributes
    ----------
    value, least, most : in the house unit; None where there is no such limit
    gravity : how grave it is to stand where it does; empty within its limits, or without one
    source : who says the limit
    within : half-width to which the value is certified, zero where it is worked out
    lowest, highest : the least and the most that it may be within the doubt about the values
    settled : its verdict over that doubt; None where nothing is in doubt
    """

    value: float
    least: float | None = None
    most: float | None = None
    gravity: Severity | Literal[""] = ""
    source: str = ""
    within: float = 0.0
    lowest: float | None = None
    highest: float | None = None
    settled: Settled | None = None

    @property
    def held(self) -> bool:
        """Whether it has a limit."""
        return self.least is not None or self.most is not None

    @property
    def state(self) -> str:
        """``within``, ``open`` or ``outside``; what has no limit is within."""
        if self.settled in ("open", "outside", "within"):
            return str(self.settled)
        return "outside" if self.gravity else "within"

    @property
    def share(self) -> float:
        """What is left to the nearer limit as a share of that limit, below zero outside."""
        left = [] if self.least is None else [(self.value - self.least, abs(self.least))]
        left += [] if self.most is None else [(self.most - self.value, abs(self.most))]
        margin, limit = min(left, default=(float("inf"), 1.0))
        return margin / (limit or abs(self.value) or 1.0)


@dataclass(frozen=True, slots=True)
class Changed:
    """One answer in both lists; bores in which it changes alike stand together.

    Attributes
    ----------
    section, name, dimension : which answer, as ``Figure`` has them; of a clearance the features of the two places
    bores : the builder's numbers; empty when it concerns the whole engine
    first, second : None where the list does not have it; of a clearance: the two places do not come near
    """

    section: str
    name: str
    dimension: str
    bores: tuple[int, ...]
    first: AnswerStanding | None
    second: AnswerStanding | None

    @property
    def turn(self) -> Turn:
        """What becomes of its verdict."""
        before, after = _gravity(self.first), _gravity(self.second)
        if before != after:
            return "worse" if after > before else "better"
        return "stays outside" if after > (0, 0) else "moves"

    @property
    def same(self) -> bool:
        """Whether it is the same in both, as far as the two are certified."""
        if self.first is None or self.second is None or self.turn in ("worse", "better"):
            return False
        room = self.first.within + self.second.within
        ends = [(self.first.value, self.second.value)]
        ends += [
            (a, b)
            for a, b in (
                (self.first.lowest, self.second.lowest),
                (self.first.highest, self.second.highest),
            )
            if a is not None and b is not None
        ]
        return all(abs(a - b) <= room + _SAME * max(1.0, abs(a)) for a, b in ends)


def differing(first: Described, second: Described) -> tuple[Differing, ...]:
    """Every key whose value or whose doubt differs, in the order of the file's models; defaults count as written."""
    ones, others = _entered(first), _entered(second)
    found = (
        Differing(written(path), ones.get(path), others.get(path))
        for path in dict.fromkeys([*ones, *others])
        if _differ(ones.get(path), others.get(path))
    )
    return tuple(pair for pair in found if pair.key not in _SKIPPED)


def beside(
    first: Sequence[Section],
    second: Sequence[Section],
    doubted: tuple[Iterable[Doubtful], Iterable[Doubtful]] = ((), ()),
) -> tuple[Changed, ...]:
    """What becomes of every answer from one list to the other: what turns for the worse first, the worst of it first.

    Parameters
    ----------
    first, second : the sections of a check of either
    doubted : the same answers under doubt, where values are in doubt
    """
    one, other = (_standings(list_, told) for list_, told in zip((first, second), doubted, strict=True))
    changes = (
        Changed(*key[:2], dimension, () if key[2] is None else (key[2],), _at(one, key), _at(other, key))
        for key, dimension in {k: d for held in (one, other) for k, (d, _) in held.items()}.items()
    )
    return tuple(sorted(_alike(changes), key=_order))


def _order(change: Changed) -> tuple[int, float]:
    share = min(s.share for s in (change.second, change.first) if s is not None)
    if change.second is not None:
        share = change.second.share
    return TURNS.index(change.turn), share


def _gravity(standing: AnswerStanding | None) -> tuple[int, int]:
    """State and severity as numbers, the graver the greater; what is not there is within."""
    if standing is None:
        return (0, 0)
    severities = ("", *reversed(SEVERITY_WORDS))
    state = _STATES.index(standing.state)
    return state, severities.index(standing.gravity) if state else 0


def _at(held: Mapping[AnswerKey, tuple[str, AnswerStanding]], key: AnswerKey) -> AnswerStanding | None:
    found = held.get(key)
    return None if found is None else found[1]


def _standings(
    sections: Sequence[Section], doubted: Iterable[Doubtful]
) -> dict[AnswerKey, tuple[str, AnswerStanding]]:
    """Dimension and standing of every answer of one list; of several places of a bore the nearest speaks."""
    told: dict[AnswerKey, list[Doubtful]] = {}
    for answer in doubted:
        told.setdefault((answer.section, answer.name, answer.bore), []).append(answer)
    found: dict[AnswerKey, tuple[str, AnswerStanding]] = {}
    under: dict[AnswerKey, list[Doubtful]] = {}
    for section in sections:
        for figure in section.figures:
            key = (section.key, _answer_name(section, figure), figure.bore)
            under.setdefault(key, []).extend(told.get((section.key, figure.name, figure.bore), []))
            standing = _of_figure(figure)
            if key not in found or standing.share < found[key][1].share:
                found[key] = (figure.dimension, standing)
    return {
        key: (dimension, _over_doubt(standing, under[key])) for key, (dimension, standing) in found.items()
    }


def _answer_name(section: Section, figure: Figure) -> str:
    """Its name; of a distance between two places the features, so that bores can be told together."""
    row: Row = section.rows[figure.row] if figure.row < len(section.rows) else {}
    return f"{row['a']} : {row['b']}" if "a" in row and "b" in row else figure.name


def _of_figure(figure: Figure) -> AnswerStanding:
    """A limit that is only a note decides nothing and is left out."""
    outside = {grave for room, grave in figure.margins if room < 0.0}
    gravity: Severity | Literal[""] = next((grave for grave in SEVERITY_WORDS if grave in outside), "")
    return AnswerStanding(
        figure.value,
        None if figure.below == "note" else figure.least,
        None if figure.above == "note" else figure.most,
        gravity,
        figure.source,
        figure.within,
    )


def _over_doubt(standing: AnswerStanding, told: Sequence[Doubtful]) -> AnswerStanding:
    """The same over all values within their doubt: of several places, whichever is the nearest then."""
    if not told:
        return standing
    lows = [one.margin_lowest for one in told if one.margin_lowest is not None]
    highs = [one.margin_highest for one in told if one.margin_highest is not None]
    settled: Settled | None = None
    if lows and highs:
        settled = "within" if min(lows) >= 0.0 else "outside" if min(highs) < 0.0 else "open"
    return replace(
        standing,
        lowest=min(one.lowest for one in told),
        highest=min(one.highest for one in told),
        settled=settled,
    )


def _alike(changes: Iterable[Changed]) -> Iterator[Changed]:
    """The same answer of bores in which it stands and changes alike, as one."""
    kinds: dict[tuple[str, str], list[Changed]] = {}
    for change in changes:
        kinds.setdefault((change.section, change.name), []).append(change)
    for kind in kinds.values():
        left = sorted(kind, key=_order)
        while left:
            chosen = left[0]
            alike = [change for change in left if _reads_alike(chosen, change)]
            yield replace(chosen, bores=tuple(sorted(bore for change in alike for bore in change.bores)))
            left = [change for change in left if change not in alike]


def _reads_alike(one: Changed, other: Changed) -> bool:
    if one is other:
        return True
    if one.turn != other.turn or not one.bores or not other.bores or one.same != other.same:
        return False
    pairs = ((one.first, other.first), (one.second, other.second))
    return all(
        (a is None and b is None)
        or (a is not None and b is not None and abs(a.value - b.value) <= (SAME_MM if a.within else _SAME))
        for a, b in pairs
    )


def _differ(one: Entered | None, other: Entered | None) -> bool:
    if one is None or other is None:
        return one is not other
    return one.differs(other)


def _entered(described: Described) -> dict[Path, Entered]:
    """Every value that stands in the file or by default, by path."""
    known = {value.path: value for value in described.values}
    found: dict[Path, Entered] = {}
    for path, value in _leaves(described.spec.model_dump(by_alias=True), ()):
        if path in known:
            told = known[path]
            found[path] = Entered(told.nominal, told.dimension, told.lowest, told.highest, told.origin)
            continue
        field, _ = look_up(Engine, path)
        quantity = None if field is None else quantity_of(field.annotation, field.metadata)
        if quantity is not None and isinstance(value, int | float):
            found[path] = Entered(float(value), quantity.dimension, float(value), float(value))
        else:
            found[path] = Entered(value)
    return found


def _leaves(data: Any, path: Path) -> Iterator[tuple[Path, Any]]:
    """Single values; a list that holds no tables and no quantities is one."""
    if isinstance(data, dict):
        for key, inner in data.items():
            yield from _leaves(inner, (*path, key))
    elif isinstance(data, list) and not all(isinstance(item, str | int) for item in data):
        for place, inner in enumerate(data):
            yield from _leaves(inner, (*path, place))
    elif data is not None:
        yield path, data
