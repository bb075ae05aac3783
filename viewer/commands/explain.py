"""`fullturn explain ENGINE MISTAKE`: what one assembly mistake does in this engine, in numbers, words and a picture."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

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
from viewer.output import as_json

if TYPE_CHECKING:
    from viewer.explained.case import MistakeCase


@click.command("explain")
@engine_argument
@click.argument("mistake", required=False)
@click.option(
    "--bore",
    type=int,
    help="In which bore; default: the first that the record shows it in, else the lowest in which it can be made.",
)  # fmt: skip
@click.option(
    "--main", type=int, help="At which main bearing, counted from the front, for main cap mistakes."
)
@click.option(
    "-o",
    "--output",
    type=FILE,
    help="Picture, right beside wrong: .png, .jpg, .svg; .pdf: the page for the customer.",
)
@click.option(
    "--film", type=FILE, help="Film, right beside wrong, where motion shows the mistake: .mp4, .webp or .gif."
)
@click.option("--list", "list_all", is_flag=True, help="List every mistake, one line each.")
@built_option
@json_option
@units_option
@set_option
def command(
    engine: Path,
    mistake: str | None,
    bore: int | None,
    main: int | None,
    output: Path | None,
    film: Path | None,
    list_all: bool,
    built: Path | None,
    json: bool,
    units: str | None,
    settings: tuple[str, ...],
) -> None:
    """Explain one assembly mistake: what it does in this engine, how it is felt, found and put right."""
    from geometry.mistakes.mistake import mistakes
    from geometry.mistakes.shown import as_found, shown_places
    from viewer.reports import mistake as words

    job = read_job(engine, units, settings, built)
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
    shown = shown_places(job.assembly, chosen) if bore is None and main is None else ()
    place = shown[0] if shown else words.place_of(chosen, job.assembly, bore, main)
    pair = as_found(job.assembly, chosen, place)
    study = chosen.study(pair.right, pair.wrong, place, job.system)
    recorded = pair.shown if built is not None else None
    drawn = {}
    if output is not None or film is not None:
        from viewer.explained.case import MistakeCase

        case = MistakeCase(pair.right, pair.wrong, chosen, study, place, job.system, job.rests_on)
        drawn = _drawn(case, output, film)
    if json:
        click.echo(as_json(name, job.assumed_as_json | drawn | words.answer(chosen, study, place, recorded)))
        return
    words.print_study(name, chosen, study, place, job.system, job.rests_on, recorded)
    for what, path in drawn.items():
        click.echo(f"{what.capitalize()}: {path}")


def _drawn(case: MistakeCase, output: Path | None, film: Path | None) -> dict[str, str]:
    """Draw what was asked for; answers with the files, by what they are."""
    from viewer.explained.film import film_case
    from viewer.explained.page import draw_page
    from viewer.explained.sheet import draw_case

    drawn = {}
    if film is not None:  # first, since it may be refused
        drawn["film"] = str(film_case(case, film))
    if output is not None:
        page = output.suffix.lower() == ".pdf"
        drawn = {"picture": str((draw_page if page else draw_case)(case, output))} | drawn
    return drawn
