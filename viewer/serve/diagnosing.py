"""What is felt at the crank to ranked causes, and a mistake to the engine with it right and wrong, for the page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from geometry.diagnose.candidates import Candidate, candidates
from geometry.diagnose.contradictions import Saying, SetAside, settled
from geometry.diagnose.felt import Felt, showed_nothing
from geometry.diagnose.felt_words import EXAMPLES, read_told
from geometry.diagnose.looks import LOOKS
from geometry.diagnose.order import Orders
from geometry.diagnose.ranking import Alike, Diagnosis, diagnose
from geometry.errors import GeometryError, InputError
from geometry.mistakes.facts import top_deg
from geometry.mistakes.mistake import mistakes
from viewer.job import Job
from viewer.page.mistakes import found_mistake, mistake_of
from viewer.reports.diagnosis import LOOKS_SHOWN, NOISE, not_asked, percent
from viewer.serve.answers import Refusal, problem_words
from viewer.serve.known import KnownEngine

FIRST: Final = 6
"""Causes that are shown."""
MOST_LOOKED: Final = 40


class Diagnosing:
    """The causes that the engine on show can have, studied once; for one thread at a time."""

    def __init__(self, known: KnownEngine) -> None:
        self.known = known
        self._singles: tuple[Candidate, ...] | None = None

    def diagnosed(self, words: str, looked: Sequence[tuple[str, int]] = ()) -> dict[str, Any]:
        """Ranked causes and the next looks.

        Parameters
        ----------
        words : clauses parted by ``;``
        looked : looks that showed nothing, and where

        Raises
        ------
        Refusal : a clause is not understood, or nothing is said (422)
        """
        job = self.known.shown.job
        felt, aside = felt_of(job, words, looked)
        if self._singles is None:
            self._singles = candidates(job.assembly, job.system)
        layout = job.assembly.layout
        found = diagnose(felt, self._singles, len(layout.bores), len(layout.main_x_mm))
        return _as_answer(found, job, aside)

    def mistake(self, name: str, bore: int | None, main: int | None) -> dict[str, Any]:
        """A page that shows a mistake right and wrong, as ``KnownEngine.page`` gives it.

        Raises
        ------
        InputError, GeometryError : there is no such mistake, or it cannot be made there
        """
        known, job = self.known, self.known.shown.job
        found = found_mistake(job, name, bore, main)
        halves = {key: known.taken_over(getattr(found.case, key)) for key in ("right", "wrong")}
        packing = known.packing(*halves.values())
        variants = []
        for key, other in halves.items():
            turn = known.turn(other)
            sections = list(known.sections_of(job, other, turn).values())
            variants.append(known.variant(key, key, job, other, turn, packing, sections))
        return known.page(variants, packing, mistake=mistake_of(found, []))


def felt_of(job: Job, words: str, looked: Sequence[tuple[str, int]]) -> tuple[Felt, tuple[SetAside, ...]]:
    """What was felt, and where a look showed nothing; and what contradicts something else and was set aside.

    Raises
    ------
    Refusal : it is not understood (422)
    """
    layout = job.assembly.layout
    mains = len(layout.main_x_mm)
    try:
        told = list(read_told(words, lambda bore: top_deg(job.assembly.linkage, layout.index(bore))))
        for look, place in looked:
            if look != "main_marks":
                layout.index(place)
            told.append(Saying(LOOKS[look].short(place), showed_nothing(look, place)))
        felt, aside = settled(told, job.assembly.spec.cam is not None)
    except InputError as bad:
        right = "; ".join(problem.right for problem in bad.problems if problem.right)
        raise Refusal(422, "; ".join(problem_words(problem) for problem in bad.problems), right) from None
    except GeometryError as bad:
        raise Refusal(422, bad.what, bad.right) from None
    named = [place for look, place in looked if look == "main_marks"]
    named += [] if felt.after_main is None else [felt.after_main]
    if any(not 1 <= place <= mains for place in named):
        raise Refusal(422, "there is no such main bearing", f"1 to {mains}")
    if felt.empty:
        raise Refusal(422, "nothing was said", 'for example "tight at 75; after bore 3"')
    return felt, aside


def looked_of(body: Mapping[str, Any]) -> tuple[tuple[str, int], ...]:
    """Looks of a request: ``[["below", 3]]``.

    Raises
    ------
    Refusal : they are something else (422)
    """
    found = body.get("looked", [])
    if not isinstance(found, list) or len(found) > MOST_LOOKED:
        raise Refusal(422, "looked is not a list of looks", 'for example [["below", 3]]')
    for one in found:
        good = isinstance(one, list) and len(one) == 2 and isinstance(one[0], str) and one[0] in LOOKS
        if not good or isinstance(one[1], bool) or not isinstance(one[1], int) or not 0 <= one[1] <= 99:
            raise Refusal(422, "looked is not a list of looks", 'for example [["below", 3]]')
    return tuple((look, place) for look, place in found)


def said_of(job: Job) -> dict[str, Any]:
    """What a page must know to ask: clauses that are understood, places, and the mistakes that there are."""
    assembly = job.assembly
    return {
        "examples": list(EXAMPLES),
        "bores": sorted(site.bore for site in assembly.layout.bores),
        "mains": list(range(1, len(assembly.layout.main_x_mm) + 1)),
        "mistakes": [
            {"key": one.key, "title": one.title, "where": one.where, "places": list(one.places(assembly))}
            for one in mistakes()
            if one.places(assembly)
        ],
    }


def _as_answer(found: Diagnosis, job: Job, aside: tuple[SetAside, ...]) -> dict[str, Any]:
    later = not_asked(found, Orders(), options=False)
    telling = [look for look in found.looks if look.bits >= 0.01][:LOOKS_SHOWN]
    return {
        "taken": [*(one.text for one in aside), *([later] if later else [])],
        "causes": [_cause(alike) for alike in found.alike[:FIRST]],
        "unlisted": f"Something not in the catalogue: {percent(found.unlisted)}",
        "looks": [
            {
                "look": look.look,
                "place": look.place,
                "words": look.words,
                "minutes": f"{look.minutes:.0f} min",
            }
            for look in telling
        ],
        "notes": [NOISE, *([job.rests_on] if job.rests_on else [])],
    }


def _cause(alike: Alike) -> dict[str, Any]:
    cause = alike.causes[0]
    return {
        "name": alike.name,
        "chance": percent(cause.chance) + (" each" if len(alike.causes) > 1 else ""),
        "for": [entry.text for entry in cause.speaks_for],
        "against": [entry.text for entry in cause.speaks_against],
        "parts": [
            {"mistake": part.key, "where": part.where, "place": part.place, "name": part.name}
            for part in cause.parts
        ],
        "places": [[list(part.places) for part in one.parts] for one in alike.causes],
    }
