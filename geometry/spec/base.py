"""What every model of the engine file is made of: a strict base class and quantities written with units.

A field is named with its unit in Python (``diameter_mm``) and without it in the file (``diameter``), where
the value is text that carries its own unit (``"4.030 in"``). Arrays are ``list[...]``, as TOML reads them.

A validator that finds parts at odds with each other calls ``refuse``, or raises ``Refused`` with every broken
rule at once.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Any, Final, NoReturn, TypeAlias, get_args

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    ValidationInfo,
)
from pydantic_core import PydanticCustomError, core_schema

from geometry.doubt import Doubt, read_doubtful, write_doubtful
from geometry.unit_text import pieces_of
from geometry.units import DIMENSIONS, Dimension, UnitError

FROM_FILE: Final = {"from_file": True}
"""Validation context under which a bare number is refused where a quantity is needed."""
READINGS: Final = {**FROM_FILE, "readings": True}
"""The same of a file of readings, whose doubt is that of the instrument: none may be written beside them."""

_LONGEST_NUMBER: Final = 24
_SUFFIX: Final = re.compile(r"(?<=[a-z0-9])_(?:minutes|per_k|kg_m3|m_s|cm3|mpa|rpm|deg|mm|kg|nm|n|g|c|k)$")


@dataclass(frozen=True, slots=True)
class Broken:
    """One rule that the parts break.

    Attributes
    ----------
    key : as the user writes it, counted from the model that refuses or from the top of the file, with positions
        in arrays from 0 (the user is shown them from 1); its steps where a person named one of them; empty for the
        model as a whole
    what : what is wrong
    right : what would be right; empty where ``what`` already says it
    """

    key: str | tuple[str | int, ...]
    what: str
    right: str = ""

    def __str__(self) -> str:
        said = f"{self.what}; {self.right}" if self.right else self.what
        key = self.key if isinstance(self.key, str) else ".".join(map(str, self.key))
        return f"{key}: {said}" if key else said


class Refused(ValueError):
    """Parts at odds with each other: what a model's own validator raises, with every rule that they break."""

    def __init__(self, broken: Iterable[Broken]) -> None:
        self.broken: tuple[Broken, ...] = tuple(broken)
        super().__init__("\n".join(map(str, self.broken)))


def refuse(key: str, what: str, right: str = "") -> NoReturn:
    """Refuse a model for one broken rule.

    Raises
    ------
    Refused : always
    """
    raise Refused([Broken(key, what, right)])


Rule: TypeAlias = tuple[str, bool, str, str]
"""Key as the user writes it (arrays from 0), whether it is broken, what is wrong, what would be right."""


def hold(*rules: Rule) -> None:
    """Refuse a model for the first rule that is broken.

    Raises
    ------
    Refused : one is
    """
    for key, is_broken, what, right in rules:
        if is_broken:
            refuse(key, what, right)


def name_in_file(python_name: str) -> str:
    """The key in the file for a field's Python name: the name without its unit."""
    return _SUFFIX.sub("", python_name)


def said(description: str, *examples: Any, **rest: Any) -> Any:
    """A field, by what it means and by good values of it as a file has them; the rest as pydantic's ``Field``."""
    return Field(description=description, examples=list(examples) or None, **rest)


class SpecModel(BaseModel):
    """Base of every model of the engine file: frozen, strict, and closed to unknown keys."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        strict=True,
        allow_inf_nan=False,
        populate_by_name=True,
        alias_generator=name_in_file,
        defer_build=True,
    )

    @classmethod
    def __pydantic_init_subclass__(cls, **kwargs: Any) -> None:
        """Refuse two fields that would have the same name in the file."""
        keys = [field.alias or name for name, field in cls.model_fields.items()]
        twice = sorted({key for key in keys if keys.count(key) > 1})
        if twice:
            raise TypeError(f"{cls.__name__} has two fields that are called {twice[0]} in the file")

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Publish what TOML can hold: defaults as text with a unit, and no null; called by pydantic."""
        published = handler(schema)
        properties = handler.resolve_ref_schema(published).get("properties", {})
        for name, field in cls.model_fields.items():
            entry = properties.get(field.alias or name, {})
            quantity = quantity_of(field.annotation, field.metadata)
            if entry.get("default", 0) is None:
                del entry["default"]
            elif quantity and "default" in entry:
                entry["default"] = _default_text(entry["default"], DIMENSIONS[quantity.dimension].house)
            if "examples" in entry:
                entry["examples"] = [_as_json(example) for example in entry["examples"]]
            choices = [choice for choice in entry.get("anyOf", []) if choice != {"type": "null"}]
            if len(choices) == 1:
                del entry["anyOf"]
                entry.update({**choices[0], **entry})
            elif choices:
                entry["anyOf"] = choices
        return published


