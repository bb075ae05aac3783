"""`fullturn explain ENGINE MISTAKE`: what one assembly mistake does in this engine, in numbers, words and a picture."""

from __future__ import annotations

from pathlib import Path

import click

from viewer.commands.common import FILE, engine_argument, json_option, say_assumed, set_option, units_option
from viewer.job import read_job
from viewer.output import as_json


@click.command("explain")
@engine_argument
@click.argument("mistake", required=False)
@click.option("--bore", type=int, help="In which bore; default: the lowest in which it can be made.")
@click.option(
    "--main", type=int, help="At which main bearing, counted from the front, for main cap mistakes."
)
@click.option("-o", "--output", type=FILE, help="Write the picture, right and wrong side by side.")
@click.option("--list", "list_all", is_flag=True, help="List every mistake, one line each.")
@json_option
@units_option
@set_option
def command(
    engine: Path,
    mistake: str | None,
    bore: int | None,
    main: int | None,
    output: Path | None,
    list_all: bool,
    json: bool,
    units: str | None,
    settings: tuple[str, ...],
) -> None:
    """Explain one assembly mistake: what it does in this engine, how it is felt, found and put right."""
    from geometry.assembly import assemble
    from geometry.mistakes.mistake import mistakes
    from viewer.reports import mistake as words

    job = read_job(engine, units, settings)
    name = job.assembly.spec.engine.name
    if list_all or mistake is None:
        listed = {"mistakes": words.listing_as_json(job.assembly, mistakes())}
        if json:
            click.echo(as_json(name, job.assumed_as_json | listed))
        else:
            say_assumed(job)
            click.echo(words.listing(job.assembly, mistakes()))
        return
    chosen = words.find(mistake, mistakes())
    place = words.place_of(chosen, job.assembly, bore, main)
    wrong = assemble(job.assembly.spec, chosen.make(job.assembly, place))
    study = chosen.study(job.assembly, wrong, place, job.system)
    drawn = {}
    if output is not None:
        from viewer.explained.case import MistakeCase
        from viewer.explained.sheet import draw_case

        case = MistakeCase(job.assembly, wrong, chosen, study, place, job.system, job.assumed)
        target = draw_case(case, output)
        drawn = {"picture": str(target)}
    if json:
        click.echo(as_json(name, job.assumed_as_json | drawn | words.answer(chosen, study, place)))
        return
    words.print_study(name, chosen, study, place, job.system, job.assumed)
    for path in drawn.values():
        click.echo(f"Picture: {path}")
