"""`fullturn page ENGINE -o x.html`: one file to hand over, with the engine in it."""

from __future__ import annotations

from pathlib import Path

import click

from viewer.commands.common import FILE, built_option, engine_argument, say_assumed, set_option, units_option


@click.command("page")
@engine_argument
@click.option("-o", "--output", type=FILE, required=True, help="Page to write, .html.")
@built_option
@units_option
@set_option
def command(
    engine: Path, output: Path, built: Path | None, units: str | None, settings: tuple[str, ...]
) -> None:
    """Write one self-contained page that opens in any browser, without a network."""
    from viewer.job import read_job
    from viewer.output import output_place, write_whole
    from viewer.page.document import document
    from viewer.page.page import page_of

    output_place(output, (".html", ".htm"), "is no kind of page")
    job = read_job(engine, units, settings, built)
    say_assumed(job)
    write_whole(output, document(*page_of(job)))
