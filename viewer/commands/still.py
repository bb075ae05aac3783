"""`fullturn still ENGINE -o picture.png`: one picture of the engine at one crank angle; needs no display."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from geometry.errors import refused
from viewer.commands.common import (
    FILE,
    Degrees,
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

if TYPE_CHECKING:
    from geometry.assembly import Assembly

SIZE = "1600x1000"


@click.command("still")
@engine_argument
@click.option("-o", "--output", type=FILE, required=True, help="Picture to write, .png or .jpg.")
@click.option("--crank", type=Degrees(), default=0.0, show_default=True, help="Crank angle, degrees.")
@view_option
@alone_option
@cut_option
@click.option(
    "--rings", is_flag=True, help="Spread the rings of one bore to show their gaps: --view 'bore 3' --rings."
)
@click.option(
    "--hide", multiple=True, metavar="PART", help="Leave a family of parts out: pistons, 'main caps' ..."
)
@click.option("--show", multiple=True, metavar="PART", help="Show what is left out by default: head, pan.")
@click.option(
    "--size", default=SIZE, show_default=True, metavar="WIDTHxHEIGHT", help="Of the picture, in pixels."
)
@built_option
@units_option
@set_option
def command(
    engine: Path,
    output: Path,
    crank: float,
    view: str,
    bore: int | None,
    cut: bool,
    rings: bool,
    hide: tuple[str, ...],
    show: tuple[str, ...],
    size: str,
    built: Path | None,
    units: str | None,
    settings: tuple[str, ...],
) -> None:  # fmt: skip
    """Draw a picture of the engine at one crank angle."""
    from viewer.pictures.media import still
    from viewer.scene import ViewOptions
    from viewer.scene.views import read_view

    job = read_job(engine, units, settings, built)
    numbers = [site.bore for site in job.assembly.layout.bores]
    if bore is not None:
        job.assembly.layout.site(bore)
    if rings:
        aimed = read_view(view, job.assembly.layout).bore
        view = f"rings {bore or aimed or min(numbers)}"
    options = ViewOptions(
        crank_deg=crank,
        view=view,
        bore=bore,
        block="cut" if cut else "glass",
        hidden=(ViewOptions().hidden - families(show, job.assembly)) | families(hide, job.assembly),
        units=job.system,
        assumed=job.assumed,
    )
    say_assumed(job)
    still(job.assembly, options, output, read_size(size))


def families(names: tuple[str, ...], assembly: Assembly) -> frozenset[str]:
    """Families of parts by their name, singular or plural; a part that is in none goes by its own.

    Raises
    ------
    InputError
        A name that is no family.
    """
    from viewer.scene.groups import GROUPS, group_of

    known = {alias: name for name in GROUPS for alias in (name, name.removesuffix("s"), GROUPS[name].words)}
    known |= {own: own for own in (group_of(body.part.kind) for body in assembly.bodies)}
    for name in names:
        if name.lower() not in known:
            raise refused(
                "", name, "is no family of parts", f"one of {', '.join(dict.fromkeys(known.values()))}"
            )
    return frozenset(known[name.lower()] for name in names)


def read_size(text: str) -> tuple[int, int]:
    """Width and height of a picture, as a person writes them.

    Raises
    ------
    InputError
        When it is no size.
    """
    found = re.fullmatch(r"\s*(\d{1,6})\s*[xX×]\s*(\d{1,6})\s*", text)
    if found is None:
        raise refused("--size", text, "is no size", f"width x height in pixels, such as {SIZE}")
    return int(found[1]), int(found[2])
