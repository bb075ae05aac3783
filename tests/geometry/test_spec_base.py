"""The base of every model: names, strictness, limits, and the schema that it publishes."""

from typing import Annotated, Literal

import jsonschema
import pytest
from pydantic import Field, ValidationError

from geometry.spec import base
from geometry.spec.base import FROM_FILE, SpecModel, kind_of, name_in_file, quantity_of
from geometry.units import DIMENSIONS


class Pin(SpecModel):
    """A pin."""

    width_mm: base.PositiveLength = base.said("How wide it is.")
    offset_mm: base.NonNegativeLength = 0.0
    height_mm: base.Length | None = None
    spread_deg: Annotated[base.PositiveAngle, Field(le=180)] = 90.0
    angles_deg: list[base.Angle] = Field(default=[0.0, 90.0], examples=['["0 deg", "90 deg"]'])
    expansion_per_k: base.Expansion = 12e-6
    ratio: base.PositiveRatio = 1.0
    count: base.Count = 1
    kind: Literal["solid", "hollow"] = "solid"


def from_file(data):
    return Pin.model_validate(data, context=FROM_FILE, by_alias=True, by_name=False)


def refusals(data):
    with pytest.raises(ValidationError) as caught:
        from_file(data)
    return {(error["loc"], error["type"]): error.get("ctx", {}) for error in caught.value.errors()}


@pytest.mark.parametrize(
    ("python_name", "key"),
    [
        ("diameter_mm", "diameter"), ("bank_angle_deg", "bank_angle"), ("piston_kg", "piston"),
        ("preload_n", "preload"), ("torque_nm", "torque"), ("proof_mpa", "proof"), ("speed_rpm", "speed"),
        ("peak_m_s", "peak"), ("ring_c", "ring"), ("rise_k", "rise"), ("expansion_per_k", "expansion"),
        ("chamber_cm3", "chamber"), ("density_kg_m3", "density"), ("mass_g", "mass"),
        ("firing_order", "firing_order"), ("n", "n"), ("mesh_unit", "mesh_unit"), ("_mm", "_mm"),
    ],
)  # fmt: skip
def test_the_file_names_a_field_without_its_unit(python_name, key):
    assert name_in_file(python_name) == key


def test_text_with_units_becomes_house_units():
    pin = from_file({"width": "18 thou", "spread": "0.25 turn", "angles": ["10 deg"], "ratio": 2})
    assert (pin.width_mm, pin.spread_deg, pin.angles_deg, pin.ratio) == (0.4572, 90.0, [10.0], 2.0)


def test_python_may_give_house_units_and_python_names():
    assert Pin(width_mm=3, offset_mm="1 mm").width_mm == 3.0
    assert Pin(width_mm=3).model_copy(update={"offset_mm": 2.0}).offset_mm == 2.0


def test_a_file_may_not_use_python_names():
    assert set(refusals({"width_mm": "3 mm"})) == {
        (("width",), "missing"),
        (("width_mm",), "extra_forbidden"),
    }


@pytest.mark.parametrize(
    ("value", "what", "right"),
    [
        (4, "the bare number 4 has no unit", '"4 in"'),
        (4.03, "the bare number 4.03 has no unit", '"4.03 in"'),
        (True, "true or false stands where a length is needed", '"4.030 in"'),
        (["4 in"], "a list stands where a length is needed", '"4.030 in"'),
        ({"value": 4}, "a table stands where a length is needed", '"4.030 in"'),
        ("4", "no unit", '"4 in" or "4 mm"'),
        ("4 kg", "is a mass, not a length", '"4.030 in"'),
        ("0 mm", "0 mm is zero", "a length above zero"),
        ("-1 mm", "-1 mm is below zero", "a length above zero"),
        ("4030 in", "4030 in is too large to be real", "at most 10000 mm"),
    ],
)
def test_what_is_not_a_positive_length(value, what, right):
    context = refusals({"width": value})[("width",), "quantity"]
    assert what in context["what"]
    assert right in context["right"]


def test_text_with_doubt_gives_what_is_counted_with():
    pin = from_file({"width": "about 5.700 in", "offset": "5 mm +0 -5 mm", "height": "-2 in +- 3 in"})
    assert (pin.width_mm, pin.offset_mm, pin.height_mm) == (144.78, 5.0, -50.8)


@pytest.mark.parametrize(
    ("data", "what", "right"),
    [
        (
            {"width": "1 mm +- 2 mm"},
            "1 mm +- 2 mm may be as little as -1.0 mm",
            "this is a length above zero",
        ),
        ({"width": "1 mm +0 -1 mm"}, "as little as 0.0 mm", "write a smaller doubt"),
        ({"width": "9 m +- 2 m"}, "as much as 11000.0 mm", "write a smaller doubt"),
        ({"width": "1 mm", "offset": "1 mm +- 2 mm"}, "as little as -1.0 mm", "a length, zero or more"),
        ({"width": "0 mm +- 2 mm"}, "0 mm +- 2 mm is zero", "a length above zero"),
        ({"width": "1 mm +- 2"}, "has no unit", '"1 mm +- 2 mm"'),
    ],
)
def test_a_doubt_may_not_reach_past_the_limits(data, what, right):
    (context,) = refusals(data).values()
    assert what in context["what"]
    assert right in context["right"]


