"""What pydantic found wrong with a file, said in a builder's words and at the place in the file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Final, TypeAlias, get_args, get_origin

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from geometry.errors import GeometryError, Problem
from geometry.spec.base import Broken, Refused, SpecModel, kind_of, quantity_of
from geometry.spec.known import (
    advice_on_unknown,
    as_toml,
    choices_of,
    example_of,
    fields_of,
    likely_written,
    look_up,
    nearest_choice,
)
from geometry.spec.locate import Path, line_of, read_written, written
from geometry.unit_text import NUMBER, units_of
from geometry.units import DIMENSIONS, System, show

_LONGEST_NUMBER: Final = 24
_MOST_PROBLEMS: Final = 100
_MOST_FAULTS: Final = 400
_MOST_OF_ONE_LIST: Final = 8
"""Problems shown, faults looked at for them, faults of the items of one list: more are only counted."""


@dataclass(frozen=True, slots=True)
class _Fault:
    """One pydantic error, placed in the data that the user wrote."""

    kind: str
    path: Path
    value: Any
    context: dict[str, Any]
    branch: tuple[Path, str] | None
    """Where the error sits in one choice of a union: path of the union, and pydantic's name of the choice."""
    root: type[SpecModel]
    system: System
    """The units that the file is written in, for examples."""

    @property
    def field(self) -> FieldInfo | None:
        """The field at the path; None where the path is unknown."""
        return look_up(self.root, self.path)[0]

    @property
    def models(self) -> tuple[type[SpecModel], ...]:
        """The models that the table at the path may be."""
        return look_up(self.root, self.path)[1]

    @property
    def example(self) -> str:
        """A good value of the field; empty when none is known."""
        return example_of(self.field, self.system) if self.field else ""


def problems_of(
    error: ValidationError,
    root: type[SpecModel],
    data: dict[str, Any],
    file: str,
    lines: dict[Path, int],
    system: System,
) -> tuple[Problem, ...]:
    """Everything that is wrong, in the order of the file.

    Parameters
    ----------
    error : what pydantic raised when ``root`` was made from ``data``
    file : the file as the user named it
    lines : line of each path, from ``locate.lines_of_keys``
    system : the units that the file is written in, for examples
    """
    faults = [_placed(entry, data, root, system) for entry in error.errors(include_url=False)]
    few = list(_few_of_each_list(_one_branch_each(faults)))[:_MOST_FAULTS]
    found = dict.fromkeys(problem for fault in few for problem in _problems(fault, file, lines))
    shown = sorted(found, key=lambda problem: problem.line or 0)[:_MOST_PROBLEMS]
    more = len(faults) - len(few) + len(found) - len(shown)
    if more:
        shown.append(Problem(file, None, "", f"and {more} more such", "put these right first"))
    return tuple(shown)


def _few_of_each_list(faults: Iterable[_Fault]) -> Iterator[_Fault]:
    """Drop the faults of a list's items after the first few, so that one long list hides nothing else."""
    of_list: Counter[Path] = Counter()
    for fault in faults:
        place = next((place for place, step in enumerate(fault.path) if isinstance(step, int)), None)
        items = fault.path[:place]
        of_list[items] += place is not None
        if of_list[items] <= _MOST_OF_ONE_LIST:
            yield fault


def _placed(entry: Any, data: Any, root: type[SpecModel], system: System) -> _Fault:
    """Walk pydantic's location through the data; a step that is not there names a choice of a union."""
    path: Path = ()
    branch: tuple[Path, str] | None = None
    value: Any = data
    for place, step in enumerate(entry["loc"]):
        is_last = place == len(entry["loc"]) - 1
        if (isinstance(value, dict) and step in value) or (
            isinstance(value, list | tuple) and isinstance(step, int) and step < len(value)
        ):
            value = value[step]
        elif is_last and entry["type"] == "missing":
            value = None
        else:
            branch = branch or (path, str(step))
            continue
        path = (*path, step)
    return _Fault(entry["type"], path, value, dict(entry.get("ctx", {})), branch, root, system)


