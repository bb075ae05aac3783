"""`fullturn film ENGINE -o turn.mp4`: a film of the turning crank, of the worst places, or of a mistake; no display."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

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
    refuse_together,
    say_assumed,
    set_option,
    units_option,
    view_option,
)
from viewer.job import Job, read_job

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    import numpy as np

    from viewer.scene import ViewOptions

SIZE = "1280x800"
PLACES = 5
TURNING = {"turns": "--turns", "start": "--from", "seconds": "--seconds", "view": "--view"}
"""Options of the film of a turning crank alone."""
DRAWN = {"cut": "--cut", "size": "--size"}
"""Options of films of the solids."""


@click.command("film")
@engine_argument
@click.option("-o", "--output", type=FILE, required=True, help="Film to write, .mp4, .webp or .gif.")
@click.option(
    "--tour", type=click.IntRange(1, 50), is_flag=False, flag_value=PLACES, default=None, metavar="[N]",
    help=f"Go to the N worst places ({PLACES}) one after another: near, with dimension, limit and verdict.",
)  # fmt: skip
@click.option(
    "--explain", "mistake", metavar="MISTAKE",
    help="Film a mistake of `fullturn explain`, right beside wrong; --bore or --main says where.",
)  # fmt: skip
@click.option("--main", type=int, help="With --explain: at which main bearing, counted from the front.")
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
    engine: Path, output: Path, tour: int | None, mistake: str | None, main: int | None, view: str, bore: int | None,
    cut: bool, turns: float, start: float, fps: int, seconds: float, size: str, built: Path | None, units: str | None,
    settings: tuple[str, ...],
) -> None:  # fmt: skip
    """Film the engine while the crank turns. A whole number of working cycles runs round without a jump.

    With --tour the film goes to the worst places instead; with --explain it shows a mistake, right beside wrong.
    """
    from viewer.pictures.media import check_film
    from viewer.scene import ViewOptions

    _refuse_unused(tour, mistake, main)
    pixels = _even_size(size)
    check_film(output)
    job = read_job(engine, units, settings, built)
    if mistake is not None:
        _film_mistake(job, mistake, bore, main, output, fps)
        return
    if bore is not None:
        job.assembly.layout.site(bore)
    options = ViewOptions(
        crank_deg=start, view=view, bore=bore, block="cut" if cut else "glass", units=job.system, assumed=job.rests_on
    )  # fmt: skip
    say_assumed(job)
    if tour is not None:
        _film_tour(job, options, built, tour, pixels, output, fps)
        return
    from viewer.pictures.film import filmed, turn_angles

    angles = turn_angles(start, turns, round(fps * seconds * turns))
    _write(filmed(job.assembly, options, angles, pixels), [1.0] * len(angles), output, fps)


def _refuse_unused(tour: int | None, mistake: str | None, main: int | None) -> None:
    """Refuse options that the film that is asked for has no use for."""
    written = click.get_current_context().get_parameter_source
    given = {
        words: written(name) is click.core.ParameterSource.COMMANDLINE
        for name, words in (TURNING | DRAWN).items()
    }
    if mistake is not None:
        refuse_together("--explain", {"--tour": tour is not None, **given})
    elif tour is not None:
        refuse_together("--tour", {words: given[words] for words in TURNING.values()})
    if main is not None and mistake is None:
        raise click.UsageError("--main goes with --explain: it says where a mistake is")


def _even_size(size: str) -> tuple[int, int]:
    """Width and height of a film.

    Raises
    ------
    InputError : no size, or an odd one
    """
    from viewer.commands.still import read_size

    pixels = read_size(size)
    if pixels[0] % 2 or pixels[1] % 2:
        raise refused("--size", size, "is odd", "even width and height, as films need")
    return pixels


def _film_mistake(job: Job, name: str, bore: int | None, main: int | None, output: Path, rate: int) -> None:
    from viewer.explained.film import film_case
    from viewer.page.mistakes import found_mistake

    case = found_mistake(job, name, bore, main).case
    say_assumed(job)
    film_case(case, output, rate)


def _film_tour(
    job: Job, options: ViewOptions, record: Path | None, most: int, size: tuple[int, int], output: Path, rate: int
) -> None:  # fmt: skip
    from viewer.pictures.media import check_size
    from viewer.pictures.pointed import job_troubles
    from viewer.pictures.tour import tour_of

    check_size(size)
    click.echo("Certifying clearances, which takes as long as `fullturn check`", err=True)
    tour = tour_of(job, options, job_troubles(job, record), most, rate)
    _write(tour.pictures(size), tour.costs, output, rate)


def _write(pictures: Iterable[np.ndarray[Any, Any]], costs: Sequence[float], output: Path, rate: int) -> None:
    from viewer.pictures.media import write_film
    from viewer.terminal import followed, writing

    write_film(followed(pictures, len(costs), "Filming", "pictures", costs), output, rate, writing)
