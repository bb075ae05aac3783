"""`fullturn explain ENGINE MISTAKE`: what one assembly mistake does in this engine, in numbers, words and a picture."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from viewer.cli import program_version
from viewer.commands.common import engine_argument, read_job, set_option, units_option


@click.command("explain")
@engine_argument
@click.argument("mistake", required=False)
@click.option("--bore", type=int, help="In which bore; default: the lowest in which it can be made.")
@click.option(
    "--main", type=int, help="At which main bearing, counted from the front, for main cap mistakes."
)
@click.option(
    "-o", "--output", type=click.Path(path_type=Path), help="Write the picture, right and wrong side by side."
)
@click.option("--list", "list_all", is_flag=True, help="List every mistake, one line each.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object and nothing else.")
@units_option
@set_option
def command(
    engine: Path,
    mistake: str | None,
    bore: int | None,
    main: int | None,
    output: Path | None,
    list_all: bool,
    as_json: bool,
    units: str | None,
    settings: tuple[str, ...],
) -> None:
    """Explain one assembly mistake: what it does in this engine, how it is felt, found and put right."""
    from geometry.assembly import assemble
    from geometry.mistakes.mistake import mistakes
    from viewer.reports import mistake as words

    job = read_job(engine, units, settings)
    document: dict[str, Any] = {"fullturn": program_version(), "engine": job.assembly.spec.engine.name}
    if list_all or mistake is None:
        listed = words.listing_as_json(job.assembly, mistakes())
        text = (
            _as_text(document | {"mistakes": listed}) if as_json else words.listing(job.assembly, mistakes())
        )
        click.echo(text)
        return
    chosen = words.find(mistake, mistakes())
    place = words.place_of(chosen, job.assembly, bore, main)
    wrong = assemble(job.assembly.spec, chosen.make(job.assembly, place))
    study = chosen.study(job.assembly, wrong, place, job.system)
    if output is not None:
        from viewer.pictures.mistake import draw_mistake

        document["picture"] = str(draw_mistake(job.assembly, wrong, chosen, study, place, job.system, output))
    if as_json:
        click.echo(_as_text(document | words.as_json(chosen, study, place)))
        return
    words.print_study(job.assembly.spec.engine.name, chosen, study, place, job.system)
    if output is not None:
        click.echo(f"Picture: {document['picture']}")


def _as_text(document: dict[str, Any]) -> str:
    return json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1)