def _one_branch_each(faults: list[_Fault]) -> Iterable[_Fault]:
    """Of each union, the errors of the one choice that the user most likely meant."""
    by_union: dict[Path, dict[str, list[_Fault]]] = {}
    for fault in faults:
        if fault.branch is None:
            yield fault
        else:
            by_union.setdefault(fault.branch[0], {}).setdefault(fault.branch[1], []).append(fault)
    for path, branches in by_union.items():
        yield from min(branches.values(), key=lambda branch, path=path: _misfit(branch, path))  # type: ignore[misc]


def _misfit(branch: list[_Fault], union_path: Path) -> tuple[int, int]:
    """How badly a choice of a union fits: 2 another kind of value, 1 unlikely, 0 likely; then error count."""
    at_union = [fault for fault in branch if fault.path == union_path]
    if any(fault.kind.endswith("_type") or isinstance(fault.value, dict | list) for fault in at_union):
        return 2, len(branch)
    starts_as_number = any(str(fault.value).strip()[:1] in "0123456789.+-" for fault in at_union)
    unlikely = {"literal_error": starts_as_number, "quantity": not starts_as_number}
    return int(any(unlikely.get(fault.kind, False) for fault in at_union)), len(branch)


def _problems(fault: _Fault, file: str, lines: dict[Path, int]) -> Iterable[Problem]:
    if fault.kind in ("value_error", "assertion_error"):
        yield from _raised_problems(fault, file, lines)
        return
    what, right = _SAYINGS.get(fault.kind, _does_not_fit)(fault)
    yield Problem(file, line_of(fault.path, lines), written(fault.path), what, right)


def _raised_problems(fault: _Fault, file: str, lines: dict[Path, int]) -> Iterable[Problem]:
    """Problems that a model's own validator raised, with their keys where they name one."""
    raised = fault.context.get("error")
    if isinstance(raised, Refused):
        found = raised.broken
    elif isinstance(raised, GeometryError):
        found = (Broken(raised.key, raised.what, raised.right),)
    else:
        found = (Broken("", str(raised)),)
    for broken in found:
        path = _resolved(broken.key, fault.path, fault.root) if broken.key else fault.path
        right = f"right: {broken.right}" if broken.right else ""
        yield Problem(file, line_of(path, lines), written(path), broken.what, right)


def _resolved(key: str | Path, base: Path, root: type[SpecModel]) -> Path:
    """The path of a key named by a validator: counted from its own model, or else from the top."""
    path = read_written(key) if isinstance(key, str) else key
    if path is None:
        return (*base, str(key))
    own = fields_of(look_up(root, base)[1])
    return path if base and path[0] not in own else (*base, *path)


def _missing(fault: _Fault) -> tuple[str, str]:
    path, key = fault.path, fault.path[-1]
    if isinstance(key, int):
        return "the list is too short", f"write at least {key + 1} values"
    if fault.models and not fault.example:
        needed = [name for name, inner in fields_of(fault.models).items() if inner.is_required()]
        with_keys = f" with {', '.join(needed)}" if needed else ""
        return "is missing", f"add a table [{written(path)}]{with_keys}"
    table = written(path[:-1])
    where = f"in {table}" if "[" in table else f"under [{table}]" if table else "at the top of the file"
    return "is missing", f"add {key} = {fault.example or '...'} {where}"


Saying: TypeAlias = Callable[[_Fault], tuple[str, str]]


def _wrong_kind(needed: str) -> Saying:
    """Say that a value of another kind is needed, with an example of the field where there is one."""

    def say(fault: _Fault) -> tuple[str, str]:
        what = f"{kind_of(fault.value)} stands where {needed} is needed"
        return what, f"write {fault.example}, for example" if fault.example else f"write {needed}"

    return say


def _needs_number(fault: _Fault) -> tuple[str, str]:
    if kind_of(fault.value) == "a number":
        return f"a number of {len(str(fault.value))} digits cannot be real", "write an ordinary number"
    what, right = _wrong_kind("a number")(fault)
    if isinstance(fault.value, str):
        try:
            right = f"write {float(fault.value):g} without quotation marks"
        except ValueError:
            right = "write a plain number without a unit or quotation marks"
    return what, right


def _needs_whole_number(fault: _Fault) -> tuple[str, str]:
    if isinstance(fault.value, float):
        whole = f"write {fault.value:.0f}" if fault.value.is_integer() else "write a whole number"
        return f"{fault.value} is not written as a whole number", whole
    return _needs_number(fault)


