"""What is known of the engine on show, taken over by another one beside it: certificates, parts, meshes, answers."""

from __future__ import annotations

import secrets
from collections.abc import Collection, Sequence
from typing import Any, Final, cast

from geometry.assembly import Assembly
from geometry.checks.clearances import untried
from geometry.checks.plausible import with_implausible
from geometry.checks.section import READ_BY_ALL, Check, Section, checks
from geometry.clearance.full_turn import FullTurn, full_turn, turn_of
from geometry.collision.certify import Memory
from geometry.collision.congruence import Fingerprints
from geometry.doubts.kept import Shaping
from geometry.spec.locate import Path, read_written
from viewer.job import Job
from viewer.page.places import spots_of
from viewer.page.shape import PageData, VariantData
from viewer.page.solids import Packing
from viewer.page.variant import variant_of
from viewer.serve.served import OnShow

CLEARANCES: Final = "clearances"
MOST_KEPT: Final = 20
"""Engines before what they left of their certificates is forgotten."""


class KnownEngine:
    """What is known of the engine of one page; for one thread at a time."""

    def __init__(self, shown: OnShow) -> None:
        self.shown = shown
        job = shown.job
        turn, known = turn_of(job.assembly)
        self._own = dict(known.answers)
        self._memory, self._kept = Memory(answers=dict(self._own)), 0
        self._shaping = Shaping(job.assembly)
        self.sections: dict[str, Section] = {}
        self.sections = self.sections_of(job, job.assembly, turn, ())

    def taken_over(self, other: Assembly, changed: Collection[str] = ()) -> Assembly:
        """Another engine with the parts of this one wherever nothing differs that shapes them.

        Parameters
        ----------
        changed : keys of the engine file whose values differ
        """
        return self._shaping.taken_over(other, [_path(key) for key in changed])

    def turn(self, other: Assembly) -> FullTurn:
        """All clearances of another engine, certified; like places are not searched again."""
        self._kept += 1
        if self._kept > MOST_KEPT:
            self._kept, self._memory = 1, Memory(Fingerprints(), dict(self._own))
        return full_turn(other, memory=self._memory)

    def sections_of(
        self, job: Job, other: Assembly, turn: FullTurn, changed: Collection[str] | None = None
    ) -> dict[str, Section]:
        """The answers of every check, without remedies.

        Parameters
        ----------
        changed : keys of the engine file whose values differ, where nothing else does: a check that reads none of
            them keeps its answer; None: every check is asked
        """
        found = {}
        for check in checks():
            if check.key in job.waiting:
                continue
            known = self.sections.get(check.key)
            if check.key == CLEARANCES:
                found[check.key] = untried(other, turn, job.system)
            elif known is not None and changed is not None and _reads_none(check, changed):
                found[check.key] = known
            else:
                found[check.key] = check.run(other, job.system)
        return found

    def packing(self, *others: Assembly) -> Packing:
        """The meshes of the page on show, known by the parts that other engines took over."""
        packing = Packing(list(self.shown.page["solids"]), [self.shown.solids])
        own = {body.name: body.part for body in self.shown.job.assembly.bodies}
        numbers = {body["name"]: body["solid"] for body in self.shown.page["variants"][-1]["bodies"]}
        for body in (body for other in others for body in other.bodies):
            if own.get(body.name) is body.part:
                packing.share(body.part.mesh, numbers[body.name])
        return packing

    def variant(
        self,
        key: str,
        words: str,
        job: Job,
        other: Assembly,
        turn: FullTurn,
        packing: Packing,
        sections: Sequence[Section],
    ) -> VariantData:
        """Another engine, described for the page without what takes long."""
        spots = spots_of(other, (), frozenset({*job.waiting, *job.waiting_figures}), turn)
        told = with_implausible(list(sections), job.described, job.system)
        return variant_of(key, words, other, packing, job.system, told, job.rests_on, spots, turn, curves=0)

    def page(self, variants: list[VariantData], packing: Packing, **more: Any) -> dict[str, Any]:
        """A page for a browser that has the one on show: ``base`` says which, ``solids`` has the meshes it lacks.

        Parameters
        ----------
        more : of ``PageData``, what else differs
        """
        shown = [variant["key"] for variant in variants]
        page = {
            **self.shown.page,
            "solids": packing.solids,
            "variants": variants,
            "shown": shown,
            "pictures": [],
        }
        return {
            "version": secrets.token_hex(8),
            "base": self.shown.version,
            "page": cast("PageData", {**page, **more}),
            "solids": packing.data[len(self.shown.solids) :],
        }


def _path(key: str) -> Path:
    """Where a key leads, with positions counted from 0."""
    return tuple(step - 1 if isinstance(step, int) else step for step in read_written(key) or ())


def _reads_none(check: Check, changed: Collection[str]) -> bool:
    """Whether nothing that a check reads has changed, by what it says that it reads."""
    if check.figures is None or not check.reads:
        return False
    return not any(key.startswith((*READ_BY_ALL, *check.reads)) for key in changed)
