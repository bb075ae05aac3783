"""The command line: `fullturn COMMAND ENGINE ...`."""

from __future__ import annotations

import importlib
import os
import sys
from importlib.metadata import PackageNotFoundError, version

import click

from geometry.errors import GeometryError, InputError
from viewer.commands import SUMMARIES


def program_version() -> str:
    """Version of the installed program, or ``0`` when it runs from a bare folder."""
    try:
        return version("fullturn")
    except PackageNotFoundError:
        return "0"


class _Commands(click.Group):
    """Finds each command in its own file when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(SUMMARIES)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in SUMMARIES:
            return None
        module = importlib.import_module(f"viewer.commands.{cmd_name}")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(SUMMARIES.items()))


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(program_version(), "--version", prog_name="fullturn")
def cli() -> None:
    """See, measure and explain an engine's reciprocating assembly through a full turn of the crank.

    Exit codes: 0 all within limits, 1 something is outside its limit, 2 the input is bad.
    """


def main() -> None:
    """Run the command line; a bad input ends in clear lines and exit code 2, never in a traceback."""
    try:
        code = cli.main(prog_name="fullturn", standalone_mode=False)
        sys.exit(code if isinstance(code, int) else 0)
    except click.exceptions.Exit as done:
        sys.exit(done.exit_code)
    except click.ClickException as refused:
        refused.show()
        sys.exit(2)
    except click.Abort:
        sys.exit(130)
    except (InputError, GeometryError) as bad:
        click.echo(str(bad), err=True)
        sys.exit(2)
    except BrokenPipeError:
        # The reader (a pager, `head`) has gone: nothing is wrong, and nothing more can be said.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
