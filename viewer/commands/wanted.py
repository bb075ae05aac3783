"""`fullturn check ENGINE --want NAME=VALUE --by KEY`: solve for one value."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from geometry.errors import refused
from viewer.commands.beside import listed
from viewer.job import box_over, overrides, read_job
from viewer.output import as_json

if TYPE_CHECKING:
    from geometry.doubts.box import DoubtBox


def solve_for(
    engine: Path,
    units: str | None,
    settings: tuple[str, ...],
    built: Path | None,
    want: str,
    key: str,
    json: bool,
) -> NoReturn:
    """Solve for one value and tell what turns with it; leaves with the exit code of the engine as it is then.

    Raises
    ------
    InputError : as ``read_job``; nothing of that name can be wanted, no such key, or no value gives what is wanted
    """
    from geometry.doubts.settling import settle
    from geometry.doubts.solving import NoRoot
    from geometry.doubts.wanted import read_varied, read_want
    from geometry.spec.described import load_described
    from geometry.units import DIMENSIONS
    from viewer.reports import wanted as report

    job = read_job(engine, units, settings, built)
    spec, changes = job.assembly.spec, overrides(settings)
    wanted, by = read_want(want, job.assembly), read_varied(key, spec)
    waits = job.waiting.get(wanted.section) or job.waiting_figures.get((wanted.section, wanted.name))
    if waits:
        raise refused("--want", want, "waits for what is not in the file", f"write {', '.join(waits)}")
    house = DIMENSIONS[by.dimension].house

    def box_at(value: float) -> DoubtBox:
        return box_over(load_described(engine, {**changes, key: f"{value!r} {house}"}), built)

    try:
        solved = settle(wanted, by, box_at, job.system)
    except (ValueError, ArithmeticError) as bad:
        raise refused(
            "--want", want, f"cannot be worked out: {bad}", "another name, or another engine"
        ) from None
    if isinstance(solved, NoRoot):
        raise refused(
            "--want", want, report.no_root_line(wanted, by, solved, job.system), "another key or value"
        )
    chosen = f"{solved.chosen.size!r} {house}"
    after = read_job(engine, job.system, (*settings, f"{key}={chosen}"), built)
    lists = (listed(job, changes), listed(after, {**changes, key: chosen}))
    title = f"{spec.engine.name}: {engine.name}"
    if json:
        click.echo(
            as_json(spec.engine.name, job.assumed_as_json | report.as_answer(wanted, by, solved, lists))
        )
        raise click.exceptions.Exit(lists[1].code)
    raise click.exceptions.Exit(report.print_solved(title, wanted, by, solved, lists, job.system))
