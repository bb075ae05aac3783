"""Every check of a job, and with a build record its readings: what any report begins with."""

from __future__ import annotations

from pathlib import Path

from geometry.checks.section import Section
from viewer.job import Job


def answered(job: Job, built: Path | None = None) -> list[Section]:
    """The answers of every check that does not wait for keys of the file, at nominal values.

    Parameters
    ----------
    built : the build record that is laid over the engine, whose readings become the last section

    Raises
    ------
    InputError : the record cannot be used
    """
    from geometry.checks.plausible import with_implausible
    from geometry.checks.section import checks

    run = [check.run(job.assembly, job.system) for check in checks() if check.key not in job.waiting]
    sections = with_implausible(run, job.described, job.system)
    if built is not None:
        from geometry.record.section import readings_section

        sections.append(readings_section(job.assembly.spec, built, job.system))
    return sections
