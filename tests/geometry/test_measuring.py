"""The table of instruments, and ``[measuring]`` of the engine file that stands in for its minutes."""

from __future__ import annotations

from typing import get_args

import pytest

from geometry.errors import InputError
from geometry.spec.load import load_engine
from geometry.spec.measuring import Measuring
from geometry.spec.proportions.instruments import CLAY, TOOLS
from geometry.spec.proportions.row import Instrument


def test_every_instrument_has_its_minutes_and_its_own_key():
    assert set(TOOLS) == set(get_args(Instrument))
    assert {name.removesuffix("_minutes") for name in Measuring.model_fields} == {*TOOLS, "clay"}


def test_the_published_example_is_the_usual_value():
    for name, tool in {**TOOLS, "clay": CLAY}.items():
        assert Measuring.model_fields[f"{name}_minutes"].examples == [tool.minutes]


def test_the_shops_own_minutes_stand_in():
    spec = load_engine("demo_engines/knot.toml", {"measuring.bore_gauge": "2.5"})
    assert spec.measuring.of("bore_gauge", 8.0) == 2.5
    assert spec.measuring.of("caliper", 3.0) == 3.0


@pytest.mark.parametrize("wrong", ["0", "-3", '"3 thou"'])
def test_minutes_that_cannot_be_are_refused(wrong):
    with pytest.raises(InputError, match=r"measuring\.caliper"):
        load_engine("demo_engines/knot.toml", {"measuring.caliper": wrong})
