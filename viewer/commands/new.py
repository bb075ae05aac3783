"""`fullturn new FILE`: a commented starter that already passes its checks."""

from __future__ import annotations

from pathlib import Path

import click

from viewer.output import write_new


def _layouts() -> list[str]:
    from viewer.starters import names

    return list(names())


class _Layout(click.Choice):
    """The layouts there is a starter for, looked up only when this command is called."""

    def __init__(self) -> None:
        super().__init__(_layouts())


@click.command("new")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--layout", type=_Layout(), default="inline-four", show_default=True, help="How the bores stand."
)
@click.option(
    "--units", type=click.Choice(["in", "mm"]), default="mm", show_default=True, help="Units to write in."
)
def command(file: Path, layout: str, units: str) -> None:
    """Write a starter engine file; an existing file is never overwritten."""
    from viewer.starters import text

    write_new(file, text(layout, units))
    click.echo(f"Wrote {file}. Now: fullturn check {file}")
