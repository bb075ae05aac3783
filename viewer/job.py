"""The way from a file name, and what is laid over it, to an assembled engine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from geometry.assembly import Assembly, assemble
from geometry.errors import GeometryError, InputError, Problem, refused
from geometry.spec.described import Described, load_described
from geometry.spec.load import engine_data_system, read_text, read_toml
from geometry.spec.locate import line_of, lines_of_keys, read_written
from geometry.spec.proportions.waits import waiting, waiting_cells, waiting_figures
from geometry.units import System

if TYPE_CHECKING:
    from geometry.doubts.answers import Doubtful
    from geometry.doubts.box import DoubtBox
    from geometry.doubts.readings import ReadBox


@dataclass(frozen=True)
class Job:
    """An engine file, read and assembled, and the units to answer in.

    Attributes
    ----------
    described : how well each value of the file is known; what a build record stands in for counts as read
    readings : the box of file and build record, where a record is laid over the engine
    """

    path: Path
    assembly: Assembly
    system: System
    described: Described
    readings: ReadBox | None = None

    @cached_property
    def box(self) -> DoubtBox:
        """All that the engine may be within the doubt about its values."""
        if self.readings is not None:
            return self.readings.box
        from geometry.doubts.box import box_of

        return box_of(self.described, self.assembly.built)

    @property
    def assumed(self) -> str:
        """The first line of every output that rests on assumed values; empty where there is none."""
        return assumed_line(self.described, 0 if self.readings is None else len(self.readings.replaced))

    @property
    def rests_on(self) -> str:
        """The same where any value is assumed still; empty where readings stand for all of them, or none ever was.

        What a picture says beside a verdict.
        """
        return self.assumed if self.described.assumed else ""

    @property
    def assumed_as_json(self) -> dict[str, Any]:
        """The same under its key in a JSON object; empty where nothing is assumed and nothing was."""
        return assumed_as_json(self.described, 0 if self.readings is None else len(self.readings.replaced))

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

        without = tuple(self.waiting), self.waiting_figures
        return answers_under_doubt(self.box, self.system, *without, self.assembly)

    @cached_property
    def waiting(self) -> dict[str, tuple[str, ...]]:
        """Sections that are not answered, and the keys that they wait for."""
        return waiting(self.described) if self._filled else {}

    @cached_property
    def waiting_figures(self) -> dict[tuple[str, str], tuple[str, ...]]:
        """Single figures that are not answered, by section and name, and the keys that they wait for."""
        return waiting_figures(self.described) if self._filled else {}

    @cached_property
    def waiting_cells(self) -> dict[tuple[str, str], tuple[str, ...]]:
        """The same of cells that no figure stands in, by section and key of the cell."""
        return waiting_cells(self.described) if self._filled else {}

    @property
    def _filled(self) -> bool:
        return any(value.origin == "filled" for value in self.described.values)


def assumed_line(described: Described, replaced: int = 0) -> str:
    """How many values nobody measured, and how many of those the file does not even hold; empty where there is none.

    The first line of every output that rests on them.

    Parameters
    ----------
    replaced : how many more were assumed, and are measured in the build record
    """
    assumed, count = described.assumed, len(described.values)
    were = ""
    if replaced:
        one = replaced == 1
        were = f" ({replaced} more {'was' if one else 'were'}, and {'is' if one else 'are'} measured in the record)"
    if not assumed:
        return f"none of {count} values is assumed{were}" if replaced else ""
    filled = sum(value.origin == "filled" for value in assumed)
    lacking = f"; {filled} of them {'is' if filled == 1 else 'are'} not in the file" if filled else ""
    return f"{len(assumed)} of {count} values {'is' if len(assumed) == 1 else 'are'} assumed{were}{lacking}"


def assumed_as_json(described: Described, replaced: int = 0) -> dict[str, Any]:
    """``assumed_line`` under its key in a JSON object, with its numbers; empty where it is."""
    line = assumed_line(described, replaced)
    if not line:
        return {}
    count = len(described.assumed)
    return {"assumed": {"values": count, "of": len(described.values), "measured": replaced, "text": line}}


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
            raise refused(option, text, "is not KEY=VALUE", 'write for example crank.stroke="88 mm"')
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
    try:
        if built is None:
            return Job(engine, assemble(described.spec), system_of(engine, units), described)
        found = _as_built(built, described)
        assembly = assemble(described.spec, found.box.built_at({}))
    except GeometryError as bad:
        raise InputError([_at_its_line(bad, engine, changes)]) from bad
    return Job(engine, assembly, system_of(engine, units), found.box.described, found)


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


def box_over(described: Described, record: Path | None) -> DoubtBox:
    """The box of an engine file, with a build record laid over it where there is one.

    Raises
    ------
    InputError, GeometryError : as ``read_job``
    """
    from geometry.doubts.box import box_of

    return box_of(described) if record is None else _as_built(record, described).box


def _as_built(record: Path, described: Described) -> ReadBox:
    from geometry.doubts.readings import read_box
    from geometry.record.load import load_record

    if not record.exists():
        raise refused(record, "", "there is no such record", "name an existing record file")
    return read_box(described, load_record(record, described.spec))
