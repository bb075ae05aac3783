"""`fullturn new FILE`: a commented starter that already passes its checks."""

from __future__ import annotations

from pathlib import Path

import click

from geometry.errors import InputError, Problem


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

    content = text(layout, units)
    try:
        with file.open("x", encoding="utf-8", newline="\n") as out:
            out.write(content)
    except FileExistsError:
        raise InputError(
            [Problem(str(file), None, "", "exists already", "choose another file name")]
        ) from None
    except OSError as bad:
        raise InputError(
            [
                Problem(
                    str(file),
                    None,
                    "",
                    f"cannot be written ({bad.strerror})",
                    "choose a folder you may write to",
                )
            ]
        ) from None
    click.echo(f"Wrote {file}. Now: fullturn check {file}")
