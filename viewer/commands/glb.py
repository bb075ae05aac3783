"""`fullturn glb ENGINE -o engine.glb`: the whole engine with its looks and its motion, for other programs."""

from __future__ import annotations

from pathlib import Path

import click

from viewer.commands.common import FILE, built_option, engine_argument, say_assumed, set_option
from viewer.job import read_job
from viewer.output import output_place, write_whole


@click.command("glb")
@engine_argument
@click.option("-o", "--output", type=FILE, required=True, help="File to write, .glb.")
@built_option
@set_option
def command(engine: Path, output: Path, built: Path | None, settings: tuple[str, ...]) -> None:
    """Write the engine as glTF 2.0: every part with its name and look, turning through the full cycle.

    Block, heads, gaskets and pan are glass; every part can be hidden by its name. Metres, +y up, the front towards +z.
    """
    from viewer.exchange.engine import exchange_of
    from viewer.exchange.moves import KEY_EVERY_DEG, LOOKED_AT
    from viewer.scene.build import CAUTION

    target = output_place(output, (".glb",), "cannot be written as GLB")
    job = read_job(engine, None, settings, built)
    made = exchange_of(job.assembly, job.rests_on)
    write_whole(target, made.data)
    say_assumed(job)
    click.echo(
        f"Wrote {output}: {made.parts} parts of {made.shapes} shapes, {made.triangles} triangles, "
        f"{len(made.data) / 1e6:.1f} MB; metres, +y up, front towards +z."
    )
    off = made.off
    click.echo(
        f"It turns through {made.cycle_deg:g} degrees in {made.seconds:g} s, with a key every {KEY_EVERY_DEG:g} "
        f"degree. Looked at every {KEY_EVERY_DEG / LOOKED_AT:g} degree, no point is more than {off.point_mm:.4f} mm "
        f"and no part more than {off.angle_deg:.5f} degree off the exact motion."
    )
    click.echo(CAUTION)
