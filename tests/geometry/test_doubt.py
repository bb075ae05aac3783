"""Quantities with their doubt: read as the trade writes them, refused in one line, and back without a change."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.doubt import Doubt, read_doubtful, write_doubtful
from geometry.unit_text import units_of
from geometry.units import DIMENSIONS, UnitError, parse

ROD = 144.78  # 5.700 in x 25.4, exact


@pytest.mark.parametrize(
    ("text", "minus", "plus"),
    [
        # thousandths of an inch are 0.0254 mm each
        ("5.700 in", 0.0, 0.0),
        ("5.700 in +- 2 thou", 0.0508, 0.0508),
        ("5.700 in +-2thou", 0.0508, 0.0508),
        ("5.700 in +/- 2 thou", 0.0508, 0.0508),
        ("5.700 in ± 0.002 in", 0.0508, 0.0508),
        ("5.700 +- 0.002 in", 0.0508, 0.0508),
        ("5.700±.002 in", 0.0508, 0.0508),
        ('5.700" ± .002"', 0.0508, 0.0508),
        ("5.700 in +0 -3 thou", 0.0762, 0.0),
        ("5.700 in +0/-3 thou", 0.0762, 0.0),
        ("5.700 in +0, -3 thou", 0.0762, 0.0),
        ("5.700 in -3 +0 thou", 0.0762, 0.0),
        ("5.700 in +3/-0 thou", 0.0, 0.0762),
        ("5.700 in +1 thou -2 thou", 0.0508, 0.0254),
        ("5.700 in + 1 thou - 2 thou", 0.0508, 0.0254),
        ("5.700 +0.001 -0.002 in", 0.0508, 0.0254),
        ("144.78 mm +- 1/20 mm", 0.05, 0.05),
        ("5.700 in +- 0.05 mm", 0.05, 0.05),
    ],
)
def test_a_tolerance_is_read_as_the_trade_writes_it(text, minus, plus):
    assert read_doubtful(text, "length") == Doubt(ROD, minus, plus)


@pytest.mark.parametrize("word", ["about ", "About ", "ca. ", "ca ", "circa ", "approx. ", "~", "~ ", "≈"])
def test_about_is_read_in_all_its_spellings(word):
    assert read_doubtful(f"{word}1.30 in", "length") == Doubt(33.02, about=True)
    assert read_doubtful(f"{word}1.30 in +- 0.1 in", "length") == Doubt(33.02, 2.54, 2.54, about=True)
    assert read_doubtful(f"{word}1.30 +- 0.1 in", "length") == Doubt(33.02, 2.54, 2.54, about=True)


def test_a_value_below_zero_keeps_its_sign():
    assert read_doubtful("-2.40 in +- 0.05 in", "length") == Doubt(-60.96, 1.27, 1.27)
    assert read_doubtful("about -2.40 in", "length") == Doubt(-60.96, about=True)
    found = read_doubtful("-2.40 in +0 -0.05 in", "length")
    assert (found.lowest, found.highest) == (-62.23, -60.96)


def test_a_tolerance_of_temperature_is_a_difference():
    # 195 degF is 90.5556 degC; nine Fahrenheit degrees are five kelvin, and zero Fahrenheit plays no part
    found = read_doubtful("195 degF +- 9 degF", "temperature")
    assert (found.nominal, found.minus, found.plus) == (parse("195 degF", "temperature"), 5.0, 5.0)
    assert read_doubtful("90 +- 5 degC", "temperature") == Doubt(90.0, 5.0, 5.0)
    assert read_doubtful("363.15 K +- 5 K", "temperature") == Doubt(90.0, 5.0, 5.0)


@pytest.mark.parametrize(
    ("text", "dimension", "doubt"),
    [
        ("45 lbf*ft +- 5 lbf*ft", "torque", Doubt(*(parse(f"{n} lbf*ft", "torque") for n in (45, 5, 5)))),
        ("45 ft-lbf +0 -5 ft-lbf", "torque", Doubt(*(parse(f"{n} lbf*ft", "torque") for n in (45, 5, 0)))),
        ("64 cc +- 0.5 cc", "volume", Doubt(64.0, 0.5, 0.5)),
        ("3.9 in^3 ± 0.1 in^3", "volume", Doubt(*(parse(f"{n} in^3", "volume") for n in ("3.9", "0.1", "0.1")))),
        ("90 deg +- 15'", "angle", None),
        ("90° ± 0.25°", "angle", Doubt(90.0, 0.25, 0.25)),
        ("21e-6/K +- 1e-6/K", "expansion", Doubt(21e-6, 1e-6, 1e-6)),
        ("2.1e-5 1/K +- 1e-6 1/K", "expansion", Doubt(21e-6, 1e-6, 1e-6)),
        ("21 1e-6/K +- 1 1e-6/K", "expansion", Doubt(21e-6, 1e-6, 1e-6)),
        ("642 g +- 2 g", "mass", Doubt(0.642, 0.002, 0.002)),
        ("7.2e3 kg/m^3 +1e2 -5e1 kg/m^3", "density", Doubt(7200.0, 50.0, 100.0)),
    ],
)  # fmt: skip
def test_every_dimension_may_be_in_doubt(text, dimension, doubt):
    if doubt is None:
        with pytest.raises(UnitError):
            read_doubtful(text, dimension)
    else:
        assert read_doubtful(text, dimension) == doubt


@pytest.mark.parametrize(
    ("text", "what", "right"),
    [
        ("5.700 in +- 2", "the tolerance in", '"5.700 in +- 2 thou"'),
        ("5.700 in +- 0.002", "has no unit", '"5.700 in +- 0.002 in"'),
        ("100 mm +0 -1", "has no unit", '"100 mm +- 1 mm"'),
        ("5.700 +- 2", "has no unit", '"5.700 in +- 2 thou"'),
        ("5.700 in +- -2 thou", "below zero", '"5.700 in +- 2 thou"'),
        ("5.700 in + -", "is not a unit", "a length"),
        ("5.700 in +3 thou", "above it may be and not how far below", '"5.700 in +3 thou -0 thou"'),
        ("5.700 in -3 thou", "below it may be and not how far above", '"5.700 in +0 -3 thou"'),
        ("5.700 in +1 thou +2 thou", "twice", "+- 2 thou"),
        ("5.700 in +- 1 thou -2 thou", "twice", "+- 2 thou"),
        ("5.700 in +1 -2 -3 thou", "twice", "+- 3 thou"),
        ("5.700 in +- 2 kg", "is a mass, not a length", '"4.030 in"'),
        ("5.700 in +- 2 furlongs", "not a unit known here", "a length"),
        ("5.700 in +- 1/0 in", "divides by zero", "a length"),
        ("about 1.30", "no unit", '"1.30 in"'),
        ("about", "does not begin with a number", '"4.030 in"'),
        ("about five inches", "does not begin with a number", '"4.030 in"'),
        ("about 1.30 in +- 0 in", "no doubt", '"about 1.30 in"'),
        ("around 1.30 in", "does not begin with a number", '"4.030 in"'),
        ("± 2 thou", "does not begin with a number", '"4.030 in"'),
        ("1-1/8 in", "not a unit known here", "a length"),
        ("4 5 mm +- 1 mm", "one plain number", "one decimal point"),
    ],
)
def test_what_is_not_read_is_refused_in_one_line(text, what, right):
    with pytest.raises(UnitError) as caught:
        read_doubtful(text, "length")
    assert what in caught.value.what
    assert right in caught.value.right
    assert str(caught.value).isprintable()


@pytest.mark.parametrize("dimension", sorted(DIMENSIONS))
@given(
    nominal=st.floats(-1e7, 1e7),
    minus=st.floats(0.0, 1e5),
    plus=st.floats(0.0, 1e5),
    about=st.booleans(),
    same=st.booleans(),
)
def test_what_is_written_is_read_back_to_the_last_bit(dimension, nominal, minus, plus, about, same):
    doubt = Doubt(nominal, plus if same else minus, plus, about)
    assert read_doubtful(write_doubtful(doubt, dimension), dimension) == doubt


def read_or_refusal(text):
    """What the text says, or the one line that refuses it."""
    try:
        return read_doubtful(text, "length")
    except UnitError as error:
        return str(error)


@given(
    st.from_regex(
        r"(about |~)?[0-9.]{1,4} ?(in|mm)? ?(\+-|±|[+/-]){0,3} ?[0-9.e]{0,3} ?(in|thou|mm)?-?[0-9]?"
    )
)
def test_text_that_nearly_is_in_doubt_is_read_or_refused_in_one_line(text):
    found = read_or_refusal(text)
    assert found.isprintable() if isinstance(found, str) else math.isfinite(found.nominal)
    assert isinstance(found, str) or min(found.minus, found.plus) >= 0.0


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text):
    found = read_or_refusal(text)
    assert found.isprintable() if isinstance(found, str) else math.isfinite(found.nominal)


@given(st.integers(-(10**6), 10**6), st.integers(1, 10**4))
def test_the_ends_are_those_of_exact_decimals(thou, out):
    found = read_doubtful(f"{thou} thou +- {out} thou", "length")
    assert found.lowest == parse(f"{thou - out} thou", "length")
    assert found.highest == parse(f"{thou + out} thou", "length")


@pytest.mark.parametrize(
    ("text", "system"),
    [
        ("5.700 in +- 2 thou", "in"), ("5.700 +- 0.002 in", "in"), ("about 1.30 in", "in"), ("~33 mm", "mm"),
        ("100 mm +0/-0.1 mm", "mm"), ("100 +- 0.1 mm", "mm"), ("5.7 in +- 0.05 mm", "in"),
        ("about 64 cc", None), ("about", None), ("90 +- 1 deg", None), ("about Tern", None),
    ],
)  # fmt: skip
def test_the_units_are_those_of_the_value(text, system):
    assert units_of(text) == system
