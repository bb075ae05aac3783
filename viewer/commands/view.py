"""`fullturn view ENGINE`: the interactive window."""

from __future__ import annotations

from pathlib import Path

import click

from viewer.commands.common import built_option, engine_argument, set_option, units_option
from viewer.job import Job, read_job


@click.command("view")
@engine_argument
@click.option(
    "--quality",
    type=click.Choice(["auto", "fine", "fast"]),
    default="auto",
    show_default=True,
    help="How frames are drawn while the crank moves; auto decides by timing the first ones.",
)
@built_option
@units_option
@set_option
def command(
    engine: Path, quality: str, built: Path | None, units: str | None, settings: tuple[str, ...]
) -> None:
    """Open the interactive window; a saved edit of the engine file or the record shows within a second."""
    from viewer.window.loaded import Loaded
    from viewer.window.open import open_view

    def read() -> Loaded:
        job = read_job(engine, units, settings)
        if built is None:
            return Loaded(job.assembly, None, job.system, job.rests_on, None, waits(job))
        from geometry.record.load import load_record

        found = read_job(engine, units, settings, built)
        record = load_record(built, found.assembly.spec)
        return Loaded(job.assembly, found.assembly, job.system, found.rests_on, record, waits(found))

    def waits(job: Job) -> tuple[object, ...]:
        return (*job.waiting, *job.waiting_figures)

    open_view(read, [engine] if built is None else [engine, built], quality)
