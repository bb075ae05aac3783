"""Arguments that several commands take, and the way from a file name to an assembled engine."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

import click

from geometry.assembly import Assembly, assemble
from geometry.built import AS_DESIGNED, Built
from geometry.errors import GeometryError, InputError, Problem
from geometry.spec.engine import Engine
from geometry.spec.load import engine_data_system, load_engine, read_text, read_toml
from geometry.spec.locate import line_of, lines_of_keys, read_written
from geometry.units import System

F = TypeVar("F", bound=Callable[..., Any])


@dataclass(frozen=True)
class Job:
    """An engine file, read and assembled, and the units to answer in."""

    path: Path
    assembly: Assembly
    system: System


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


def overrides(settings: tuple[str, ...]) -> dict[str, str]:
    """``("crank.stroke=88 mm",)`` to a mapping.

    Raises
    ------
    InputError
        A setting without its equals sign.
    """
    found = {}
    for text in settings:
        key, equals, value = text.partition("=")
        if not equals or not key.strip() or not value.strip():
            raise InputError(
                [Problem("--set", None, text, "is no KEY=VALUE", 'write for example crank.stroke="88 mm"')]
            )
        found[key.strip()] = value.strip().strip('"')
    return found


def built_option(command: F) -> F:
    """Adds ``--built RECORD``."""
    return click.option(
        "--built", type=click.Path(path_type=Path), metavar="RECORD",
        help="Lay this build record over the design: the engine as it was put together.",
    )(command)  # fmt: skip


def read_job(
    engine: Path, units: str | None = None, settings: tuple[str, ...] = (), built: Path | None = None
) -> Job:
    """Read, check and assemble an engine, as designed or with a build record laid over it.

    Raises
    ------
    InputError
        The file cannot be read or is not a good engine file, every problem at once.
    """
    changes = overrides(settings)
    spec = load_engine(engine, changes)
    try:
        assembly = assemble(spec, _as_built(built, spec))
    except GeometryError as bad:
        raise InputError([_at_its_line(bad, engine, changes)]) from bad
    system: System = "in" if units == "in" else "mm"
    return Job(engine, assembly, system if units else engine_data_system(read_toml(engine)))


def _at_its_line(bad: GeometryError, engine: Path, changes: dict[str, str]) -> Problem:
    """Parts that cannot be put together, laid at the option or the line that describes them."""
    if bad.key in changes:
        return Problem("--set", None, bad.key, bad.what, bad.right)
    path = read_written(bad.key)
    line = line_of(path, lines_of_keys(read_text(engine))) if path else None
    return Problem(str(engine), line, bad.key, bad.what, bad.right)


def _as_built(record: Path | None, spec: Engine) -> Built:
    if record is None:
        return AS_DESIGNED
    from geometry.record.overlay import load_built

    if not record.exists():
        raise InputError(
            [Problem(str(record), None, "", "there is no such record", "name an existing record file")]
        )
    return load_built(record, spec)
