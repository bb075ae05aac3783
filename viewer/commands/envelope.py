"""`fullturn envelope ENGINE --body "rod 3" -o swept.stl`: the space that moving parts need, as a closed mesh.

With the name of a drawing, `envelope ENGINE --bore 3 -o sweep.pdf`, it is drawn as a section to scale.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from geometry.errors import refused
from geometry.units import UnitError, parse
from viewer.commands.common import FILE, built_option, engine_argument, say_assumed, set_option, units_option
from viewer.job import Job, read_job
from viewer.output import output_place, write_whole

if TYPE_CHECKING:
    from geometry.collision.swept_volume import Moving

FORMATS = (".stl", ".glb", ".ply", ".obj")


@click.command("envelope")
@engine_argument
@click.option(
    "--body", "names", multiple=True, metavar="NAME",
    help="A moving part for a mesh: 'rod 3', 'rod_cap 3', 'rod_bolt 3 major', 'piston 3', 'crank'; as often as wanted.",
)  # fmt: skip
@click.option(
    "--bore", type=int,
    help="Draw what rod, cap and bolts of this bore sweep, in a section to scale: -o sweep.pdf, .svg, .png or .jpg.",
)  # fmt: skip
@click.option("-o", "out", type=FILE, required=True, help="STL, GLB, PLY or OBJ file, in mm; or a drawing.")
@click.option(
    "--excess", metavar="LENGTH",
    help="How far the mesh may exceed the true sweep; a smaller excess makes a larger file. Default: 0.2 mm.",
)  # fmt: skip
@built_option
@units_option
@set_option
def command(
    engine: Path,
    names: tuple[str, ...],
    bore: int | None,
    out: Path,
    excess: str | None,
    built: Path | None,
    units: str | None,
    settings: tuple[str, ...],
) -> None:
    """Write what parts sweep over the full turn: a mesh that contains the true sweep, or a section drawn to scale."""
    if bore is not None:
        if names or excess is not None:
            raise click.UsageError("--bore asks for a drawing, --body and --excess for a mesh: one at a time")
        draw_section(engine, units, settings, built, bore, out)
        return
    if not names:
        raise click.UsageError("say what: --body 'rod 3' for a mesh, --bore 3 for a drawing")
    write_mesh(engine, units, settings, built, names, out, excess)


def draw_section(
    engine: Path, units: str | None, settings: tuple[str, ...], built: Path | None, bore: int, out: Path
) -> None:  # fmt: skip
    """Draw the section at one bore with all that its rod, cap and bolts sweep."""
    from viewer.paper.page import ENDINGS, write
    from viewer.paper.sweep import draw_sweep
    from viewer.scene.build import title_of
    from viewer.scene.sweep import sweep_of

    output_place(out, ENDINGS, "cannot be written as a drawing")
    job = read_job(engine, units, settings, built)
    sweep = sweep_of(job.assembly, bore)
    write(draw_sweep(sweep, title_of(job.assembly), job.system, job.rests_on), out)
    say_assumed(job)


def write_mesh(
    engine: Path, units: str | None, settings: tuple[str, ...], built: Path | None,
    names: tuple[str, ...], out: Path, excess: str | None,
) -> None:  # fmt: skip
    """Write the mesh of all that some bodies sweep, and say how far it exceeds the true sweep."""
    import trimesh

    from geometry.collision.swept_volume import EXCESS_MM, swept_envelope
    from geometry.units import show

    target = output_place(out, FORMATS, "cannot be written as a mesh")
    allowed = EXCESS_MM if excess is None else read_excess(excess)
    job = read_job(engine, units, settings, built)
    found = swept_envelope([_moving(job, name) for name in dict.fromkeys(names)], allowed)
    mesh = trimesh.Trimesh(found.mesh.vertices, found.mesh.triangles, process=False)
    written = mesh.export(file_type=target.suffix.lower()[1:])
    assert not isinstance(written, dict), "no kind of file that is offered is a dictionary"
    write_whole(target, written)
    say_assumed(job)
    click.echo(f"Wrote {out}: {len(mesh.faces)} triangles, mm, engine frame, watertight.")
    over = show(found.inflation_mm, "length", job.system, fine=True)
    click.echo(f"It contains the true sweep and exceeds it by at most {over}.")
    if found.chord_mm > 0:
        chord = show(found.chord_mm, "length", job.system, fine=True)
        click.echo(f"Hollow parts: the inside may be filled by up to {chord}.")
    click.echo(
        "Add your clearance when you cut a notch or shape a tray; try a gauge by hand before metal is cut."
    )


def read_excess(text: str) -> float:
    """An allowed excess as a person writes it, mm.

    Raises
    ------
    InputError
        When it is no length, or none that can be kept.
    """
    from geometry.collision.swept_volume import LEAST_EXCESS_MM, MOST_EXCESS_MM

    right = f"{LEAST_EXCESS_MM:g} mm to {MOST_EXCESS_MM:g} mm"
    try:
        found = parse(text, "length")
    except UnitError as bad:
        raise refused("--excess", text, bad.what, bad.right) from None
    if not LEAST_EXCESS_MM <= found <= MOST_EXCESS_MM:
        raise refused("--excess", text, "is not an excess that can be kept", right)
    return found


def _moving(job: Job, name: str) -> Moving:
    """The motion of a body and its pieces.

    Raises
    ------
    InputError
        No such moving part, or one that is a surface.
    """
    from geometry.clearance.pairs import law_of, placed

    known = [b.name for b in job.assembly.bodies if b.frame != "E" and b.part.features]
    if name not in known:
        raise refused("--body", name, "is not a moving part", f"one of {', '.join(known)}")
    body = job.assembly.body(name)
    if any(feature.surface for feature in body.part.features):
        what = "is measured: a surface, whose sweep would be hollow"
        right = "leave rod.mesh out to sweep the rod that the engine file describes"
        raise refused("--body", name, what, right)
    pieces = [placed(piece, body) for feature in body.part.features for piece in feature.pieces]
    return law_of(job.assembly, body.frame), pieces
