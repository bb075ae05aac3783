"""`fullturn serve ENGINE`: the page live on this machine, for the tablet at the bench."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from viewer.commands.common import (
    FILE,
    built_option,
    engine_argument,
    say_assumed,
    set_option,
    units_option,
)

if TYPE_CHECKING:
    import socket

    from viewer.serve.doors import Doors
    from viewer.serve.served import Served, Serving

LAN_WARNING = """Everyone on this network who has the address can read this engine and enter readings until you stop it.
What is sent is not encrypted: use it on the shop's own network, never on a guest network."""


@click.command("serve")
@engine_argument
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    help="Port to listen on; default: 8707, or the next that is free.",
)
@built_option
@click.option(
    "--record",
    type=FILE,
    help="Record that readings are entered in; default: that of --built, else beside the engine.",
)
@click.option("--open/--no-open", "opens", default=True, help="Open the page in the browser of this machine.")
@click.option(
    "--lan", is_flag=True, help="Let others on this network in: a tablet, with the address that is printed."
)
@units_option
@set_option
def command(
    engine: Path,
    port: int | None,
    built: Path | None,
    record: Path | None,
    opens: bool,
    lan: bool,
    units: str | None,
    settings: tuple[str, ...],
) -> None:  # fmt: skip
    """Serve the page live: it follows the engine file and the record, and readings are entered in it.

    It listens on this machine alone unless --lan is given. Ctrl-C stops it.
    """
    from geometry.record.load import record_path
    from viewer.serve.running import listening
    from viewer.serve.served import Serving

    if built is not None and record is not None and built.resolve() != record.resolve():
        raise click.UsageError("--built and --record name two records: one build has one record")
    serving = Serving(engine, record or built or record_path(engine), built, units, settings)
    with listening(port, lan) as on:  # first, so that a port that is taken is told at once
        _serve(serving, on, lan, opens)
    click.echo("Stopped.")


def _serve(serving: Serving, on: socket.socket, lan: bool, opens: bool) -> None:
    """Make the page, say where it is, and serve it until it is stopped."""
    from viewer.serve.doors import addresses, doors_for
    from viewer.serve.running import run
    from viewer.serve.served import Served, digest_of
    from viewer.serve.watching import remade

    shown = remade(serving)
    served = Served(serving, shown, record_version=digest_of(serving.record))
    here = addresses() if lan else []
    doors = doors_for(on.getsockname()[1], here, guarded=lan)
    say_assumed(shown.job)
    _say_what(serving, served)
    host = here[0] if here else "127.0.0.1"

    def ready() -> None:
        if lan:
            click.echo(LAN_WARNING)
            doors.announce = lambda token: _say_token(doors, host, token)
            _open(_say_token(doors, host, doors.fresh()), opens)
        else:
            click.echo(f"Open http://localhost:{doors.port}/ in the browser of this machine.")
            _open(f"http://localhost:{doors.port}/", opens)
        click.echo("Ctrl-C stops it.")

    run(served, doors, on, ready)


def _say_what(serving: Serving, served: Served) -> None:
    name = served.shown.job.assembly.spec.engine.name
    as_ = f"as built by {serving.built.name}" if serving.built else "as designed"
    there = "" if served.record_version else ", which is made with the first reading"
    click.echo(f"Serving {name} ({serving.engine.name}) {as_}; readings go to {serving.record.name}{there}.")


def _say_token(doors: Doors, host: str, token: str) -> str:
    """Print the address that lets one browser in."""
    address = f"http://{host}:{doors.port}/?token={token}"
    click.echo(f"For one browser, once: {address}")
    click.echo("As soon as it is used a fresh address is printed here for the next one.")
    return address


def _open(address: str, wanted: bool) -> None:
    if wanted:
        import threading

        threading.Thread(target=click.launch, args=(address,), daemon=True).start()
