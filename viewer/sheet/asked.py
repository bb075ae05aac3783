"""What a build sheet is asked for: the engine, its answers and its record, worked out once for all pages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from geometry.checks.section import Finding, Section
from geometry.record.kind import Bench
from geometry.record.model import Record
from geometry.units import System
from viewer.job import Job
from viewer.reports.doubts import OverDoubt
from viewer.sheet.content import Paper


@dataclass(frozen=True, eq=False)
class SheetAsked:
    """What every page is made of.

    Attributes
    ----------
    job : as put together where there is a build record, else as designed
    designed : as designed
    record : the build record; None without one
    bench : engine and record as the bench sees them: every reading that can be taken, with its limit, and what was read
    sections : the answers that ``check`` prints for ``job``, with their verdicts over the doubt
    over : what is in doubt; None: nothing
    paper : on what the sheet is printed
    shop, customer, number, date : for the head of every page, as given; empty where not
    dots : whether pictures in dots (the engine in 3D) can be drawn here
    """

    job: Job
    designed: Job
    record: Record | None
    bench: Bench
    sections: tuple[Section, ...]
    over: OverDoubt | None
    paper: Paper
    shop: str = ""
    customer: str = ""
    number: str = ""
    date: str = ""
    dots: bool = False

    @property
    def system(self) -> System:
        """The units that every number of the sheet stands in."""
        return self.job.system

    @property
    def name(self) -> str:
        """The engine's name."""
        return self.job.assembly.spec.engine.name

    @property
    def bores(self) -> tuple[int, ...]:
        """The bores in the order of work: pin by pin from the front, those that share a pin one after the other."""
        return tuple(
            site.bore for site in sorted(self.job.assembly.layout.bores, key=lambda s: (s.throw, s.bore))
        )

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the checks found, in the order of the sections."""
        return tuple(finding for section in self.sections for finding in section.findings)

    def section(self, key: str) -> Section | None:
        """One section of the check; None where it waits for keys of the engine file."""
        return next((section for section in self.sections if section.key == key), None)


def asked_of(
    job: Job,
    designed: Job,
    built: Path | None,
    paper: Paper | None = None,
    head: Sequence[str] = ("", "", "", ""),
    dots: bool = False,
) -> SheetAsked:
    """Work out once what the pages are made of.

    Parameters
    ----------
    job, designed, built : the engine with the record laid over it, without it, and the record's file; without a record
        ``job`` is ``designed``
    paper : default: Letter for an engine in inches, else A4
    head : shop, customer, number of the job, date
    dots : whether pictures in dots can be drawn here

    Raises
    ------
    InputError, GeometryError : the record cannot be used, or the engine not laid out
    """
    from geometry.record.catalogue import lay_out
    from geometry.record.form import FORM
    from geometry.record.load import load_record
    from viewer.reports.answered import answered, settled
    from viewer.reports.doubts import over_doubt

    spec = designed.assembly.spec
    record = None if built is None else load_record(built, spec)
    over = over_doubt(job)
    sections = tuple(settled(job, answered(job, built), built, over))
    shop, customer, number, date = head
    return SheetAsked(
        job, designed, record, lay_out(spec, record or FORM(), job.system), sections, over,
        paper or ("us-letter" if job.system == "in" else "a4"), shop, customer, number, date, dots,
    )  # fmt: skip
