"""`fullturn new FILE`: a commented starter that already passes its checks."""

from __future__ import annotations

from pathlib import Path

import click

from viewer.commands.common import FILE
from viewer.output import write_new
from viewer.starters import names, text


@click.command("new")
@click.argument("file", type=FILE)
@click.option(
    "--layout",
    type=click.Choice(names()),
    default="inline-four",
    show_default=True,
    help="How the bores stand.",
)
@click.option(
    "--units", type=click.Choice(["in", "mm"]), default="mm", show_default=True, help="Units to write in."
)
def command(file: Path, layout: str, units: str) -> None:
    """Write a starter engine file; an existing file is never overwritten."""
    write_new(file, text(layout, units))
    click.echo(f"Wrote {file}. Now: fullturn check {file}")
