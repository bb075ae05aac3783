"""`fullturn envelope ENGINE --body "rod 3" -o swept.stl`: the space that moving parts need, as a closed mesh."""

from __future__ import annotations

from pathlib import Path

import click

from geometry.errors import InputError, Problem
from viewer.commands.common import engine_argument, read_job, set_option, units_option

FORMATS = (".stl", ".glb", ".ply", ".obj")


@click.command("envelope")
@engine_argument
@click.option(
    "--body", "names", multiple=True, required=True, metavar="NAME",
    help="A moving part: 'rod 3', 'rod_cap 3', 'rod_bolt 3 major', 'piston 3', 'crank'; as often as wanted.",
)  # fmt: skip
@click.option(
    "-o", "out", type=click.Path(path_type=Path), required=True, help="STL, GLB, PLY or OBJ file, in mm."
)
@units_option
@set_option
def command(
    engine: Path, names: tuple[str, ...], out: Path, units: str | None, settings: tuple[str, ...]
) -> None:
    """Write what parts sweep over the full turn; it contains the true sweep, the excess is stated."""
    import trimesh

    from geometry.clearance.envelope import swept_envelope
    from geometry.clearance.pairs import law_of, placed
    from geometry.units import show

    job = read_job(engine, units, settings)
    if out.suffix.lower() not in FORMATS:
        raise InputError(
            [Problem(str(out), None, "", "is no mesh file", f"a name ending in {', '.join(FORMATS)}")]
        )
    known = [b.name for b in job.assembly.bodies if b.frame != "E" and b.part.features]
    meshes, inflation, chord = [], 0.0, 0.0
    for name in names:
        if name not in known:
            raise InputError(
                [Problem("--body", None, name, "is no moving part", f"one of {', '.join(known)}")]
            )
        body = job.assembly.body(name)
        if any(feature.surface for feature in body.part.features):
            what = "is measured: a surface, whose sweep would be hollow"
            right = "leave rod.mesh out to sweep the rod that the engine file describes"
            raise InputError([Problem("--body", None, name, what, right)])
        pieces = [placed(piece, body) for feature in body.part.features for piece in feature.pieces]
        found = swept_envelope(law_of(job.assembly, body.frame), pieces)
        inflation, chord = max(inflation, found.inflation_mm), max(chord, found.chord_mm)
        meshes.append(trimesh.Trimesh(found.mesh.vertices, found.mesh.triangles, process=False))
    whole = meshes[0] if len(meshes) == 1 else trimesh.boolean.union(meshes, engine="manifold")
    try:
        whole.export(out)
    except OSError as bad:
        raise InputError(
            [Problem(str(out), None, "", f"cannot be written ({bad.strerror})", "choose another folder")]
        ) from None
    excess = show(inflation, "length", job.system, fine=True)
    click.echo(
        f"Wrote {out}: {len(whole.faces)} triangles, mm, engine frame, watertight: {whole.is_watertight}."
    )
    click.echo(f"It contains the true sweep and exceeds it by at most {excess}.")
    if chord > 0:
        click.echo(
            f"Hollow parts: the inside may be filled by up to {show(chord, 'length', job.system, fine=True)}."
        )
    click.echo(
        "Add your clearance when you cut a notch or shape a tray; try a gauge by hand before metal is cut."
    )
