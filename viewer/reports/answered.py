"""What the checks answer of a job, with the build record laid over it: the one list that every command tells from."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from geometry.assembly import Assembly
from geometry.checks.plausible import with_implausible
from geometry.checks.section import Section, checks
from viewer.job import Job

if TYPE_CHECKING:
    from geometry.record.faults import Fault
    from viewer.reports.doubts import OverDoubt


def answered(
    job: Job, built: Path | None = None, assembly: Assembly | None = None, only: Collection[str] | None = None
) -> list[Section]:
    """The sections of every check that is answered, and the readings of the build record behind them.

    Parameters
    ----------
    built : the build record that is laid over the job, if any
    assembly : the job's engine put together otherwise
    only : keys of the checks that are asked; None: all
    """
    shown = assembly or job.assembly
    asked = [
        check for check in checks() if check.key not in job.waiting and (only is None or check.key in only)
    ]
    run = [check.run(shown, job.system) for check in asked]
    sections = with_implausible(run, job.described, job.system)
    if built is not None:
        from geometry.record.section import readings_section

        sections.append(readings_section(job.assembly.spec, built, job.system))
    return sections


def settled(
    job: Job, sections: Sequence[Section], built: Path | None = None, over: OverDoubt | None = None
) -> list[Section]:
    """The same over whatever is in doubt, and with each fault of a built engine told once."""
    found = list(sections) if over is None else over.settled(sections, job.system)
    if built is None:
        return found
    from geometry.record.faults import told_once
    from geometry.record.load import load_record

    return told_once(found, job.assembly, load_record(built, job.assembly.spec))


def faults_of(job: Job, built: Path) -> tuple[Fault, ...]:
    """The faults of a job as it was put together, as ``check --built`` and ``record verdict`` list them.

    Parameters
    ----------
    job : with the record laid over it
    built : the build record
    """
    from geometry.record.faults import listed
    from viewer.reports.doubts import over_doubt

    return listed(settled(job, answered(job, built), built, over_doubt(job)))
