"""Dimensions tried out: what other values change in the answers, and the engine as it is with them.

The engine file is never touched. What the file's own engine was certified for is reused, and whatever a value tried
before left of its own; checks that do not read a changed key are not run again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from geometry.checks.section import Section
from geometry.clearance.full_turn import FullTurn
from geometry.doubts.beside import Changed, differing
from viewer.job import Job, read_job
from viewer.reports.beside import Listed, cells_of, changes_of, state_words, worth_telling
from viewer.serve.answers import Refusal
from viewer.serve.known import KnownEngine
from viewer.serve.served import Serving

HEADINGS = ("answer", "bores", "as in the file", "tried", "limit", "verdict")
IN_DOUBT = (
    "Verdicts here are at the values counted with; some of them are in doubt, and what that leaves open "
    "`fullturn check` works out."
)
MOST_AT_ONCE = 20


@dataclass(frozen=True, slots=True, eq=False)
class Tried:
    """An engine with other values, certified.

    Attributes
    ----------
    settings : the values by key
    answer : what they change, as it is sent
    """

    settings: Mapping[str, str]
    job: Job
    turn: FullTurn
    sections: Mapping[str, Section]
    answer: dict[str, Any]


class Trying:
    """Where values are tried against the page on show; the engine tried last is kept for its picture."""

    def __init__(self, serving: Serving, known: KnownEngine) -> None:
        self.serving, self.known = serving, known
        self._last: Tried | None = None

    def tried(self, settings: Mapping[str, str]) -> Tried:
        """What other values do.

        Parameters
        ----------
        settings : values with units by key, as ``--set`` takes them

        Raises
        ------
        InputError, Refusal : a value cannot be used, or the parts cannot be put together so
        """
        if self._last is None or self._last.settings != settings:
            self._last = self._tried(settings)
        return self._last

    def picture(self, settings: Mapping[str, str]) -> dict[str, Any]:
        """The page with such an engine in it, as ``KnownEngine.page`` gives it.

        Raises
        ------
        InputError : as ``tried``
        """
        tried = self.tried(settings)
        job, other, known = tried.job, tried.job.assembly, self.known
        packing = known.packing(other)
        words = "tried: " + ", ".join(f"{key} = {value}" for key, value in settings.items())
        sections = list(tried.sections.values())
        variant = known.variant("tried", words, job, other, tried.turn, packing, sections)
        return known.page([variant], packing, assumed=job.assumed)

    def _tried(self, settings: Mapping[str, str]) -> Tried:
        serving, base = self.serving, self.known.shown.job
        laid = (*serving.settings, *(f"{key}={value}" for key, value in settings.items()))
        job = read_job(serving.engine, base.system, laid, serving.built)
        changed = [pair.key for pair in differing(base.described, job.described)]
        job = replace(job, assembly=self.known.taken_over(job.assembly, changed))
        turn = self.known.turn(job.assembly)
        try:
            sections = self.known.sections_of(job, job.assembly, turn, changed)
        except ValueError as bad:  # parts that go together and yet leave no room for what is asked
            raise Refusal(422, str(bad), "other values") from None
        answer = _answer(_listed(base, self.known.sections), _listed(job, sections), base)
        return Tried(settings, job, turn, sections, answer)


def _listed(job: Job, sections: Mapping[str, Section]) -> Listed:
    stop = any(finding.severity == "stop" for section in sections.values() for finding in section.findings)
    waits = bool(job.waiting or job.waiting_figures)
    name = job.assembly.spec.engine.name
    return Listed(name, job.described, list(sections.values()), int(stop), (), job.assumed, waits)


def _answer(first: Listed, second: Listed, job: Job) -> dict[str, Any]:
    changes = changes_of(first, second)
    told = worth_telling(changes, job.system)
    sources: dict[str, int] = {}
    rows = [_row(change, second, job, sources) for change in told]
    alike = len(changes) - len(told)
    stays = "1 answer stays as it is" if alike == 1 else f"{alike} answers stay as they are"
    return {
        "headings": list(HEADINGS),
        "rows": rows,
        "summary": f"With what is tried the engine {state_words(second)}; {stays}.",
        "notes": [f"[{number}] {source}" for source, number in sources.items()]
        + ([IN_DOUBT] if job.in_doubt else []),
    }


def _row(change: Changed, second: Listed, job: Job, sources: dict[str, int]) -> dict[str, Any]:
    cells = cells_of(change, second.bores, job.system, sources)
    grave = "" if change.second is None else change.second.gravity
    return {"cells": cells, "severity": grave, "turn": change.turn}


def settings_of(body: Mapping[str, Any], job: Job) -> dict[str, str]:
    """The values to try of a request: only quantities that the engine has.

    Raises
    ------
    Refusal : there is none, or one that is not a quantity of this engine (422)
    """
    asked = body.get("settings")
    if not isinstance(asked, dict) or not 0 < len(asked) <= MOST_AT_ONCE:
        raise Refusal(422, "nothing is tried", 'for example {"settings": {"crank.stroke": "88 mm"}}')
    known = {value.key for value in job.described.values}
    for key, value in asked.items():
        if key not in known:
            raise Refusal(422, f"{key[:80]} is not a quantity of this engine", "choose one from the list")
        if not isinstance(value, str) or not value.strip() or len(value) > 80 or not value.isprintable():
            raise Refusal(422, f"{key}: this is not a value", 'a number and its unit, such as "88 mm"')
    return {key: value.strip() for key, value in asked.items()}
