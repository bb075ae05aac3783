"""The command line: `fullturn COMMAND ENGINE ...`."""

from __future__ import annotations

import importlib
import os
import re
import sys
from typing import Any, Final

import click

from geometry.errors import GeometryError, InputError, one_line, shortened
from viewer.commands import SUMMARIES
from viewer.output import program_version
from viewer.terminal import drop_output, prepare_streams, stopping_cleanly

BAD_INPUT = 2
INTERRUPTED = 130
_CLICK_SAYS: Final = tuple(
    (re.compile(said), plain)
    for said, plain in (
        (r"is not a valid integer( range)?", "is not a whole number"),
        (r"is not a valid float( range)?", "is not a number"),
        (r"is not a valid degrees", "is not an angle in degrees, such as 75"),
        (r"is not a valid (\w+)", r"is not a \1"),
        (r"is not in the range (\S+?)<=?x<=?(\S+?)([.;]?)(\s|$)", r"is not from \1 to \2\3\4"),
        (r"is not in the range x>=?(\S+?)([.;]?)(\s|$)", r"is less than \1\2\3"),
        (r"is not in the range x<=?(\S+?)([.;]?)(\s|$)", r"is more than \1\2\3"),
    )
)
"""What click says of a value of its own types, and what that is in a builder's words."""


class _ReaderGone(Exception):
    """The reader of the output (a pager, `head`) has gone: nothing is wrong, and nothing more can be said."""


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

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        name = args[0]
        if name not in SUMMARIES:
            from difflib import get_close_matches  # only for who mistypes

            for near in get_close_matches(name, SUMMARIES, 1):
                ctx.fail(f"no such command '{name}'. Did you mean {near}?")
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except BrokenPipeError as gone:  # click would call it a failure
            raise _ReaderGone from gone

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(SUMMARIES.items()))


def _say_version(ctx: click.Context, param: click.Parameter, asked: bool) -> None:
    """Print the version and leave; click's own option looks it up before it is asked for."""
    if asked:
        click.echo(f"fullturn, version {program_version()}")
        ctx.exit()


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_say_version,
    help="Show the version and exit.",
)
def cli() -> None:
    """See, measure and explain an engine's reciprocating assembly through a full turn of the crank.

    Exit codes: 0 all within limits, 1 something is outside its limit, 2 the input is bad.
    """


def main() -> None:
    """Run the command line and leave with its exit code; nothing that a user does ends in a traceback."""
    # pydantic would read the metadata of every installed distribution to see whether one extends it: none does here
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    prepare_streams()
    with stopping_cleanly():
        code = _run()
    sys.exit(code)


def _run() -> int:
    """Run the command line; whatever is wrong with the input is one clear line each on the error output."""
    try:
        code = cli.main(prog_name="fullturn", standalone_mode=False)
        sys.stdout.flush()
        return code if isinstance(code, int) else 0
    except click.exceptions.NoArgsIsHelpError as asked:
        asked.show()
        return BAD_INPUT
    except click.ClickException as refused:
        click.echo(_refusal(refused), err=True)
        return BAD_INPUT
    except click.Abort:
        return INTERRUPTED
    except (InputError, GeometryError) as bad:
        click.echo(str(bad), err=True)
        return BAD_INPUT
    except (_ReaderGone, BrokenPipeError):
        drop_output()
        return 0
    except OSError as bad:
        drop_output()
        where = (
            f"{bad.filename}: cannot be read or written" if bad.filename else "the output cannot be written"
        )
        click.echo(f"{where} ({bad.strerror or bad})", err=True)
        return BAD_INPUT


def in_plain_words(message: str) -> str:
    """What click says of an argument, without the names that it has for its own types.

    Examples
    --------
    >>> in_plain_words("'x' is not a valid integer range."), in_plain_words("99 is not in the range 1<=x<=60.")
    ("'x' is not a whole number.", '99 is not from 1 to 60.')
    """
    for said, plain in _CLICK_SAYS:
        message = said.sub(plain, message)
    return message


def _refusal(refused: click.ClickException) -> str:
    """One line: the command, what is wrong with how it was called, and where to read more."""
    message = one_line(shortened(in_plain_words(" ".join(refused.format_message().split()))))
    context = getattr(refused, "ctx", None)
    path = context.command_path if context is not None else "fullturn"
    return f"{path}: {message[:1].lower()}{message[1:].rstrip('.')}; {path} --help says how to call it"
