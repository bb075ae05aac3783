"""`fullturn clock ENGINE`: where every ring gap stands, as a table or as a sheet for the wall."""

from __future__ import annotations

from pathlib import Path

import click

from viewer.commands.common import FILE, built_option, engine_argument, say_assumed, set_option, units_option
from viewer.job import Job, read_job


@click.command("clock")
@click.option("--schemes", is_flag=True, is_eager=True, help="List the clocking schemes and whose practice they are.",
              callback=lambda ctx, _, wanted: _list_schemes(ctx) if wanted else None, expose_value=False)  # fmt: skip
@engine_argument
@click.option("--bore", type=int, help="Only this bore.")
@click.option(
    "--sections", is_flag=True, help="Draw each ring in its groove instead, right and wrong way up."
)
@click.option("-o", "out", type=FILE, help="Drawing: .svg, .pdf or .png.")
@built_option
@units_option
@set_option
def command(
    engine: Path,
    bore: int | None,
    sections: bool,
    out: Path | None,
    built: Path | None,
    units: str | None,
    settings: tuple[str, ...],
) -> None:
    """Show the ring clock of each bore, seen from above with the front up: a table, or a sheet with -o.

    The table ends with exit code 1 when a gap is outside its limit.
    """
    job = read_job(engine, units, settings, built)
    if bore is not None:
        job.assembly.layout.site(bore)
    if sections and out is None:
        raise click.UsageError("--sections draws a picture: add -o FILE.svg, .pdf or .png")
    if out is None:
        _print_table(job, bore)
        return
    from viewer.paper.clock.grooves import draw_grooves
    from viewer.paper.clock.sheet import draw_sheet
    from viewer.paper.page import write

    record = "" if built is None else built.name
    if sections:
        figure = draw_grooves(job.assembly, job.system, job.rests_on)
    else:
        figure = draw_sheet(job.assembly, bore, record, job.rests_on, job.system)
    say_assumed(job)
    click.echo(f"Wrote {write(figure, out)}")


def _print_table(job: Job, bore: int | None) -> None:
    from dataclasses import replace

    from geometry.checks import clocks
    from viewer.reports import tables as report

    section = clocks.run(job.assembly, job.system)
    if bore is not None:
        section = replace(
            section,
            rows=tuple(row for row in section.rows if row["bore"] == bore),
            findings=tuple(f for f in section.findings if f.bore in (bore, None)),
        )
    say_assumed(job)
    report.print_report(f"{job.assembly.spec.engine.name}: ring clock", [section], job.system)
    click.echo(
        "\nA sheet for the wall: add -o clock.pdf (or .svg, .png). Rings in their grooves: --sections -o ..."
    )
    raise click.exceptions.Exit(report.verdict_code([section]))


def _list_schemes(ctx: click.Context) -> None:
    from geometry.rings.schemes import ROLE_WORDS, ROLES, SCHEMES, resolve

    for scheme in SCHEMES.values():
        click.echo(f"{scheme.key}: {scheme.words}")
        angles = resolve(scheme, 90.0, ROLES)
        click.echo(
            "  thrust side at 90°: " + ", ".join(f"{ROLE_WORDS[r]} {a:.0f}°" for r, a in angles.items())
        )
        click.echo(f"  source: {scheme.source} ({scheme.source.certainty})\n")
    ctx.exit()
