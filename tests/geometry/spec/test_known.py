"""A bare length is given the unit that was probably meant, for every key of the engine file."""

import re
import tomllib
from pathlib import Path

import pytest

from geometry.errors import InputError
from geometry.spec.base import quantity_of
from geometry.spec.engine import Engine
from geometry.spec.known import likely_written, models_in
from geometry.spec.load import validate_model

TERN = Path("demo_engines/tern.toml")


def lengths(model=Engine, path=()):
    """Every field that holds lengths, by the path of its key."""
    for name, field in model.model_fields.items():
        here = (*path, field.alias or name)
        quantity = quantity_of(field.annotation, field.metadata)
        if quantity is not None and quantity.dimension == "length":
            yield ".".join(here), field
        for inner in models_in(field.annotation):
            yield from lengths(inner, here)


LENGTHS = dict(lengths())


@pytest.mark.parametrize("number", ["0.010", "0.0005", "0", "-0.05", ".02", "0.09", "1/64"])
@pytest.mark.parametrize("system", ["in", "mm"])
def test_no_key_is_ever_told_hundredths_of_a_thou(number, system):
    told = {key: likely_written(number, field, system) for key, field in LENGTHS.items()}
    assert len(told) > 100
    assert [key for key, texts in told.items() if not texts or any("thou" in text for text in texts)] == []


@pytest.mark.parametrize(
    ("key", "number", "system", "first"),
    [
        # what a builder with inch tools means, and one with metric ones
        ("rings.top.gap", "18", "in", "18 thou"),
        ("rings.top.gap", "0.018", "in", "0.018 in"),
        ("rings.top.gap", "0.45", "mm", "0.45 mm"),
        ("rings.top.gap", "0.45", "in", "0.45 mm"),
        ("rings.oil.rail_gap_most", "50", "in", "50 thou"),
        ("gasket.thickness", "0.010", "in", "0.010 in"),
        ("gasket.thickness", "40", "in", "40 thou"),
        ("gasket.thickness", "1.0", "mm", "1.0 mm"),
        ("crank.stroke", "3.48", "in", "3.48 in"),
        ("crank.stroke", "3.48", "mm", "3.48 in"),
        ("crank.stroke", "88", "in", "88 mm"),
        ("crank.stroke", "88", "mm", "88 mm"),
        ("piston.skirt.clearance", "3", "in", "3 thou"),
        ("piston.skirt.clearance", "0.003", "in", "0.003 in"),
        ("block.pan_rail.height", "-2.4", "in", "-2.4 in"),
        ("limits.rod_to_cam", "0.060", "in", "0.060 in"),
        ("limits.rod_to_cam", "1.5", "mm", "1.5 mm"),
    ],
)
def test_the_likeliest_unit_stands_first(key, number, system, first):
    assert likely_written(number, LENGTHS[key], system)[0] == first


def test_a_file_of_bare_numbers_is_told_a_unit_for_each():
    bare = re.sub(r'"(-?[\d./]+) (in|thou)"', r"\1", TERN.read_text(encoding="utf-8"))
    for fraction, number in {
        "3/8": "0.375",
        "1/24": "0.04",
        "7/16": "0.4375",
        "1/14": "0.07",
        "1/20": "0.05",
    }.items():
        bare = bare.replace(fraction, number)
    data = tomllib.loads(bare)
    data["engine"]["units"] = "in"
    with pytest.raises(InputError) as caught:
        validate_model(Engine, data, "tern.toml")
    told = {problem.key: problem.right for problem in caught.value.problems if "no unit" in problem.what}
    assert len(told) > 60
    assert told["rings.top.gap"].endswith('"18 thou"')
    wrong = {
        key: right
        for key, right in told.items()
        if "for example" not in right or re.search(r'"0?\.\d+ thou', right)
    }
    assert wrong == {}
    thou = {key for key, right in told.items() if "thou" in right}
    assert thou == {"rings.top.gap", "rings.second.gap", "rings.oil.rail_gap"}


def test_a_key_of_another_dimension_keeps_its_own_units():
    data = tomllib.loads(TERN.read_text(encoding="utf-8").replace('"62 cc"', "62"))
    with pytest.raises(InputError, match='"62 cc"'):
        validate_model(Engine, data, "tern.toml")
