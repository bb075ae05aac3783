"""Every mistake in every place of one engine, with its signature; and what several together would feel like."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from geometry.assembly import Assembly, assemble
from geometry.built import Built, built_linkage
from geometry.mistakes.mistake import CrankArc, Mistake, Signature, family, mistakes, noticed
from geometry.mistakes.shown import all_put_right, left_in, shown_places
from geometry.parts.part import part_types
from geometry.units import System


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """One mistake in one place.

    Attributes
    ----------
    key, title : of the mistake
    where : ``bore`` or ``main``
    place : its number
    places : all numbers it touches, such as both bores of an exchange
    signature : what is noticed
    look, look_for : the first look, and in words
    felt, remedy : in words
    recorded : whether the build record shows it
    """

    key: str
    title: str
    where: str
    place: int
    places: tuple[int, ...]
    signature: Signature
    look: str
    look_for: str
    felt: str
    remedy: str
    recorded: bool = False

    @property
    def name(self) -> str:
        """In words, such as ``rod turned round, bore 3``."""
        numbers = " and ".join(str(number) for number in sorted(self.places))
        return f"{self.title}, {self.place_word}{'s' if len(self.places) > 1 else ''} {numbers}"

    @property
    def place_word(self) -> str:
        """What its places are, in words."""
        return "main bearing" if self.where == "main" else "bore"


def lightly(right: Assembly, mistake: Mistake, place: int, built: Built | None = None) -> Assembly:
    """The engine with the mistake in it, only those bodies made anew that its study looks at.

    Most studies need layout and motion alone; a whole assembly costs a hundred times as much.

    Parameters
    ----------
    built : the build with the mistake in it; None: as the catalogue makes it
    """
    built = mistake.make(right, place) if built is None else built
    made = {
        body.name: body
        for kind in part_types()
        if kind.name in mistake.moves
        for body in kind.bodies(right.spec, right.layout, built)
    }
    bodies = tuple(made.get(body.name, body) for body in right.bodies)
    return Assembly(right.spec, right.layout, built, built_linkage(right.layout, built), bodies)


def candidates(
    found_so: Assembly, system: System = "mm", told: Callable[[int, int], None] | None = None
) -> tuple[Candidate, ...]:
    """Study every mistake in every place where it can be made; an exchange of two counts once.

    Parameters
    ----------
    found_so : the engine, as designed or as it was put together; mistakes that it holds are studied as they were
        found, each by itself
    system : units of the words
    told : called with how many are done, of how many
    """
    recorded = {(mistake.key, place) for mistake in mistakes() for place in shown_places(found_so, mistake)}
    right = assemble(found_so.spec, all_put_right(found_so)) if recorded else found_so
    asked = []
    for done, mistake in enumerate(mistakes()):
        if told is not None:
            told(done, len(mistakes()))
        for place in _once_each(right, mistake):
            shown = (mistake.key, place) in recorded
            wrong = left_in(found_so, right.built, mistake, place) if shown else None
            asked.append((mistake, lightly(right, mistake, place, wrong), place))
    return tuple(
        Candidate(
            mistake.key, mistake.title, mistake.where, place, tuple(sorted(signs.signature.bores or (place,))),
            signs.signature, signs.look, signs.look_for, signs.felt, signs.remedy, (mistake.key, place) in recorded,
        )
        for (mistake, _, place), signs in zip(asked, noticed(right, asked, system), strict=True)
    )  # fmt: skip


def _once_each(right: Assembly, mistake: Mistake) -> list[int]:
    """Places in which it can be made, of an exchange only the first."""
    found: dict[frozenset[int], int] = {}
    for place in mistake.places(right):
        found.setdefault(frozenset(_touches(right, mistake, place)), place)
    return list(found.values())


def _touches(right: Assembly, mistake: Mistake, place: int) -> Iterator[int]:
    """Numbers of the places that differ from before."""
    before, after = right.built, mistake.make(right, place)
    yield place
    if mistake.where == "main":
        order = after.main_cap_order or ()
        yield from (k + 1 for k, cap in enumerate(order) if cap != k + 1)
        return
    yield from (bore for bore in after.bores if after.bore(bore) != before.bore(bore))


@dataclass(frozen=True, slots=True)
class Expected:
    """What one mistake, or several at once, would feel like.

    Attributes
    ----------
    bound, heavy, when_hot : as in ``Signature``
    arcs : (arc, period) of every place where it stops, with the head on or off
    head_arcs : those that need the head
    clicks_deg, side_play_mm : together
    running : symptoms of the running engine, the wider word for each with them
    running_in : bores that show each symptom
    scored_pins : bores whose crankpins are scored
    top_late_deg, high_mm : by bore
    bores, mains : places that are felt
    shows : (look, place) of looks that would show one of them
    """

    bound: bool
    heavy: bool
    when_hot: bool
    arcs: tuple[tuple[CrankArc, float], ...]
    head_arcs: tuple[tuple[CrankArc, float], ...]
    clicks_deg: tuple[float, ...]
    side_play_mm: dict[int, float]
    running: frozenset[str]
    running_in: dict[str, frozenset[int]]
    scored_pins: frozenset[int]
    top_late_deg: dict[int, float]
    high_mm: dict[int, float]
    bores: frozenset[int]
    mains: frozenset[int]
    shows: frozenset[tuple[str, int]]


def expected(*parts: Candidate) -> Expected:
    """What these mistakes feel like together."""
    play: dict[int, float] = {}
    late: dict[int, float] = {}
    high: dict[int, float] = {}
    arcs: list[tuple[CrankArc, float]] = []
    head_arcs: list[tuple[CrankArc, float]] = []
    for part in parts:
        sign = part.signature
        for bore, left in sign.side_play_mm.items():
            play[bore] = min(left, play.get(bore, left))
        if sign.top_shift_deg:
            late[part.place] = late.get(part.place, 0.0) + sign.top_shift_deg
        if sign.top_shift_mm:
            high[part.place] = high.get(part.place, 0.0) + sign.top_shift_mm
        (head_arcs if sign.with_head else arcs).extend((arc, sign.period_deg) for arc in sign.tight)
    signs = [part.signature for part in parts]
    return Expected(
        bound=any(s.bound for s in signs),
        heavy=any(s.heavy for s in signs),
        when_hot=any(s.when_hot for s in signs),
        arcs=tuple(arcs),
        head_arcs=tuple(head_arcs),
        clicks_deg=tuple(angle for s in signs for angle in s.clicks_deg),
        side_play_mm=play,
        running=frozenset(said for s in signs for word in s.running for said in (word, family(word))),
        running_in=_running_in(parts),
        scored_pins=frozenset(n for part in parts if part.signature.scores_pin for n in part.places),
        top_late_deg=late,
        high_mm=high,
        bores=frozenset(n for part in parts if part.where == "bore" for n in part.places),
        mains=frozenset(n for part in parts if part.where == "main" for n in part.places),
        shows=frozenset((part.look, n) for part in parts for n in part.places),
    )


def _running_in(parts: tuple[Candidate, ...]) -> dict[str, frozenset[int]]:
    """Bores in which each symptom of the running engine would show."""
    found: dict[str, frozenset[int]] = {}
    for part in parts:
        if part.where == "bore":
            for word in part.signature.running | {family(word) for word in part.signature.running}:
                found[word] = found.get(word, frozenset()) | set(part.places)
    return found
