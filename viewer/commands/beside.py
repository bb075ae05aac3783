"""`fullturn check A --against B`: two lists side by side."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from geometry.errors import InputError, refused
from viewer.job import Job, overrides, read_job
from viewer.output import as_json

if TYPE_CHECKING:
    from geometry.checks.section import Section
    from viewer.reports.beside import Listed


def set_beside(
    engine: Path,
    units: str | None,
    settings: tuple[str, ...],
    built: Path | None,
    against: Path | None,
    against_settings: tuple[str, ...],
    json: bool,
    everything: bool,
) -> NoReturn:
    """Check both lists and tell them side by side; leaves with the exit code of the second.

    Raises
    ------
    click.UsageError : a build record beside another engine file, to which it does not belong
    InputError : as ``read_job``
    """
    from viewer.reports.beside import as_answer, print_beside

    if built is not None and against is not None:
        raise click.UsageError(
            "--built and --against do not go together: a record belongs to one engine; use --against-set"
        )
    first = read_job(engine, units, settings, built)
    own = overrides(against_settings, "--against-set")
    laid = against_settings if against is not None else (*settings, *against_settings)
    with _blaming("--against-set", own):
        second = read_job(against or engine, first.system, laid, built)
    lists = (listed(first, overrides(settings)), listed(second, overrides(laid)))
    if json:
        click.echo(as_json(first.assembly.spec.engine.name, as_answer(*lists)))
        raise click.exceptions.Exit(lists[1].code)
    raise click.exceptions.Exit(print_beside(*lists, first.system, everything))


@contextmanager
def _blaming(option: str, keys: Mapping[str, str]) -> Iterator[None]:
    """Lay what is wrong with a value at the option that brought it in."""
    try:
        yield
    except InputError as bad:
        raise InputError(
            replace(problem, file=option)
            if problem.file == "--set" and any(problem.key.startswith(key) for key in keys)
            else problem
            for problem in bad.problems
        ) from None


def listed(job: Job, changes: Mapping[str, str]) -> Listed:
    """One list, with what a check of it answers."""
    from geometry.checks.section import checks
    from viewer.reports.beside import Listed
    from viewer.reports.doubts import over_doubt
    from viewer.reports.tables import verdict_code

    with_ = ", ".join(f"{key} = {value}" for key, value in changes.items())
    name = f"{job.assembly.spec.engine.name} ({job.path.name}{' with ' if with_ else ''}{with_})"
    try:
        sections = [check.run(job.assembly, job.system) for check in checks() if check.key not in job.waiting]
    except ValueError as bad:  # parts that go together and yet leave no room for what is asked
        raise refused(job.path, ", ".join(changes), str(bad), "other values") from None
    over = over_doubt(job)
    settled = sections if over is None else over.settled(sections, job.system)
    answered = [_without(section, job.waiting_figures) for section in sections]
    waits = bool(job.waiting or job.waiting_figures)
    return Listed(name, job.described, answered, verdict_code(settled, over), job.answers, job.assumed, waits)


def _without(section: Section, waiting: Container[tuple[str, str]]) -> Section:
    """A section less the figures that wait for keys of the file."""
    figures = tuple(figure for figure in section.figures if (section.key, figure.name) not in waiting)
    return replace(section, figures=figures)
