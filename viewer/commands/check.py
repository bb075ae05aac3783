"""`fullturn check ENGINE`: every answer, with its limit, where the limit comes from, and the verdict."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from viewer.commands.common import (
    FILE,
    against_option,
    against_set_option,
    built_option,
    chance_option,
    engine_argument,
    json_option,
    measure_option,
    refuse_together,
    say_assumed,
    seed_option,
    set_option,
    units_option,
)
from viewer.job import overrides, read_job
from viewer.output import as_json


@click.command("check")
@engine_argument
@units_option
@set_option
@built_option
@json_option
@click.option("--all", "everything", is_flag=True, help="Print every row, not only the worst of each kind.")
@click.option("--limits", "list_limits", is_flag=True, help="List the limits in force and their sources.")
@click.option("--pairs", "list_pairs", is_flag=True, help="List pairs that are far apart or joined, and why.")
@click.option(
    "--relief",
    is_flag=True,
    help="Add the smallest notch or bolt-head flat that restores a limit; -o template.pdf draws it to cut out.",
)
@click.option(
    "--curve", metavar="'A : B'", help="Distance over the turn of two places: 'rod_bolt 3 : pan_rail'."
)
@click.option("--sweep", metavar="KEY=A..B:N", help="Sweep one dimension: crank.stroke=88mm..96mm:9.")
@click.option("--accept-open", is_flag=True, help="Exit 0 though answers are open within the doubt.")
@click.option(
    "-o",
    "out",
    type=FILE,
    help="File for --curve (.csv, .svg, .pdf, .png), or for --relief: a template at its true size.",
)
@against_option
@against_set_option
@click.option(
    "--want",
    metavar="NAME=VALUE",
    help="Solve for the one value that --by names: --want compression=10 --by gasket.thickness, "
    "--want 'rod_bolt : pan_rail'=\"60 thou\" --by block.pan_rail.inside; >= and <= are understood.",
)
@click.option("--by", metavar="KEY", help="The value that may change for --want.")
@measure_option
@chance_option
@seed_option
def command(
    engine: Path,
    units: str | None,
    settings: tuple[str, ...],
    built: Path | None,
    json: bool,
    everything: bool,
    list_limits: bool,
    list_pairs: bool,
    relief: bool,
    curve: str | None,
    sweep: str | None,
    accept_open: bool,
    out: Path | None,
    against: Path | None,
    against_settings: tuple[str, ...],
    want: str | None,
    by: str | None,
    measure: bool,
    sets: int | None,
    seed: int | None,
) -> None:  # fmt: skip
    """Check an engine through its full turn: exit 0 within limits, 1 outside or open, 2 bad input.

    With --against or --against-set the exit code is that of the second list; with --want that of the engine with the
    size that was solved for, or 2 where no size gives what is wanted.
    """
    from viewer.reports import tables as report
    from viewer.reports.answered import answered, settled
    from viewer.reports.doubts import over_doubt

    _one_answer(
        {
            "--limits": list_limits,
            "--pairs": list_pairs,
            "--curve": curve is not None,
            "--sweep": sweep is not None,
        },
        {"--json": json, "--all": everything, "--relief": relief},
        out is not None,
    )
    others = {"--limits": list_limits, "--pairs": list_pairs, "--relief": relief}
    others |= {"--curve": curve is not None, "--sweep": sweep is not None}
    doubted = {"--measure": measure, "--chance": sets is not None}
    if against is not None or against_settings:
        from viewer.commands.beside import set_beside

        refuse_together(
            "--against-set" if against is None else "--against",
            others | doubted | {"--want": want is not None},
        )
        set_beside(engine, units, settings, built, against, against_settings, json, everything)
    if want is not None or by is not None:
        from viewer.commands.wanted import solve_for

        refuse_together("--want", others | doubted | {"--all": everything})
        if want is None or by is None:
            raise click.UsageError(
                "--want and --by belong together: what is wanted, and the value that may change"
            )
        solve_for(engine, units, settings, built, want, by, json)
    if seed is not None and sets is None:
        raise click.UsageError("--seed is what --chance draws its sets from: ask for --chance")
    for asked in [name for name, wanted in doubted.items() if wanted][:1]:
        rest = others | doubted | {"--all": everything}
        refuse_together(asked, {name: wanted for name, wanted in rest.items() if name != asked})
    if relief and out is not None:
        from viewer.reports.relief import template_place

        template_place(out)
    job = read_job(engine, units, settings, built)
    if measure or sets is not None:
        from viewer.commands import measure as doubt_report

        title = f"{job.assembly.spec.engine.name}: {engine.name}"
        if sets is None:
            doubt_report.list_measures(job, title, json)
        else:
            doubt_report.tell_chance(job, title, sets, 1 if seed is None else seed, json)
    elif list_limits or list_pairs or curve is not None or sweep is not None:
        from viewer.reports import clearance as clearance_report

        if curve is None:  # its lines are for a program: it says it in a remark of its own
            say_assumed(job)
        if list_limits:
            clearance_report.print_limits(job)
        elif list_pairs:
            clearance_report.print_pairs(job)
        elif curve is not None:
            clearance_report.give_curve(job, curve, out)
        else:
            clearance_report.print_sweep(job, str(sweep), overrides(settings))
    else:
        sections = answered(job, built)
        if relief:
            from geometry.checks.relief import relief_section, reliefs_of

            reliefs = reliefs_of(job.assembly, job.system)
            sections.append(relief_section(job.assembly, job.system, reliefs))
            if out is not None:
                from viewer.reports.relief import give_template

                give_template(job, reliefs, out, quiet=json)
        over = over_doubt(job, accept_open)
        more = {}
        sections = settled(job, sections, built, over)
        if over is not None:
            from viewer.commands.measure import measures_of, next_lines

            more = measures_of(job) if json else {}
            over = over if json else replace(over, next_lines=tuple(next_lines(job)))
        name = job.assembly.spec.engine.name
        if json:
            click.echo(as_json(name, report.answer(sections, over) | more))
        else:
            report.print_report(f"{name}: {engine.name}", sections, job.system, everything, over)
        raise click.exceptions.Exit(report.verdict_code(sections, over))


def _one_answer(lists: dict[str, bool], of_tables: dict[str, bool], with_file: bool) -> None:
    """Refuse options that ask for two answers at once, rather than leave one of them out without a word."""
    asked = [name for name, wanted in lists.items() if wanted]
    for name in asked[:1]:
        refuse_together(
            name, {other: wanted for other, wanted in (lists | of_tables).items() if other != name}
        )
    if with_file and "--curve" not in asked and not of_tables["--relief"]:
        raise click.UsageError("-o is the file for --curve or --relief")
