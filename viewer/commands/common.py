"""Arguments and options that several commands take."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import click

FILE = click.Path(path_type=Path)
VIEWS = "front, rear, left, right, top, below, iso, 'bore N', 'rings N' or 'chamfer N'."


class FiniteRange(click.FloatRange):
    """A number within limits, and a finite one: click lets "nan" through every range."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The number; called by click."""
        number = float(super().convert(value, param, ctx))
        if not math.isfinite(number):
            self.fail(f"{value} is no number to count with", param, ctx)
        return number


class Degrees(click.types.FloatParamType):
    """An angle on the command line: a number, and a finite one."""

    name = "degrees"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The number; called by click."""
        number = float(super().convert(value, param, ctx))
        if not math.isfinite(number):
            self.fail(f"{value} is no angle: write degrees such as 75", param, ctx)
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
json_option = click.option("--json", is_flag=True, help="Print one JSON object and nothing else.")
view_option = click.option("--view", default="iso", show_default=True, help=VIEWS)
alone_option = click.option("--bore", type=int, help="Show this bore alone.")
cut_option = click.option("--cut", is_flag=True, help="Cut the block open.")
