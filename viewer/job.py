"""The way from a file name, and what is laid over it, to an assembled engine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from geometry.assembly import Assembly, assemble
from geometry.built import AS_DESIGNED, Built
from geometry.errors import GeometryError, InputError, Problem, refused
from geometry.spec.engine import Engine
from geometry.spec.load import engine_data_system, load_engine, read_text, read_toml
from geometry.spec.locate import line_of, lines_of_keys, read_written
from geometry.units import System


@dataclass(frozen=True)
class Job:
    """An engine file, read and assembled, and the units to answer in."""

    path: Path
    assembly: Assembly
    system: System


def overrides(settings: Sequence[str], option: str = "--set") -> dict[str, str]:
    """``("crank.stroke=88 mm",)`` to a mapping; ``option`` is what brought them in.

    Raises
    ------
    InputError
        A setting without its equals sign.
    """
    found = {}
    for text in settings:
        key, equals, value = text.partition("=")
        if not equals or not key.strip() or not value.strip():
            raise refused(option, text, "is no KEY=VALUE", 'write for example crank.stroke="88 mm"')
        found[key.strip()] = value.strip().strip('"')
    return found


def read_job(
    engine: Path, units: str | None = None, settings: Sequence[str] = (), built: Path | None = None
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
    return Job(engine, assembly, system_of(engine, units))


def system_of(engine: Path, units: str | None) -> System:
    """The units to answer in: those asked for, else those of the engine file."""
    if units is None:
        return engine_data_system(read_toml(engine))
    return "in" if units == "in" else "mm"


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
        raise refused(record, "", "there is no such record", "name an existing record file")
    return load_built(record, spec)
