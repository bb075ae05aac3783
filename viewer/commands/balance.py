"""`fullturn balance ENGINE`: bob weights, forces and couples, what the counterweights lack, which part to lighten."""

from __future__ import annotations

from pathlib import Path

import click

from viewer.commands.common import (
    FILE,
    built_option,
    engine_argument,
    json_option,
    say_assumed,
    set_option,
    units_option,
)
from viewer.job import read_job
from viewer.output import as_json, output_place


@click.command("balance")
@engine_argument
@click.option(
    "--speed", metavar="RPM", help='Forces at this speed, "4000 rpm"; default: that of the engine file.'
)
@click.option("-o", "out", type=FILE, help="Draw what shakes the engine: .svg, .pdf or .png.")
@built_option
@units_option
@set_option
@json_option
def command(
    engine: Path,
    speed: str | None,
    out: Path | None,
    built: Path | None,
    units: str | None,
    settings: tuple[str, ...],
    json: bool,
) -> None:
    """Balance an engine: weights, bob weight of every pin, forces and couples, two planes; a picture with -o.

    What nobody weighed comes from the modelled solids and counts as assumed. The balancing machine decides.
    """
    from geometry.balance.bob import balancing
    from geometry.balance.shaking import shaking
    from geometry.checks import balance
    from geometry.checks.balance_tables import as_plain, tables
    from viewer.paper.page import ENDINGS
    from viewer.reports import tables as report

    if out is not None:
        output_place(out, ENDINGS, "cannot be written as a picture")
    asked_rpm = None if speed is None else _speed_rpm(speed)
    job = read_job(engine, units, settings, built)
    rpm = job.assembly.spec.engine.speed_rpm if asked_rpm is None else asked_rpm
    plan = balancing(job.assembly)
    left = shaking(job.assembly, plan)
    summary = balance.summary(job.assembly, plan, left, rpm, job.system)
    sections = tables(job.assembly, plan, left, rpm, job.system)
    if json:
        click.echo(
            as_json(job.assembly.spec.engine.name, {"balance": summary.as_json()} | as_plain(sections))
        )
    else:
        say_assumed(job)
        title = f"{job.assembly.spec.engine.name}: balance"
        report.print_report(title, [summary, *sections], job.system, limited=False)
    if out is not None:
        from viewer.paper.balance import draw_shaking
        from viewer.paper.page import write

        figure = draw_shaking(job.assembly, left, rpm, job.system, job.rests_on)
        click.echo(f"Wrote {write(figure, out)}", err=json)


def _speed_rpm(text: str) -> float:
    """A speed as typed.

    Raises
    ------
    InputError : it is none, or none that an engine runs at
    """
    from geometry.errors import refused
    from geometry.units import UnitError, parse

    try:
        found = parse(text, "rotation")
    except UnitError as error:
        raise refused("--speed", text, error.what, error.right) from None
    if not 0.0 < found <= 100_000.0:
        raise refused("--speed", text, "is not a speed that an engine runs at", 'for example "4000 rpm"')
    return found
