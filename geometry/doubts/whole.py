"""The whole engine under doubt: the rows of the table of clearances with their least and their most."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from geometry.assembly import Assembly
from geometry.checks.clearances import figure_of, judged, judged_of, meeting_of
from geometry.checks.section import ROUNDING, Figure
from geometry.clearance.full_turn import FullTurn, full_turn
from geometry.clearance.limits import limit_for
from geometry.doubts.answers import Doubtful
from geometry.doubts.box import DoubtBox
from geometry.doubts.clearances import BoundedPair, clearances_in_doubt
from geometry.doubts.corners import NOTHING, leanings
from geometry.spec.engine import Engine


def doubtful_clearances(
    box: DoubtBox, assembly: Assembly | None = None, turn: FullTurn | None = None
) -> tuple[Doubtful, ...]:
    """Every row of the table of clearances over the box, in the order of the table, then what else may miss its limit.

    Section, name and bore are those of the row's figure (``checks.clearances.figure_of``). A row is the nearest of all
    places of its two features and bores; so its lowest is the least of theirs, and its highest no more than the least
    of their highest.

    Parameters
    ----------
    assembly, turn : the engine at nominal values and all its clearances, where they are known

    Raises
    ------
    GeometryError : it cannot be put together at nominal values
    """
    assembly = assembly or box.assembly_at({})
    turn = turn or full_turn(assembly)
    answers = {id(near): (near, answer) for answer in clearances_in_doubt(box, turn) for near in answer.near}
    members: dict[tuple[object, ...], list[BoundedPair]] = {}
    for near, answer in answers.values():
        members.setdefault(meeting_of(near.pair), []).append(answer)
    limits = _Limits(box, assembly.spec)
    rows = judged(assembly, turn)
    table = {meeting_of(clearance.near.pair) for clearance in rows}
    more = judged_of(assembly, [near for near, _ in answers.values() if meeting_of(near.pair) not in table])
    found = []
    for row, clearance in enumerate([*rows, *more]):
        all_ = members[meeting_of(clearance.near.pair)]
        limit = limits.of(clearance.limit.name)
        row_answer = _row(box, figure_of(row, clearance), answers[id(clearance.near)][1], all_, limit)
        if row < len(rows) or row_answer.settled != "within":
            found.append(row_answer)
    return tuple(found)


def _row(
    box: DoubtBox, figure: Figure, own: BoundedPair, all_: list[BoundedPair], limit: tuple[float, float]
) -> Doubtful:
    """One row from all places that it is the nearest of."""
    lowest, highest = min(a.lowest_mm for a in all_), min(a.highest_mm for a in all_)
    least = figure.least or 0.0
    lowest, highest = min(lowest, figure.value), max(highest, figure.value)
    margins = margins_of(all_, limit)
    refused = next((a.refused for a in all_ if a.refused), "")
    if refused:  # what cannot be put together somewhere is settled nowhere
        margins = min(margins[0], -NOTHING), max(margins[1], 0.0)
    leans = leanings(box, own.changes)
    return Doubtful(
        "clearances",
        figure.name,
        figure.bore,
        figure.dimension,
        figure.value,
        lowest,
        highest,
        figure.value - least,
        margins[0],
        margins[1],
        leans,
        leans,
        max(a.wider_mm for a in all_),
        "; ".join(dict.fromkeys(words for words in (*(a.told for a in all_), refused) if words)),
    )


def margins_of(all_: Sequence[BoundedPair], limit: tuple[float, float]) -> tuple[float, float]:
    """What is left to the limit of a row, the least and the most, with all that is not proved counted against it.

    Not below its limit is only what is so by its certified half-width too, as a plain check has it.

    Parameters
    ----------
    all_ : the places that the row is the nearest of
    limit : the least and the most that the limit may be, mm
    """
    low = min(min(a.lowest_mm - a.wider_mm, a.near[0].approach.floor_mm) for a in all_)
    high = min(a.highest_mm + a.wider_mm for a in all_)
    nominal = min(a.near[0].approach.min_mm for a in all_)
    least = low - limit[1]
    return (0.0 if -ROUNDING <= least < 0.0 < low else least), max(high, nominal) - limit[0]


class _Limits:
    """Least clearances over the box: they are what the builder chooses, and yet may be written with a tolerance."""

    def __init__(self, box: DoubtBox, spec: Engine) -> None:
        self._specs = [spec, *self._other(box)]
        self._known: dict[str, tuple[float, float]] = {}

    @staticmethod
    def _other(box: DoubtBox) -> Iterator[Engine]:
        for side in box.coordinates:
            if side.path is not None and side.path[0] == "limits":
                yield box.spec_at({side.key: side.lowest})
                yield box.spec_at({side.key: side.highest})

    def of(self, name: str) -> tuple[float, float]:
        """The least and the most that one of them may be."""
        if name not in self._known:
            found = [limit_for(spec, name).least_mm for spec in self._specs]
            self._known[name] = min(found), max(found)
        return self._known[name]


def by_key(answers: tuple[Doubtful, ...]) -> Mapping[tuple[str, str, int | None], Doubtful]:
    """Answers by section, name and bore."""
    return {(answer.section, answer.name, answer.bore): answer for answer in answers}
