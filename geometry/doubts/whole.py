"""The whole engine under doubt: the rows of the table of clearances with their least and their most."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from geometry.assembly import Assembly
from geometry.checks.clearances import figure_of, judged, meeting_of
from geometry.checks.section import Figure
from geometry.clearance.full_turn import FullTurn, full_turn
from geometry.clearance.limits import limit_for
from geometry.doubts.answers import Doubtful
from geometry.doubts.box import DoubtBox
from geometry.doubts.clearances import BoundedPair, clearances_in_doubt
from geometry.doubts.corners import leanings
from geometry.spec.engine import Engine


def doubtful_clearances(
    box: DoubtBox, assembly: Assembly | None = None, turn: FullTurn | None = None
) -> tuple[Doubtful, ...]:
    """Every row of the table of clearances over the box, in the order of the table.

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
    answers = {id(near): answer for answer in clearances_in_doubt(box, turn) for near in answer.near}
    members: dict[tuple[object, ...], list[tuple[float, BoundedPair]]] = {}
    for near in turn.near:
        members.setdefault(meeting_of(near.pair), []).append((near.approach.min_mm, answers[id(near)]))
    limits = _Limits(box, assembly.spec)
    found = []
    for row, clearance in enumerate(judged(assembly, turn)):
        figure = figure_of(row, clearance)
        own = answers[id(clearance.near)]
        all_ = [answer for _, answer in members[meeting_of(clearance.near.pair)]]
        found.append(_row(box, figure, own, all_, limits.of(clearance.limit.name)))
    return tuple(found)


def _row(
    box: DoubtBox, figure: Figure, own: BoundedPair, all_: list[BoundedPair], limit: tuple[float, float]
) -> Doubtful:
    """One row from all places that it is the nearest of."""
    lowest, highest = min(a.lowest_mm for a in all_), min(a.highest_mm for a in all_)
    least = figure.least or 0.0
    leans = leanings(box, own.changes)
    return Doubtful(
        "clearances",
        figure.name,
        figure.bore,
        figure.dimension,
        figure.value,
        min(lowest, figure.value),
        max(highest, figure.value),
        figure.value - least,
        min(lowest, figure.value) - limit[1],
        max(highest, figure.value) - limit[0],
        leans,
        leans,
        max(a.wider_mm for a in all_),
        "; ".join(dict.fromkeys(a.told for a in all_ if a.told)),
    )


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
