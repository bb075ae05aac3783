"""`fullturn view ENGINE`: the interactive window."""

from __future__ import annotations

from pathlib import Path

import click

from viewer.commands.common import engine_argument, read_job, set_option, units_option


@click.command("view")
@engine_argument
@click.option(
    "--quality",
    type=click.Choice(["auto", "fine", "fast"]),
    default="auto",
    show_default=True,
    help="How frames are drawn while the crank moves; auto decides by timing the first ones.",
)
@units_option
@set_option
def command(engine: Path, quality: str, units: str | None, settings: tuple[str, ...]) -> None:
    """Open the interactive window; a saved edit of the engine file shows within a second."""
    from viewer.window.open import open_view

    system = read_job(engine, units, settings).system

    def read():  # type: ignore[no-untyped-def]
        from viewer.window.loaded import Loaded

        return Loaded(read_job(engine, units, settings).assembly)

    open_view(read, [engine], system, quality)
