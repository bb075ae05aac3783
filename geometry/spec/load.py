"""From a file on disk to a model, or to one clear line for everything that is wrong with it."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any, Final, NoReturn, TypeVar

from pydantic import ValidationError

from geometry.errors import InputError, Problem, refused
from geometry.files import read_whole
from geometry.spec.base import FROM_FILE, SpecModel
from geometry.spec.known import advice_on_unknown, look_up
from geometry.spec.locate import Path, lines_of_keys, read_written, written
from geometry.spec.refusals import problems_of
from geometry.unit_text import units_of
from geometry.units import System

if TYPE_CHECKING:
    from geometry.spec.engine import Engine

Model = TypeVar("Model", bound=SpecModel)

MOST_BYTES: Final = 1024 * 1024
"""Of an engine file or a record; either has a few kilobytes."""
_MOST_LEVELS: Final = 32
_MOST_ITEMS: Final = 4096
_MOST_VALUES: Final = 20_000
"""Tables in tables, items in one array, values in all: a file beyond them describes something else."""


def read_toml(path: str | os.PathLike[str]) -> dict[str, Any]:
    """Read a TOML file of up to 1 MiB.

    Raises
    ------
    InputError : the file is missing, not an ordinary file, not readable, too large, empty, or not TOML
    """
    return parse_toml(read_text(path), os.fspath(path))


def read_text(path: str | os.PathLike[str], written_in: str = "TOML") -> str:
    """Read a text file of up to 1 MiB in UTF-8, with or without a byte order mark.

    Parameters
    ----------
    path : the file
    written_in : what such files are written in, for messages

    Raises
    ------
    InputError : the file is missing, not an ordinary file, not readable, too large, or not text
    """
    return as_text(read_whole(path, MOST_BYTES), os.fspath(path), written_in)


def as_text(content: bytes, file: str, written_in: str = "TOML") -> str:
    """Read the bytes of a text file in UTF-8; ``written_in`` and errors as ``read_text``."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        _refuse(file, "is saved as UTF-16", "save it as UTF-8 text")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        _refuse(file, "is not UTF-8 text", f"save it as plain UTF-8 text in {written_in}", line)
    if "\0" in text:
        _refuse(file, "is a binary file", f"write it as plain text in {written_in}")
    return text


def parse_toml(text: str, file: str) -> dict[str, Any]:
    """Parse TOML text.

    Parameters
    ----------
    text : the content of the file
    file : its name, for messages

    Raises
    ------
    InputError : the text is empty, is not TOML, or is nested or long beyond reason
    """
    for line, content in enumerate(text.split("\n"), 1):
        dotted = max(part.count(".") for part in re.split(r"[=,{}\[\]#]", content))
        if dotted > 2 * _MOST_LEVELS:
            _refuse(file, "a key has too many parts", f"nest tables {_MOST_LEVELS} deep at most", line)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        _refuse(file, *_why_not_toml(str(error), text))
    except RecursionError:
        _refuse(file, "is nested too deep", f"nest arrays and tables {_MOST_LEVELS} deep at most")
    except ValueError:
        _refuse(file, "holds a number that is too long to read", "write numbers of up to 40 digits")
    if not data:
        _refuse(file, "is empty", "fullturn new writes a commented starter file")
    _refuse_excess(data, file)
    return data


def _why_not_toml(said: str, text: str) -> tuple[str, str, int | None]:
    """What the TOML reader said, in a builder's words: what is wrong, what would be right, line."""
    found = re.search(r"\(at (?:line (\d+), column \d+|end of document)\)", said)
    lines = text.split("\n")
    line = int(found[1]) if found and found[1] else len(text.rstrip().split("\n"))
    content = lines[line - 1] if line <= len(lines) else ""
    bare = _BARE_QUANTITY.fullmatch(content)
    if bare:
        return "a quantity stands without quotation marks", f'write {bare[1]} = "{bare[2].strip()}"', line
    for words, what, right in _TOML_SAYINGS:
        if words in said:
            return what, right, line
    return "this is not TOML", 'write key = value, text between quotation marks: stroke = "88 mm"', line


