"""`fullturn check ENGINE`: every answer, with its limit, where the limit comes from, and the verdict."""

from __future__ import annotations

from pathlib import Path

import click

from viewer.cli import program_version
from viewer.commands.common import engine_argument, read_job, set_option, units_option


@click.command("check")
@engine_argument
@units_option
@set_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object and nothing else.")
@click.option("--limits", "list_limits", is_flag=True, help="List the limits in force and their sources.")
def command(
    engine: Path, units: str | None, settings: tuple[str, ...], as_json: bool, list_limits: bool
) -> None:
    """Check an engine through its full turn: exit 0 within limits, 1 outside, 2 bad input."""
    from geometry.checks.section import checks
    from viewer import report

    job = read_job(engine, units, settings)
    if list_limits:
        _print_limits(job)
        return
    sections = [check.run(job.assembly, job.system) for check in checks()]
    name = job.assembly.spec.engine.name
    if as_json:
        click.echo(report.as_json(name, program_version(), sections))
    else:
        report.print_report(f"{name}: {engine.name}", sections, job.system)
    raise click.exceptions.Exit(report.verdict_code(sections))


def _print_limits(job) -> None:  # type: ignore[no-untyped-def]
    from geometry.checks.limits import DEFAULTS, limit_for
    from geometry.units import show

    for name in DEFAULTS:
        limit = limit_for(job.assembly.spec, name)
        click.echo(
            f"limits.{name:28} {show(limit.least_mm, 'length', job.system, fine=True):>12}  {limit.source}"
        )