def _as_json(example: Any) -> Any:
    """An example of an array or a table, which is written as TOML, as the value that it stands for."""
    is_toml = isinstance(example, str) and example.startswith(("[", "{"))
    return tomllib.loads(f"example = {example}")["example"] if is_toml else example


def _default_text(default: Any, house_unit: str) -> Any:
    """A default in the house unit as text with the unit, through arrays of any depth."""
    if isinstance(default, int | float) and not isinstance(default, bool):
        return f"{default:.15g} {house_unit}"
    return [_default_text(item, house_unit) for item in default] if isinstance(default, list) else default


@dataclass(frozen=True, slots=True)
class Quantity:
    """Marks a float field as a quantity of one dimension, written as text with a unit.

    Attributes
    ----------
    dimension : a key of ``geometry.units.DIMENSIONS``
    least, most : limits in the house unit, both allowed unless ``above`` is set
    above : the value must lie above ``least``
    meaning : what the limits mean, in words with an article: ``a length above zero``
    """

    dimension: str
    least: float
    most: float
    above: bool = False
    meaning: str = ""

    def read(self, value: object, *, from_file: bool, reading: bool = False) -> float:
        """Turn text or, from Python only, a number in the house unit into a number within the limits.

        Text may say how well the quantity is known (``doubt.read_doubtful``): this gives what is counted with.

        Raises
        ------
        PydanticCustomError : of type ``quantity``, with ``what`` and ``right`` in its context
        """
        doubt = None
        if isinstance(value, str):
            doubt = self._as_written(value, reading)
            number = doubt.nominal
        elif isinstance(value, bool) or not isinstance(value, int | float):
            raise self._unwritten(f"{kind_of(value)} stands where {self._kind.name} is needed")
        elif isinstance(value, float) and not math.isfinite(value):
            raise self._unwritten(f"{value} is not a finite number")
        elif from_file:
            raise self._bare(str(value))
        else:
            number = float(value)
        if not self.least <= number <= self.most or (self.above and number == self.least):
            raise _refusal(*self._out_of_limits(value, number))
        if doubt is not None and doubt.own:
            self._hold_ends(value, doubt)
        return number

    def _as_written(self, text: str, reading: bool) -> Doubt:
        """The text with its doubt, which a reading may not carry."""
        try:
            found = read_doubtful(text, self.dimension)
        except UnitError as error:
            raise _refusal(error.what, error.right) from None
        if reading and not pieces_of(text).plain:
            plain = write_doubtful(Doubt(found.nominal), self.dimension)
            raise _refusal(
                f"{text} carries a doubt of its own",
                f'a reading is as good as its instrument: write "{plain}"',
            )
        return found

    def _hold_ends(self, value: object, doubt: Doubt) -> None:
        """Refuse a doubt that reaches past the limits."""
        for end, way in ((doubt.lowest, "little"), (doubt.highest, "much")):
            if not self.least <= end <= self.most or (self.above and end == self.least):
                shown = write_doubtful(Doubt(end), self.dimension)
                raise _refusal(
                    f"within its doubt {value} may be as {way} as {shown}",
                    f"write a smaller doubt: this is {self.meaning or self._kind.name}",
                )

    @property
    def _kind(self) -> Dimension:
        return DIMENSIONS[self.dimension]

    def _bare(self, number: str) -> PydanticCustomError:
        """What is wrong with a number without a unit, and the same number with one."""
        if len(number) > _LONGEST_NUMBER:
            return self._unwritten(f"a number of {len(number)} digits cannot be real")
        units = (re.sub(r"^[0-9.]+(e-?[0-9]+)?", "", text) for text in self._kind.examples)
        return self._unwritten(
            f"the bare number {number} has no unit", *(f"{number}{unit}" for unit in units)
        )

    def _unwritten(self, what: str, *examples: str) -> PydanticCustomError:
        """What is wrong with something that is not written as a quantity, and how one is written."""
        shown = " or ".join(f'"{example}"' for example in examples or self._kind.examples)
        return _refusal(what, f"write it with its unit between quotation marks, for example {shown}")

    def _out_of_limits(self, value: object, number: float) -> tuple[str, str]:
        """What is wrong with a number outside the limits, and what the limits are."""
        wrong = "too large to be real" if number > self.most else "too far below zero to be real"
        if self.least == 0.0 and number <= 0.0:
            wrong = "below zero" if number < 0.0 else "zero"
        span = f"{self.least:.15g} to" if self.least else "at most"
        right = f"write {self.meaning or self._kind.name}, {span} {self.most:.15g} {self._kind.house}"
        return f"{value} is {wrong}", right

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        """Validate through ``read``; called by pydantic."""

        def validate(value: object, info: ValidationInfo) -> float:
            context = info.context or {}
            return self.read(
                value,
                from_file=bool(context.get("from_file")),
                reading=bool(context.get("readings")),
            )

        return core_schema.with_info_plain_validator_function(validate)

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Text with a unit, for editors that complete and check the file; called by pydantic."""
        kind = self._kind
        words = "|".join(re.escape(word) for word in sorted(kind.words, key=len, reverse=True))
        number = r"([0-9]+/[0-9]+|([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?)"
        about = r"((about|approximately|approx\.?|circa|ca\.?|~|≈)\s*)?"
        last, inner = rf"\s*{number}\s*({words})", rf"\s*{number}\s*({words})?\s*[/,]?\s*"
        tolerance = rf"((\+\s*/?\s*-|±){last}|\+{inner}-{last}|-{inner}\+{last})"
        return {
            "type": "string",
            "pattern": rf"^\s*{about}[+-]?{number}\s*(({words})\s*{tolerance}?|{tolerance})\s*$",
            "examples": list(kind.examples),
            "description": f"{self.meaning or kind.name}, written with its unit; in doubt with 'about' "
            "before it, or with a tolerance after it as in '5.700 in +- 2 thou'",
        }


def quantity_of(annotation: Any, metadata: Iterable[Any] = ()) -> Quantity | None:
    """The quantity that a field holds, looked for in its annotation and metadata, or None."""
    for mark in metadata:
        if isinstance(mark, Quantity):
            return mark
    if hasattr(annotation, "__metadata__"):
        return quantity_of(annotation.__origin__, annotation.__metadata__)
    found = (quantity_of(part) for part in get_args(annotation))
    return next((quantity for quantity in found if quantity is not None), None)


def kind_of(value: object) -> str:
    """What a value read from TOML is, in plain words."""
    names: dict[type, str] = {
        bool: "true or false", int: "a number", float: "a number", str: "text",
        dict: "a table", list: "a list", tuple: "a list",
    }  # fmt: skip
    return names.get(type(value), "a date or time")


def _refusal(what: str, right: str) -> PydanticCustomError:
    return PydanticCustomError("quantity", "{what}; {right}", {"what": what, "right": right})


Length: TypeAlias = Annotated[float, Quantity("length", -10_000.0, 10_000.0)]
PositiveLength: TypeAlias = Annotated[float, Quantity("length", 0.0, 10_000.0, True, "a length above zero")]
NonNegativeLength: TypeAlias = Annotated[
    float, Quantity("length", 0.0, 10_000.0, meaning="a length, zero or more")
]
Angle: TypeAlias = Annotated[float, Quantity("angle", -3600.0, 3600.0)]
PositiveAngle: TypeAlias = Annotated[float, Quantity("angle", 0.0, 3600.0, True, "an angle above zero")]
Mass: TypeAlias = Annotated[float, Quantity("mass", 0.0, 100_000.0, True, "a mass above zero")]
Force: TypeAlias = Annotated[float, Quantity("force", 0.0, 1e8, meaning="a force, zero or more")]
Torque: TypeAlias = Annotated[float, Quantity("torque", 0.0, 1e6, True, "a torque above zero")]
Pressure: TypeAlias = Annotated[
    float, Quantity("pressure", 0.0, 1e7, meaning="a pressure or stress, zero or more")
]
Rotation: TypeAlias = Annotated[
    float, Quantity("rotation", 0.0, 100_000.0, meaning="a speed of rotation, zero or more")
]
Temperature: TypeAlias = Annotated[float, Quantity("temperature", -273.15, 5000.0)]
TemperatureDifference: TypeAlias = Annotated[float, Quantity("temperature_difference", -5000.0, 5000.0)]
Expansion: TypeAlias = Annotated[float, Quantity("expansion", -0.001, 0.001)]
Volume: TypeAlias = Annotated[float, Quantity("volume", -1e7, 1e7)]
NonNegativeVolume: TypeAlias = Annotated[
    float, Quantity("volume", 0.0, 1e7, meaning="a volume, zero or more")
]
Density: TypeAlias = Annotated[float, Quantity("density", 0.0, 30_000.0, True, "a density above zero")]

Point: TypeAlias = Annotated[list[Length], Field(min_length=3, max_length=3)]
Ratio: TypeAlias = Annotated[float, Field(ge=-1e6, le=1e6)]
PositiveRatio: TypeAlias = Annotated[float, Field(gt=0.0, le=1e6)]
Count: TypeAlias = Annotated[int, Field(ge=1, le=1000)]