_BARE_QUANTITY: Final = re.compile(
    r"\s*([\w.-]+)\s*=\s*([+-]?[\d./]+\s*[^\d\s\"'\[\],{}#][^\"'\[\],{}#=]*?)\s*(#.*)?"
)
_TOML_SAYINGS: Final = (
    ("Expected '=' after a key", 'a key stands without "="', 'write key = value: stroke = "88 mm"'),
    ("Cannot overwrite a value", "this key stands twice", "keep one of the two"),
    ("Duplicate inline table key", "this key stands twice", "keep one of the two"),
    ("Cannot declare", "this table stands twice", "put all of its keys under one header"),
    ("Cannot mutate immutable", "this table was complete already", "put all of its keys in one place"),
    ("Cannot redefine", "this table stands twice", "put all of its keys in one place"),
    ("Unterminated string", "a quotation mark is missing at its end", 'write text between two: "88 mm"'),
    ("Illegal character", "a quotation mark is missing, or a letter stands here that TOML does not allow",
     'write text between two quotation marks: "88 mm"'),
    ("Unescaped '\\'", "a backslash stands in text between double quotation marks",
     "write it between single ones: 'parts\\rod.stl'"),
    ("Unclosed array", "a list is not closed", 'end it with "]"'),
    ("Unclosed inline table", "a table in braces is not closed on its line", 'end it with "}"'),
    ("at the end of a table declaration", "a table's header is not closed", "write it as [crank]"),
    ("at the end of an array declaration", "a header is not closed", "write it as [[ring]]"),
    ("Invalid value", "the value cannot be read", 'write text between quotation marks: stroke = "88 mm"'),
    ("Expected newline", "something stands after the value",
     'write one key on a line, text between quotation marks: stroke = "88 mm"'),
    ("Invalid initial character for a key part", "a key begins with something that it may not have",
     'write key = value: stroke = "88 mm"'),
)  # fmt: skip


def _refuse_excess(data: dict[str, Any], file: str) -> None:
    """Refuse what is deeper or longer than anything that somebody would write about an engine."""
    pending: list[tuple[Any, Path]] = [(data, ())]
    seen = 0
    while pending:
        value, path = pending.pop()
        seen += 1
        if seen > _MOST_VALUES:
            _refuse(file, f"holds more than {_MOST_VALUES} values", "name a file that describes one engine")
        if len(path) > _MOST_LEVELS:
            _refuse(file, "is nested too deep", f"nest arrays and tables {_MOST_LEVELS} deep at most")
        if isinstance(value, dict):
            pending.extend((inner, (*path, key)) for key, inner in value.items())
        elif isinstance(value, list):
            if len(value) > _MOST_ITEMS:
                what = f"{written(path[:6])} has {len(value)} items"
                _refuse(file, what, f"write {_MOST_ITEMS} at most")
            pending.extend((inner, (*path, place)) for place, inner in enumerate(value))


def validate_model(
    model_cls: type[Model],
    data: dict[str, Any],
    file: str,
    source_text: str | None = None,
    context: Mapping[str, bool] = FROM_FILE,
) -> Model:
    """Make a model from data read from a file; every problem of the file is reported at once.

    Parameters
    ----------
    model_cls : the model of the whole file
    data : what a TOML reader made of it
    file : its name, for messages
    source_text : its text, for line numbers; without it problems carry none
    context : what may stand in it: ``base.FROM_FILE`` or ``base.READINGS``

    Raises
    ------
    InputError : one problem for each thing that is wrong, in the order of the file
    """
    try:
        return model_cls.model_validate(data, context=dict(context), by_alias=True, by_name=False)
    except ValidationError as error:
        lines = lines_of_keys(source_text) if source_text else {}
        system = engine_data_system(data)
        raise InputError(problems_of(error, model_cls, data, file, lines, system)) from None
    except RecursionError:
        _refuse(file, "is nested too deep", f"nest arrays and tables {_MOST_LEVELS} deep at most")


def load_engine(path: str | os.PathLike[str], overrides: Mapping[str, str] | None = None) -> Engine:
    """Read an engine file and, laid over it, values given on the command line.

    Parameters
    ----------
    path : the engine file
    overrides : value by key as the user writes both: ``{"crank.stroke": "88 mm"}``; the root of the second
        groove is ``piston.grooves[2].root``

    Raises
    ------
    InputError : the file or an override cannot be used; every problem at once
    """
    return read_engine(path, overrides).spec


@dataclass(frozen=True, slots=True)
class EngineFile:
    """An engine file as read: the model, and the data that it was made of.

    Attributes
    ----------
    spec : the engine at nominal values
    data : tables and values by key as the file and the command line have them, quantities as text, and with them
        what was filled in
    filled : the quantities that were missing and were filled in by proportion
    chosen : keys of what is no quantity and was filled in, as the user writes them
    """

    spec: Engine
    data: dict[str, Any]
    filled: tuple[Path, ...] = ()
    chosen: tuple[str, ...] = ()


def read_engine(path: str | os.PathLike[str], overrides: Mapping[str, str] | None = None) -> EngineFile:
    """Read an engine file with values of the command line laid over it; parameters and errors as ``load_engine``.

    What an engine needs and the file does not say is filled in by proportion, and told in ``filled`` and ``chosen``.
    """
    from geometry.spec.at_fault import most_likely_first
    from geometry.spec.engine import Engine
    from geometry.spec.proportions.fill import fill, missing_basics

    text, file = read_text(path), os.fspath(path)
    data = parse_toml(text, file)
    overridden = apply_overrides(Engine, data, overrides or {})
    _find_meshes(data, FilePath(path).parent)
    whole = fill(data, engine_data_system(data))
    try:
        spec = validate_model(Engine, whole.data, file, text)
    except InputError as error:
        filled = {written(path) for path in whole.paths}
        blamed = (_blame_override(problem, overridden) for problem in error.problems)
        told = [_blame_filling(problem, filled) for problem in blamed]
        told = most_likely_first(told, data, file, text, engine_data_system(data))
        told = [_blame_override(problem, overridden) for problem in told]
        raise InputError(_together(told, missing_basics(data), file)) from None
    return EngineFile(spec, whole.data, tuple(whole.paths), tuple(whole.chosen))