def _needs_table(fault: _Fault) -> tuple[str, str]:
    keys = ", ".join(list(fields_of(fault.models))[:8])
    right = f"write a table [{written(fault.path)}] with {keys}" if keys else "write a table"
    return f"{kind_of(fault.value)} stands where a table is needed", right


def _not_a_choice(fault: _Fault) -> tuple[str, str]:
    field, choices = fault.field, choices_of(fault.field.annotation) if fault.field else []
    near = nearest_choice(fault.value, choices)
    every = ", ".join(as_toml(choice) for choice in choices)
    if field and any(get_origin(part) is list for part in get_args(field.annotation)):
        every += ", or a list between [ and ]"
    right = f"did you mean {near}? The choices are {every}" if near else f"write one of {every}"
    return f"{_short(fault.value)} is not one of the choices", right


def _out_of_limits(fault: _Fault) -> tuple[str, str]:
    words = {"gt": "more than", "ge": "at least", "lt": "less than", "le": "at most"}
    sign, limit = next((sign, fault.context[sign]) for sign in words if sign in fault.context)
    field = fault.field
    quantity = quantity_of(field.annotation, field.metadata) if field else None
    shown = f"{limit:g}"
    if quantity is not None:
        system = units_of(str(fault.value)) or "mm"
        shown = show(limit, quantity.dimension, system) if quantity.dimension == "length" else (
            f"{limit:g} {DIMENSIONS[quantity.dimension].house}")  # fmt: skip
    too = "too small" if sign in ("gt", "ge") else "too large"
    return f"{_short(fault.value)} is {too}", f"write {words[sign]} {shown}"


def _wrong_length(fault: _Fault) -> tuple[str, str]:
    limit = fault.context.get("max_length", fault.context.get("min_length"))
    bound = "at most" if "max_length" in fault.context else "at least"
    if isinstance(fault.value, str):
        return f"the text has {len(fault.value)} letters", f"write {bound} {limit}"
    count = len(fault.value)
    return f"the list has {count} value{'s' * (count != 1)}", f"write {bound} {limit}"


def _not_a_quantity(fault: _Fault) -> tuple[str, str]:
    """What the quantity said of it; a bare length with the unit that was probably meant."""
    what, right = fault.context["what"], fault.context["right"]
    text = str(fault.value).strip()
    is_bare = kind_of(fault.value) in ("a number", "text") and len(text) <= _LONGEST_NUMBER
    found = NUMBER.fullmatch(text) if is_bare else None
    quantity = quantity_of(fault.field.annotation, fault.field.metadata) if fault.field else None
    if (
        fault.field
        and quantity
        and quantity.dimension == "length"
        and found
        and not found[2]
        and "no unit" in what
    ):
        shown = " or ".join(f'"{text}"' for text in likely_written(text, fault.field, fault.system))
        right = f"write it with its unit between quotation marks, for example {shown}"
    return what, right


def _not_finite(fault: _Fault) -> tuple[str, str]:
    return f"{_short(fault.value)} is not a finite number", "write an ordinary number"


def _does_not_fit(fault: _Fault) -> tuple[str, str]:
    meaning = (fault.field and fault.field.description) or "see the schema for what fits here"
    right = f"write {fault.example}, for example" if fault.example else meaning.partition("\n")[0]
    return f"{_short(fault.value)} does not fit here", right


def _short(value: object) -> str:
    text = as_toml(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


_SAYINGS: Final[dict[str, Saying]] = {
    "missing": _missing,
    "extra_forbidden": lambda fault: ("is not a known key", advice_on_unknown(fault.root, fault.path)),
    "quantity": _not_a_quantity,
    "finite_number": _not_finite,
    "literal_error": _not_a_choice,
    "bool_type": _wrong_kind("true or false"),
    "string_type": _wrong_kind("text between quotation marks"),
    "float_type": _needs_number,
    "int_type": _needs_whole_number,
    "int_from_float": _needs_whole_number,
    "list_type": _wrong_kind("a list between [ and ]"),
    "model_type": _needs_table,
    "dict_type": _needs_table,
    **dict.fromkeys(("greater_than", "greater_than_equal", "less_than", "less_than_equal"), _out_of_limits),
    **dict.fromkeys(("too_long", "too_short", "string_too_long", "string_too_short"), _wrong_length),
}
