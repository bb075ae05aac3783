"""The way from a file name, and what is laid over it, to an assembled engine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from geometry.assembly import Assembly, assemble
from geometry.built import AS_DESIGNED, Built
from geometry.errors import GeometryError, InputError, Problem, refused
from geometry.spec.described import Described, load_described
from geometry.spec.engine import Engine
from geometry.spec.load import engine_data_system, read_text, read_toml
from geometry.spec.locate import line_of, lines_of_keys, read_written
from geometry.units import System

if TYPE_CHECKING:
    from geometry.doubts.answers import Doubtful
    from geometry.doubts.box import DoubtBox


@dataclass(frozen=True)
class Job:
    """An engine file, read and assembled, and the units to answer in.

    Attributes
    ----------
    described : how well each value of the file is known
    """

    path: Path
    assembly: Assembly
    system: System
    described: Described

    @cached_property
    def box(self) -> DoubtBox:
        """All that the engine may be within the doubt about its values."""
        from geometry.doubts.box import box_of

        return box_of(self.described, self.assembly.built)

    @property
    def in_doubt(self) -> bool:
        """Whether any value may be something else than what is counted with."""
        return bool(self.described.doubted)

    @cached_property
    def answers(self) -> tuple[Doubtful, ...]:
        """Every answer over that doubt; none where nothing is in doubt."""
        if not self.in_doubt:
            return ()
        from geometry.doubts.every import answers_under_doubt

        return answers_under_doubt(self.box, self.system)


def assumed_line(described: Described) -> str:
    """How many values nobody measured, and how many of those the file does not even hold; empty where there is none.

    The first line of every output that rests on them.
    """
    assumed, count = described.assumed, len(described.values)
    if not assumed:
        return ""
    filled = sum(value.origin == "filled" for value in assumed)
    lacking = f"; {filled} of them {'is' if filled == 1 else 'are'} not in the file" if filled else ""
    return f"{len(assumed)} of {count} values {'is' if len(assumed) == 1 else 'are'} assumed{lacking}"


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
    described = load_described(engine, changes)
    spec = described.spec
    try:
        assembly = assemble(spec, _as_built(built, spec))
    except GeometryError as bad:
        raise InputError([_at_its_line(bad, engine, changes)]) from bad
    return Job(engine, assembly, system_of(engine, units), described)


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