def _together(problems: Sequence[Problem], missing: Sequence[str], file: str) -> Iterator[Problem]:
    """What is missing of the few values that must be written, on one line where it is more than one."""
    if len(missing) > 1:
        what = f"{', '.join(missing[:-1])} and {missing[-1]} are missing"
        yield Problem(file, None, "", what, "write these; all else can be filled in by proportion")
    yield from (
        p for p in problems if len(missing) < 2 or not p.key.startswith((*missing, "engine.numbering"))
    )


def _find_meshes(data: dict[str, Any], folder: FilePath) -> None:
    """Let the paths of measured meshes count from the folder of the engine file, in place."""
    for table in data.values():
        if isinstance(table, dict) and isinstance(table.get("mesh"), str) and table["mesh"]:
            table["mesh"] = os.path.abspath(folder / table["mesh"])


def apply_overrides(root: type[SpecModel], data: dict[str, Any], overrides: Mapping[str, str]) -> list[str]:
    """Lay ``--set`` values over the data in place.

    Returns
    -------
    The keys that were set, as messages show them.

    Raises
    ------
    InputError : a key that the file cannot have, or a position that its array does not have
    """
    problems = []
    for key, raw in overrides.items():
        try:
            _set(data, _override_path(root, key), _toml_or_text(raw))
        except LookupError as error:
            what, right = error.args
            problems.append(Problem("--set", None, key, what, right))
    if problems:
        raise InputError(problems)
    return list(overrides)


def _override_path(root: type[SpecModel], key: str) -> Path:
    """The path of a key on the command line, where arrays count from 1."""
    path = read_written(key)
    if path is None:
        raise LookupError("is not a key", "write it as crank.stroke or piston.grooves[2].root")
    for length in range(1, len(path) + 1):
        step = path[length - 1]
        if step == 0:
            raise LookupError("there is no item 0", "the first item of a list is [1]")
        if isinstance(step, str) and look_up(root, path[:length])[0] is None:
            raise LookupError(f"{step} is not a known key", advice_on_unknown(root, path[:length]))
    return tuple(step - 1 if isinstance(step, int) else step for step in path)


def _set(data: dict[str, Any], path: Path, value: object) -> None:
    holder: Any = data
    for step, following in zip(path, [*path[1:], None], strict=True):
        here = isinstance(holder, dict) if isinstance(step, str) else isinstance(holder, list)
        if not here:
            raise LookupError("is not in the file", "set the whole table or list, or add it to the file")
        if isinstance(step, int) and step >= len(holder):
            raise LookupError(f"the list has {len(holder)} items", "choose one of them, from [1] on")
        if following is None:
            holder[step] = value
        elif isinstance(step, str):
            holder = holder.setdefault(step, {})
        else:
            holder = holder[step]


def _toml_or_text(raw: str) -> object:
    """A value as TOML reads it, or else the text itself, so that ``88 mm`` needs no quotation marks."""
    try:
        parsed = tomllib.loads(f"value = {raw}")
    except (ValueError, RecursionError):
        return raw
    return parsed["value"] if set(parsed) == {"value"} else raw


def _blame_override(problem: Problem, overridden: list[str]) -> Problem:
    """The same problem, laid at the option's door when the option brought the value in."""
    for key in overridden:
        if problem.key == key or problem.key.startswith((f"{key}.", f"{key}[")):
            return Problem("--set", None, problem.key, problem.what, problem.right)
    return problem


def _blame_filling(problem: Problem, filled: Collection[str]) -> Problem:
    """The same problem, saying so where it lies with a value that is not in the file."""
    if problem.key not in filled:
        return problem
    return replace(problem, what=f"not in the file and filled in by proportion: {problem.what}")


def engine_data_system(data: Mapping[str, Any]) -> System:
    """Which units an engine file is written in: its own ``units``, or else those of most of its lengths."""
    general = data.get("engine")
    chosen = general.get("units") if isinstance(general, dict) else None
    if chosen in ("in", "mm"):
        return "in" if chosen == "in" else "mm"
    found = [units_of(text) for text in _texts(data)]
    return "in" if found.count("in") > found.count("mm") else "mm"


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for inner in value.values():
            yield from _texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner)


def _refuse(file: str, what: str, right: str, line: int | None = None) -> NoReturn:
    raise refused(file, "", what, right, line)
