"""What a mistake is: a change of the as-built engine, and what this engine's own geometry says it does."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Final, Literal, TypeAlias

import geometry.mistakes
from geometry.assembly import Assembly
from geometry.built import Built
from geometry.checks.section import Row, Severity
from geometry.registry import registered
from geometry.units import System

SpotView: TypeAlias = Literal["bore", "rings", "below", "section", "push"]

RUNNING: Final[dict[str, str]] = {
    "burns_oil": "burns oil",
    "low_compression": "low compression",
    "knocks": "knocks",
    "knocks_cold": "knocks when cold",
    "knocks_load": "knocks under load",
    "low_oil_pressure": "low oil pressure",
    "seizes_hot": "seizes when hot",
}
"""What a running engine shows, by the word in ``Signature.running``."""

BROADER: Final[dict[str, str]] = {"knocks_cold": "knocks", "knocks_load": "knocks"}
"""What a less exact ear calls a symptom: slap that goes as it warms, and a bearing that is loudest under load, are
both a knock."""


def family(word: str) -> str:
    """The widest word for a symptom."""
    return BROADER.get(word, word)


@dataclass(frozen=True, slots=True)
class CrankArc:
    """A stretch of crank angle where something bites.

    ``start_deg`` to ``end_deg`` in engine crank degrees, in running direction (end may pass the period);
    ``bite_mm`` is the greatest depth of interference in it.
    """

    start_deg: float
    end_deg: float
    bite_mm: float


@dataclass(frozen=True, slots=True)
class Signature:
    """What a hand on the crank, an ear or a feeler gauge notices.

    Attributes
    ----------
    bound : the crank cannot be turned at all once this bore is tightened down
    heavy : turns, but heavy everywhere
    tight : where it stops or goes tight; empty when nowhere in particular
    clicks_deg : crank angles at which something snaps or knocks
    period_deg : 360 once a turn, 720 once in two turns
    side_play_mm : side clearance left, by bore, where it changes
    top_shift_deg, top_shift_mm : how far top dead centre moves, where it does
    when_hot : nothing is felt until the engine is hot
    seen_only : nothing is felt at all; it is found by looking or measuring
    with_head : felt only once the head is on
    bores : bores that the mistake sits in; the bore itself when empty
    running : what the running engine shows, words from ``RUNNING``
    scores_pin : the crankpin is found scored, with the cap off
    """

    bound: bool = False
    heavy: bool = False
    tight: tuple[CrankArc, ...] = ()
    clicks_deg: tuple[float, ...] = ()
    period_deg: float = 360.0
    side_play_mm: dict[int, float] = field(default_factory=dict)
    top_shift_deg: float = 0.0
    top_shift_mm: float = 0.0
    when_hot: bool = False
    seen_only: bool = False
    with_head: bool = False
    bores: tuple[int, ...] = ()
    running: frozenset[str] = frozenset()
    scores_pin: bool = False


@dataclass(frozen=True, slots=True)
class Spot:
    """Where to look: crank angle, view, bodies to bring out, and the trouble spot with its dimension.

    Attributes
    ----------
    crank_deg : engine crank degrees at which it shows
    view : a view of the scene, ``section`` for the close-up of chamfer and fillet, or ``push`` for the rod on its way
    bore : the bore that ``bore`` and ``rings`` look at; None for the other views
    bodies : names of the parts to bring out, the one that is wrong first
    severity : ``stop`` where it touches or is not as it must be, ``look`` where it clears by less than is wanted,
        ``note`` where it clears
    from_mm, to_mm : ends of the dimension in the engine frame; only ``to_mm`` where words alone stand there
    text : the dimension, or the words
    drawing : the kind of drawing that shows it on paper, a key of the viewer's own folder of drawings
    meets, meets_at : the body that ``to_mm`` lies on, where the trouble is that it comes near, and what the place on it
        is called; else empty
    """

    crank_deg: float
    view: SpotView
    bore: int | None
    bodies: tuple[str, ...]
    severity: Severity
    from_mm: tuple[float, float, float] | None = None
    to_mm: tuple[float, float, float] | None = None
    text: str = ""
    drawing: str = "scene"
    meets: str = ""
    meets_at: str = ""

    @property
    def view_name(self) -> str:
        """The view with its bore in words, such as ``bore 3``; for people and ``--json``, never to be read back."""
        return self.view if self.bore is None else f"{self.view} {self.bore}"


@dataclass(frozen=True, slots=True)
class Noticed:
    """What is noticed of one mistake and how it is found: all that ``diagnose`` asks.

    Attributes
    ----------
    signature, felt, look_for, remedy, look : as in ``Study``
    """

    signature: Signature
    felt: str
    look_for: str
    remedy: str
    look: str


@dataclass(frozen=True, slots=True)
class Study:
    """What one mistake does in one bore of one engine.

    Attributes
    ----------
    rows : numbers, right and wrong side by side: ``what``, ``right``, ``wrong``, ``limit``, ``limit_source``,
        ``verdict`` in words, and ``severity``, which decides; the first is the trouble's own, the one that its picture
        shows, and is judged
    does : one plain paragraph for a customer
    felt : one sentence for the hand on the crank
    look_for : how to find it, the cheapest look first
    remedy : how to put it right
    signature : the same for ``diagnose``
    spot : where to point the camera
    look : the first look, a key of ``looks.LOOKS``; mistakes that share it are told apart by it
    """

    rows: tuple[Row, ...]
    does: str
    felt: str
    look_for: str
    remedy: str
    signature: Signature
    spot: Spot
    look: str

    @property
    def signs(self) -> Noticed:
        """What is noticed, alone."""
        return Noticed(self.signature, self.felt, self.look_for, self.remedy, self.look)

    @classmethod
    def of(cls, signs: Noticed, rows: tuple[Row, ...], does: str, spot: Spot) -> Study:
        """What is noticed, with its numbers, its story and its picture."""
        return cls(rows, does, signs.felt, signs.look_for, signs.remedy, signs.signature, spot, signs.look)


@dataclass(frozen=True, slots=True)
class Mistake:
    """One kind of mistake.

    Attributes
    ----------
    key : fixed name, such as ``rod_turned``
    title : in trade words
    different : what is physically different, one sentence
    make : the build with the mistake in it
    study : what it does; takes the right and the wrong assembly
    refuse : reason why it cannot be made in this engine and bore, or None when it can; by default it can everywhere
    where : what the number of a place counts: ``bore`` (builder's numbers) or ``main`` (bearings, from the front)
    moves : part types whose bodies the study looks at as they are put together; else layout and motion are enough
    seek : what ``signs`` rests on, of several wrong assemblies and their places by one search; mistakes that share it
        are asked together
    signs : what the study says is noticed, from what ``seek`` found (None without it), where that is far cheaper than
        the study
    """

    key: str
    title: str
    different: str
    make: Callable[[Assembly, int], Built]
    study: Callable[[Assembly, Assembly, int, System], Study]
    refuse: Callable[[Assembly, int], str | None] = lambda assembly, place: None
    where: Literal["bore", "main"] = "bore"
    moves: tuple[str, ...] = ()
    seek: Callable[[Assembly, Sequence[tuple[Assembly, int]]], Sequence[Any]] | None = None
    signs: Callable[[Assembly, Assembly, int, System, Any], Noticed] | None = None

    def places(self, assembly: Assembly) -> tuple[int, ...]:
        """Every bore, or every main bearing, in which it can be made."""
        if self.where == "main":
            numbers = tuple(range(1, len(assembly.layout.main_x_mm) + 1))
        else:
            numbers = tuple(sorted(site.bore for site in assembly.layout.bores))
        return tuple(number for number in numbers if self.refuse(assembly, number) is None)


@cache
def mistakes() -> tuple[Mistake, ...]:
    """Every mistake in the folder, by key."""
    found = registered(geometry.mistakes, "MISTAKE", Mistake, lambda mistake: mistake.key)
    return tuple(found[key] for key in sorted(found))


def noticed(right: Assembly, asked: Sequence[tuple[Mistake, Assembly, int]], system: System) -> list[Noticed]:
    """What is noticed of mistakes, each by itself: what ``study`` says, word for word.

    Parameters
    ----------
    right : the engine as designed
    asked : each mistake, the engine with it, and where
    system : units of the words
    """
    sought: dict[int, Any] = {}
    for seek in dict.fromkeys(mistake.seek for mistake, _, _ in asked):
        if seek is not None:
            mine = [k for k, (mistake, _, _) in enumerate(asked) if mistake.seek is seek]
            sought |= zip(mine, seek(right, [asked[k][1:] for k in mine]), strict=True)
    return [
        mistake.study(right, wrong, place, system).signs
        if mistake.signs is None
        else mistake.signs(right, wrong, place, system, sought.get(k))
        for k, (mistake, wrong, place) in enumerate(asked)
    ]