@pytest.mark.parametrize("text", ["1 mm +- 0.1 mm", "about 1 mm"])
def test_a_reading_carries_no_doubt_of_its_own(text):
    with pytest.raises(ValidationError, match=r'as good as its instrument: write "1\.0 mm"'):
        Pin.model_validate({"width": text}, context=base.READINGS)
    assert Pin.model_validate({"width": "1 mm"}, context=base.READINGS).width_mm == 1.0


def test_limits_that_include_zero_or_less():
    assert from_file({"width": "1 mm", "offset": "0 in"}).offset_mm == 0.0
    assert from_file({"width": "1 mm", "height": "-2 in"}).height_mm == -50.8
    context = refusals({"width": "1 mm", "height": "-11 m"})[("height",), "quantity"]
    assert "too far below zero" in context["what"]
    assert "-10000 to 10000 mm" in context["right"]


def test_models_add_limits_of_their_own():
    assert refusals({"width": "1 mm", "spread": "190 deg"})[("spread",), "less_than_equal"] == {"le": 180}


@pytest.mark.parametrize("value", [float("nan"), float("inf"), "2", True, 0, -1])
def test_plain_numbers_are_numbers(value):
    assert [key for key, _ in refusals({"width": "1 mm", "ratio": value})] == [("ratio",)]


def test_whole_numbers_are_not_rounded():
    assert [key for key, _ in refusals({"width": "1 mm", "count": 2.0})] == [("count",)]


def test_a_model_cannot_be_changed():
    with pytest.raises(ValidationError):
        from_file({"width": "1 mm"}).width_mm = 2.0


def test_two_fields_may_not_share_a_key():
    with pytest.raises(TypeError, match="two fields that are called width"):

        class Twice(SpecModel):
            width_mm: base.Length
            width_deg: base.Angle


def test_schema_describes_the_file_and_nothing_else():
    schema = Pin.model_json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    properties = schema["properties"]
    assert properties["width"]["description"] == "How wide it is."
    assert properties["offset"]["default"] == "0 mm"
    assert properties["angles"]["default"] == ["0 deg", "90 deg"]
    assert properties["angles"]["examples"] == [["0 deg", "90 deg"]]
    assert properties["height"]["type"] == "string"
    assert "default" not in properties["height"]
    assert schema["required"] == ["width"]


@pytest.mark.parametrize(
    ("width", "valid"),
    [
        ("4.030 in", True), ("7/16 in", True), (".5mm", True), ("18 thou", True), ("-3 mm", True),
        ("4.030", False), ("4 kg", False), ("in", False), (4, False), ("4 in 4 in", False), ("", False),
        ("5.700 in +- 2 thou", True), ("5.700 in ± 0.002 in", True), ("5.700 +- 0.002 in", True),
        ("5.700 in +0 -3 thou", True), ("5.700 in +3/-0 thou", True), ("5.700 in +1 thou -2 thou", True),
        ("5.700 in -3 +0 thou", True), ("about 1.30 in", True), ("~1.30 in", True), ("ca. 1.30 in", True),
        ("about 1.30 in +- 0.1 in", True), ("5.700+-.002in", True), ("about -2.40 in", True),
        ("5.700 in +- 2", False), ("5.700 in +3 thou", False), ("5.700 in +- 2 kg", False), ("about", False),
        ("5.700 in +- -2 thou", False), ("about 1.30", False), ("around 1.30 in", False),
    ],
)  # fmt: skip
def test_schema_tells_a_length_from_other_text(width, valid):
    validator = jsonschema.Draft202012Validator(Pin.model_json_schema())
    assert validator.is_valid({"width": width}) is valid


@pytest.mark.parametrize("dimension", sorted(DIMENSIONS))
def test_schema_accepts_every_example_and_unit(dimension):
    mark = base.Quantity(dimension, -1e9, 1e9)

    class Holder(SpecModel):
        value: Annotated[float, mark]

    validator = jsonschema.Draft202012Validator(Holder.model_json_schema())
    texts = [*DIMENSIONS[dimension].examples, *(f"2 {word}" for word in DIMENSIONS[dimension].words)]
    assert [text for text in texts if not validator.is_valid({"value": text})] == []


def test_quantity_is_found_through_unions_and_lists():
    fields = Pin.model_fields
    found = {name: quantity_of(field.annotation, field.metadata) for name, field in fields.items()}
    assert found["height_mm"].dimension == "length"
    assert found["angles_deg"].dimension == "angle"
    assert found["spread_deg"].meaning == "an angle above zero"
    assert found["ratio"] is None


def test_kinds_of_value_in_words():
    words = [kind_of(value) for value in (True, 1, 1.5, "x", {}, [], object())]
    assert words == [
        "true or false",
        "a number",
        "a number",
        "text",
        "a table",
        "a list",
        "a date or time",
    ]
