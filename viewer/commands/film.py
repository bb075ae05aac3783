"""`fullturn film ENGINE -o turn.mp4`: a film of the turning crank; needs no display."""

from __future__ import annotations

from pathlib import Path

import click

from geometry.errors import refused
from viewer.commands.common import (
    FILE,
    Degrees,
    FiniteRange,
    alone_option,
    built_option,
    cut_option,
    engine_argument,
    say_assumed,
    set_option,
    units_option,
    view_option,
)
from viewer.job import read_job
from viewer.terminal import followed

SIZE = "1280x800"


@click.command("film")
@engine_argument
@click.option("-o", "--output", type=FILE, required=True, help="Film to write, .mp4 or .gif.")
@view_option
@alone_option
@cut_option
@click.option(
    "--turns", type=FiniteRange(0.0, 20.0, min_open=True), default=2.0, show_default=True,
    help="Turns of the crank; two are one working cycle.",
)  # fmt: skip
@click.option(
    "--from", "start", type=Degrees(), default=0.0, show_default=True, help="First crank angle, degrees."
)
@click.option("--fps", type=click.IntRange(1, 60), default=24, show_default=True, help="Pictures a second.")
@click.option(
    "--seconds", type=FiniteRange(0.1, 60.0), default=4.0, show_default=True, help="Length of one turn."
)
@click.option(
    "--size", default=SIZE, show_default=True, metavar="WIDTHxHEIGHT", help="Of the film, in pixels."
)
@built_option
@units_option
@set_option
def command(
    engine: Path,
    output: Path,
    view: str,
    bore: int | None,
    cut: bool,
    turns: float,
    start: float,
    fps: int,
    seconds: float,
    size: str,
    built: Path | None,
    units: str | None,
    settings: tuple[str, ...],
) -> None:  # fmt: skip
    """Film the engine while the crank turns. A whole number of working cycles runs round without a jump."""
    from viewer.commands.still import read_size
    from viewer.pictures.film import filmed, turn_angles
    from viewer.pictures.media import check_film, write_film
    from viewer.scene import ViewOptions

    pixels = read_size(size)
    if pixels[0] % 2 or pixels[1] % 2:
        raise refused("--size", size, "is odd", "even width and height, as films need")
    check_film(output)
    job = read_job(engine, units, settings, built)
    if bore is not None:
        job.assembly.layout.site(bore)
    angles = turn_angles(start, turns, round(fps * seconds * turns))
    options = ViewOptions(
        crank_deg=start,
        view=view,
        bore=bore,
        block="cut" if cut else "glass",
        units=job.system,
        assumed=job.rests_on,
    )
    say_assumed(job)
    pictures = filmed(job.assembly, options, angles, pixels)
    write_film(followed(pictures, len(angles), "Filming", "pictures"), output, fps)
