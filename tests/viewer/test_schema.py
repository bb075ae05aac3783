"""`fullturn schema`: what an editor is given accepts every good file and marks what is wrong in a bad one."""

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from tests.geometry import fleet
from tests.geometry.spec.proportions.engines import few
from tests.geometry.test_spoiled_files import GOOD, spoiled
from viewer.commands.schema import command
from viewer.starters import names, text


@pytest.fixture(scope="module")
def validator():
    schema = json.loads(CliRunner().invoke(command).output)
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


@pytest.mark.parametrize("name", fleet.NAMES)
def test_demo_engines_fit(validator, name):
    validator.validate(tomllib.loads((Path(fleet.FOLDER) / f"{name}.toml").read_text(encoding="utf-8")))


def test_a_file_that_leaves_most_out_fits_and_one_without_its_basics_does_not(validator):
    data = few("vee-eight")
    validator.validate(data)
    validator.validate(
        tomllib.loads((fleet.FOLDER / f"{fleet.NOT_MEASURED}.toml").read_text(encoding="utf-8"))
    )
    for table, key in (("engine", "layout"), ("engine", "numbering"), ("crank", "stroke"), ("block", "bore")):
        without = {**data, table: {k: v for k, v in data[table].items() if k != key}}
        with pytest.raises(jsonschema.ValidationError, match=f"'{key}' is a required property"):
            validator.validate(without)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("name", names())
def test_starters_fit(validator, name, units):
    validator.validate(tomllib.loads(text(name, units)))


@pytest.mark.parametrize(
    "key, value, place",
    [
        ("crank.stroke", "3.35", ["crank", "stroke"]),
        ("crank.stroke", "'3 kg'", ["crank", "stroke"]),
        ("crank.stroek", "'3 in'", ["crank"]),
        ("crank.stroke", None, ["crank"]),
        ("engine.layout", "'vees'", ["engine", "layout"]),
        ("piston.grooves[1].ring", "'first'", ["piston", "grooves", 0, "ring"]),
    ],
)
def test_what_is_wrong_is_marked_where_it_stands(validator, key, value, place):
    found = list(validator.iter_errors(tomllib.loads(spoiled(GOOD, {key: value}))))
    assert [list(error.path) for error in found] == [place]
