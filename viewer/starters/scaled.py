"""A starter in the size of an engine of which a few values are known: the rest by proportion, and marked ``about``."""

from __future__ import annotations

import math
import re
import textwrap
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from geometry.doubt import read_doubtful
from geometry.spec.locate import Path, lines_of_keys, written
from geometry.spec.proportions.block import section_mm
from geometry.spec.proportions.fill import SECTION, given_of, quantity_at
from geometry.spec.proportions.given import Usual
from geometry.spec.proportions.row import DimensionKind, Proportion
from geometry.spec.proportions.table import usual
from geometry.units import DIMENSIONS, INCH_MM, System

OPEN: Final = "?"
"""Stands in a template for a value that proportion gives."""
BORE: Final = "block.bore.diameter"
EXAMPLE_BORE_MM: Final[Mapping[System, float]] = {"mm": 90.0, "in": 3.6 * INCH_MM}
"""Of a starter of which nothing at all is known."""
DIGITS: Final[Mapping[DimensionKind, int]] = {"journal": 4, "machined": 4, "torque": 2}
USUAL_DIGITS: Final = 3
MORE_DIGITS: Final[Mapping[str, int]] = {"rod.big_end.bore": 5}
"""How many figures a value is written with; the housing has one more, since the oil clearance is left by it."""
COARSEST: Final[Mapping[System, float]] = {"mm": 0.1, "in": 0.01}
SPEED_STEP_RPM: Final = 100.0
"""No length is rounded by more than this, whatever its figures; speeds are rounded to this."""
REMARK_COLUMN: Final = 38
REMARK_WIDTH: Final = 84
_UNITS: Final = {
    "length": ("mm", "in"),
    "torque": ("N*m", "lbf*ft"),
    "pressure": ("MPa", "ksi"),
    "volume": ("cc", "cc"),
}


@dataclass(frozen=True, slots=True)
class Shown:
    """How a quantity is written in a file: its unit, that unit in house units, and the step it is rounded to."""

    unit: str
    in_house: float
    step: float

    def text(self, value: float) -> str:
        """A value in its house unit as text."""
        decimals = max(0, -math.floor(math.log10(self.step) + 1e-9))
        return f"{round(value / self.in_house / self.step) * self.step:.{decimals}f} {self.unit}"

    def rounded(self, value: float) -> float:
        """The value that the text stands for, in the house unit."""
        return round(value / self.in_house / self.step) * self.step * self.in_house


def scaled(template: str, units: System, given: Mapping[str, str]) -> str:
    """Fill a template in.

    Parameters
    ----------
    template : a starter, its open values written as ``"?"``
    units : what lengths are written in
    given : text with its unit, by key; written as it stands

    Raises
    ------
    UnitError : a text that is no length
    """
    data = _without_open(tomllib.loads(template))
    for key, text in given.items():
        _put(data, key, text)
    values = _values(data, units, given)
    lines, of_line = template.splitlines(), _open_keys(template)
    return "".join(
        f"{line}\n"
        for number, raw in enumerate(lines, start=1)
        for line in (_filled_in(raw, of_line[number], values, units, given) if number in of_line else [raw])
    )


def _values(data: dict[str, Any], units: System, given: Mapping[str, str]) -> Usual:
    """What is given, and by rule whatever else is asked for, rounded as it is written."""

    def rounded(row: Proportion, value: float) -> float:
        return _shown(row, value, units).rounded(value)

    known = dict.fromkeys(() if given else (BORE,), EXAMPLE_BORE_MM[units])
    return given_of(data, rounded, known)


def _without_open(value: Any) -> Any:
    """Data of a template without its open values."""
    if isinstance(value, dict):
        return {key: _without_open(inner) for key, inner in value.items() if inner != OPEN}
    return [_without_open(inner) for inner in value] if isinstance(value, list) else value


def _put(data: dict[str, Any], key: str, text: str) -> None:
    *tables, last = key.split(".")
    for table in tables:
        data = data.setdefault(table, {})
    data[last] = text


def _open_keys(template: str) -> dict[int, Path]:
    """The path of each open value by its line."""
    found = {line: path for path, line in lines_of_keys(template).items() if isinstance(path[-1], str)}
    rows = template.splitlines()
    return {line: path for line, path in found.items() if f'= "{OPEN}"' in rows[line - 1]}


def _filled_in(raw: str, path: Path, values: Usual, units: System, given: Mapping[str, str]) -> Iterator[str]:
    """The lines of one value: it, what it is, and how it is measured."""
    name, key = str(path[-1]), written(path)
    remark = raw.partition("#")[2].strip()
    if path == SECTION:
        yield from _section(values, units)
        return
    row = usual(key)
    assert row is not None
    if key in given:
        yield from _with_remarks(f'{name} = "{given[key]}"', [remark])
        return
    shown = _shown(row, values[key], units)
    about = "" if row.kind == "chosen" else "about "
    how = "" if row.kind == "chosen" else _in_units(row.how, units)
    yield from _with_remarks(f'{name} = "{about}{shown.text(values[key])}"', [remark, how])


def _section(values: Usual, units: System) -> Iterator[str]:
    """The inside of the crankcase, two points on a line."""
    row = usual(written(SECTION))
    assert row is not None
    texts = [
        ", ".join(f'"about {_shown(row, number, units).text(number)}"' for number in point)
        for point in section_mm(values)
    ]
    yield from _with_remarks("section = [", [_in_units(row.how, units)])
    yield from (
        f"    {', '.join(f'[{text}]' for text in texts[k : k + 2])}," for k in range(0, len(texts), 2)
    )
    yield "]"


def _with_remarks(code: str, remarks: list[str]) -> Iterator[str]:
    """A line and its remarks, each wrapped in their column."""
    wrapped = [line for remark in remarks if remark for line in textwrap.wrap(remark, REMARK_WIDTH)]
    column = REMARK_COLUMN
    if len(code) >= column:
        yield code if not wrapped else f"{code} # {wrapped[0]}"
    else:
        yield f"{code:<{column}}# {wrapped[0]}" if wrapped else code
    yield from (f"{'':<{column}}# {line}" for line in wrapped[1:])


def _in_units(how: str, units: System) -> str:
    """How something is measured, its closeness in one unit: ``to 0.001 in (0.02 mm)``."""
    keep = r"\1" if units == "in" else r"\2"
    return re.sub(r"([\d.]+ in) \(([\d.]+ mm)\)", keep, how)


def _shown(row: Proportion, value: float, units: System) -> Shown:
    """How a value of one row is written."""
    dimension = quantity_at(row.key).dimension
    if dimension == "rotation":
        return Shown("rpm", 1.0, SPEED_STEP_RPM)
    metric, inch = _UNITS.get(dimension, (DIMENSIONS[dimension].house,) * 2)
    unit = metric if units == "mm" else inch
    in_house = read_doubtful(f"1 {unit}", dimension).nominal
    digits = MORE_DIGITS.get(row.key, DIGITS.get(row.kind, USUAL_DIGITS))
    size = abs(value) / in_house
    step = 10.0 ** (math.floor(math.log10(size)) - digits + 1) if size > 0.0 else 1.0
    if dimension == "length":
        step = min(step, COARSEST[units])
    return Shown(unit, in_house, step if dimension != "angle" else 1.0)
