"""Arguments and options that several commands take."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from viewer.job import Job

FILE = click.Path(path_type=Path)
VIEWS = "front, rear, left, right, top, below, iso, 'bore N', 'rings N' or 'chamfer N'."


class FiniteRange(click.FloatRange):
    """A number within limits, and a finite one: click lets "nan" through every range."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The number; called by click."""
        number = float(super().convert(value, param, ctx))
        if not math.isfinite(number):
            self.fail(f"{value} is not a number to count with", param, ctx)
        return number


class Degrees(click.types.FloatParamType):
    """An angle on the command line: a number, and a finite one."""

    name = "degrees"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The number; called by click."""
        number = float(super().convert(value, param, ctx))
        if not math.isfinite(number):
            self.fail(f"{value} is not an angle: write degrees such as 75", param, ctx)
        return number


engine_argument = click.argument("engine", type=FILE, metavar="ENGINE")
units_option = click.option(
    "--units", type=click.Choice(["in", "mm"]), help="Units on output; default: those of the engine file."
)
set_option = click.option(
    "--set", "settings", multiple=True, metavar="KEY=VALUE",
    help='Try another value without editing the file: --set block.pan_rail.height="-2.5 in".',
)  # fmt: skip
built_option = click.option(
    "--built", type=FILE, metavar="RECORD",
    help="Lay this build record over the design: the engine as it was put together.",
)  # fmt: skip
against_option = click.option(
    "--against", type=FILE, metavar="ENGINE",
    help="Set this engine file beside it: what differs, and what that changes in the answers.",
)  # fmt: skip
against_set_option = click.option(
    "--against-set", "against_settings", multiple=True, metavar="KEY=VALUE",
    help="A value of the second list; without --against that is the same file with these values: "
    '--against-set crank.stroke="3.75 in".',
)  # fmt: skip
json_option = click.option("--json", is_flag=True, help="Print one JSON object and nothing else.")
measure_option = click.option(
    "--measure", is_flag=True, help="List what to measure next: the values whose doubt leaves a verdict open."
)
chance_option = click.option(
    "--chance", "sets", type=click.IntRange(100, 1_000_000), is_flag=False, flag_value=10_000, metavar="[N]",
    help="Draw N sets of parts (10000) from within the doubt: how likely one is outside a limit.",
)  # fmt: skip
seed_option = click.option(
    "--seed", type=click.IntRange(0, 2**32 - 1), help="What --chance draws its sets from; default 1."
)
view_option = click.option("--view", default="iso", show_default=True, help=VIEWS)
alone_option = click.option("--bore", type=int, help="Show this bore alone.")
cut_option = click.option("--cut", is_flag=True, help="Cut the block open.")


def say_assumed(job: Job) -> None:
    """Print the first line of an output that rests on assumed values; nothing where none is assumed."""
    if job.assumed:
        click.echo(job.assumed)


def refuse_together(name: str, others: dict[str, bool]) -> None:
    """Refuse an option that does not go with another one that is asked for.

    Raises
    ------
    click.UsageError : one of the others is
    """
    for other, wanted in others.items():
        if wanted:
            raise click.UsageError(f"{name} and {other} do not go together: ask for one at a time")
