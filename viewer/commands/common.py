"""Arguments that several commands take."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

F = TypeVar("F", bound=Callable[..., Any])


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


def engine_argument(command: F) -> F:
    """Adds the engine file as first argument."""
    return click.argument("engine", type=click.Path(path_type=Path), metavar="ENGINE")(command)


def units_option(command: F) -> F:
    """Adds ``--units in|mm``."""
    return click.option(
        "--units", type=click.Choice(["in", "mm"]), help="Units on output; default: those of the engine file."
    )(command)


def set_option(command: F) -> F:
    """Adds ``--set key=value``, as often as wanted."""
    return click.option(
        "--set", "settings", multiple=True, metavar="KEY=VALUE",
        help='Try another value without editing the file: --set block.pan_rail.height="-2.5 in".',
    )(command)  # fmt: skip


def built_option(command: F) -> F:
    """Adds ``--built RECORD``."""
    return click.option(
        "--built", type=click.Path(path_type=Path), metavar="RECORD",
        help="Lay this build record over the design: the engine as it was put together.",
    )(command)  # fmt: skip
