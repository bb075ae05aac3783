"""`fullturn still ENGINE -o picture.png`: one picture of the engine at one crank angle; needs no display."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

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
    from viewer.job import Job
    from viewer.scene import Scene, ViewOptions

SIZE = "1600x1000"
WORST = "worst"


class CrankAngle(Degrees):
    """An angle, or ``worst``: where the place stands at which the picture is aimed."""

    name = "degrees or worst"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The number, or the word; called by click."""
        return WORST if str(value).strip().lower() == WORST else super().convert(value, param, ctx)


@click.command("still")
@engine_argument
@click.option("-o", "--output", type=FILE, required=True, help="Picture to write, .png or .jpg.")
@click.option(
    "--crank", type=CrankAngle(), default=0.0, show_default=True,
    help="Crank angle, degrees; 'worst': where the worst place comes about, seen near.",
)  # fmt: skip
@click.option(
    "--worst", type=int, is_flag=False, flag_value=1, default=None, metavar="[N]",
    help="Aim at the worst place, or at the N-th kind from the worst: near, and opened where the block hides it; with "
    "--view from there.",
)  # fmt: skip
@click.option(
    "--marks/--no-marks", default=True, show_default=True,
    help="Mark what does not clear and what is wrong, with depth, limit and crank angle.",
)  # fmt: skip
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
    crank: float | str,
    worst: int | None,
    marks: bool,
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
    from viewer.pictures.media import check_size, draw, picture_place, write_picture
    from viewer.scene import ViewOptions
    from viewer.scene.views import read_view

    job = read_job(engine, units, settings, built)
    numbers = [site.bore for site in job.assembly.layout.bores]
    if bore is not None:
        job.assembly.layout.site(bore)
    viewed = _given("view") or rings
    seen = read_view(view, job.assembly.layout)
    if rings:
        view = f"rings {bore or seen.bore or min(numbers)}"
    pixels = read_size(size)
    check_size(pixels)
    picture_place(output)
    options = ViewOptions(
        view=view,
        bore=bore,
        block="cut" if cut else "glass",
        hidden=(ViewOptions().hidden - families(show, job.assembly)) | families(hide, job.assembly),
        units=job.system,
        assumed=job.rests_on,
    )
    say_assumed(job)
    wanted = (worst or 1) if worst is not None or crank == WORST else None
    angle = float(crank) if crank != WORST and (wanted is None or _given("crank")) else None
    scene = _scene(
        job, replace(options, crank_deg=angle or 0.0), built, _Wanted(wanted, angle, viewed, marks)
    )
    write_picture(draw(scene, pixels), output)


@dataclass(frozen=True, slots=True)
class _Wanted:
    """Which place, at which angle (None: its own), whether from a view that was named, and whether it is marked."""

    rank: int | None
    crank_deg: float | None
    viewed: bool
    marks: bool


def _given(name: str) -> bool:
    """Whether an option was written on the command line."""
    source = click.get_current_context().get_parameter_source(name)
    return source is click.core.ParameterSource.COMMANDLINE


def _scene(job: Job, options: ViewOptions, record: Path | None, wanted: _Wanted) -> Scene:
    """The picture that was asked for, aimed and marked.

    Raises
    ------
    InputError
        There is no place of that rank.
    """
    from viewer.pictures.pointed import UNPOSED, aim_at, aimed_scene, job_troubles, pointed_scene
    from viewer.scene import build_scene, read_view

    if wanted.rank is None and not wanted.marks:
        return build_scene(job.assembly, options)
    whole = wanted.rank is not None or read_view(options.view, job.assembly.layout).name not in UNPOSED
    spots = job_troubles(job, record, clearances=whole)
    if wanted.rank is None:
        return pointed_scene(job, options, spots)
    aim = aim_at(spots, wanted.rank, options.bore)
    if wanted.crank_deg is None:
        options = replace(options, crank_deg=aim.spot.crank_deg or 0.0)
    if not wanted.viewed:
        return aimed_scene(job, options, aim)
    return pointed_scene(job, options, aim.group.spots)


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
                "", name, "is not a family of parts", f"one of {', '.join(dict.fromkeys(known.values()))}"
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
        raise refused("--size", text, "is not a size", f"width x height in pixels, such as {SIZE}")
    return int(found[1]), int(found[2])
