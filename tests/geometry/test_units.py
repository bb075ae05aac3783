"""Quantities as text and as numbers: against NIST, scipy and exact fractions, and against bad writing."""

import math
import subprocess
import sys
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from geometry.unit_ratios import RATIOS
from geometry.unit_text import spelled, units_of
from geometry.units import (
    DIMENSIONS,
    UnitError,
    _affine,
    _worked_out,
    parse,
    show,
    show_thou,
)


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        # NIST SP 811 (2008), appendix B.8: factors printed bold are exact
        ("1 in", "length", 25.4),
        ("1 ft", "length", 304.8),
        ("1 mil", "length", 0.0254),
        ("1 lb", "mass", 0.45359237),
        ("1 lbf", "force", 4.4482216152605),
        ("1 lbf*ft", "torque", 1.3558179483314004),
        ("1 ft/min", "speed", 0.00508),
        ("1 in^3", "volume", 16.387064),
        ("1 kg/m^3", "density", 1.0),
        ("1 bar", "pressure", 0.1),
    ],
)
def test_exact_factors_of_nist_sp_811(text, dimension, value):
    assert parse(text, dimension) == value


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        # NIST SP 811 (2008), appendix B.8: factors rounded there to seven digits
        ("1 psi", "pressure", 6.894757e-3),
        ("1 ksi", "pressure", 6.894757),
        ("1 oz", "mass", 2.834952e-2),
        ("1 lbf*in", "torque", 0.1129848),
        ("1 in²", "area", 645.16),  # 6.4516 cm^2, exact there
        ("1 lb/in^3", "density", 2.767990e4),
    ],
)
def test_rounded_factors_of_nist_sp_811(text, dimension, value):
    assert parse(text, dimension) == pytest.approx(value, rel=5e-7)


def test_psi_to_its_last_float():
    # NIST SP 811: 1 psi = 6894.757293168 Pa, from the exact pound-force and inch
    exact = Fraction("4.4482216152605") / Fraction("25.4") ** 2
    assert parse("1 psi", "pressure") == float(exact)
    assert parse("1 psi", "pressure") * 1e6 == pytest.approx(6894.757293168, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("1 thou", "length", constants.mil * 1e3),
        ("1 um", "length", constants.micron * 1e3),
        ("1 kN", "force", constants.kilo),
        ("1 oz", "mass", constants.oz),
        ("1 rad", "angle", math.degrees(1.0)),
        ("1 psi", "pressure", constants.psi / 1e6),
        ("1 bar", "pressure", constants.bar / 1e6),
        ("212 degF", "temperature", constants.convert_temperature(212.0, "F", "C")),
        ("300 K", "temperature", constants.convert_temperature(300.0, "K", "C")),
        ("1 L", "volume", constants.liter * 1e6),
    ],
)
def test_against_scipy_constants(text, dimension, value):
    assert parse(text, dimension) == pytest.approx(value, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("18 thou", "length", 0.4572),
        ("4.030 in", "length", 102.362),
        ('4.030"', "length", 102.362),
        ("7/16 in", "length", 11.1125),
        ("-1/2 inch", "length", -12.7),
        ("  0.5mm ", "length", 0.5),
        ("+.5 mm", "length", 0.5),
        ("5 µm", "length", 0.005),
        ("2.5 turns", "angle", 900.0),
        ("90°", "angle", 90.0),
        ("1 turn/min", "rotation", 1.0),
        ("60 N·m", "torque", 60.0),
        ("60 N m", "torque", 60.0),
        ("60 N-m", "torque", 60.0),
        ("12 lbf*ft", "torque", 144 * parse("1 lbf*in", "torque")),
        ("12 ft-lbf", "torque", parse("12 lbf*ft", "torque")),
        ("1 GPa", "pressure", 1000.0),
        ("1 N/mm²", "pressure", 1.0),
        ("68 °F", "temperature", 20.0),
        ("-273.15 C", "temperature", -273.15),
        ("180 degF", "temperature_difference", 100.0),
        ("100 degC", "temperature_difference", 100.0),
        ("21e-6/K", "expansion", 21e-6),
        ("21e-6 1/K", "expansion", 21e-6),
        ("21 1e-6/K", "expansion", 21e-6),
        ("21 ppm/K", "expansion", 21e-6),
        ("21 µm/(m·K)", "expansion", 21e-6),
        ("9 ppm/degF", "expansion", 16.2e-6),
        ("9e-6 in/in/°F", "expansion", 16.2e-6),
        ("64 cc", "volume", 64.0),
        ("64 cm3", "volume", 64.0),
        ("64 cm³", "volume", 64.0),
        ("2.7 g/cc", "density", 2700.0),
        ("642 g", "mass", 0.642),
        ("3.9 ft/min", "speed", 3.9 * 0.00508),
    ],
)
def test_spellings(text, dimension, value):
    assert parse(text, dimension) == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "dimension", "what", "right"),
    [
        ("4.03", "length", "no unit", 'write the unit, for example "4.03 in" or "4.03 mm"'),
        ("21e-6", "expansion", "no unit", '"21e-6/K"'),
        ("", "length", "empty", '"4.030 in"'),
        ("   ", "length", "empty", '"4.030 in"'),
        ("in", "length", "does not begin with a number", '"4.030 in"'),
        ("nan mm", "length", "finite number", '"4.030 in"'),
        ("-inf mm", "length", "finite number", '"4.030 in"'),
        ("Infinity mm", "length", "finite number", '"4.030 in"'),
        ("1e999 mm", "length", "too large", '"4.030 in"'),
        ("1e99999999 mm", "length", "one plain number", "one decimal point"),
        ("4,030 in", "length", "one plain number", "one decimal point"),
        ("4 030 mm", "length", "one plain number", "one decimal point"),
        ("4_030 mm", "length", "one plain number", "one decimal point"),
        ("4.0.3 in", "length", "one plain number", "one decimal point"),
        ("1 1/8 in", "length", "a whole number and a fraction", '"1.125 in"'),
        ("-1 1/8 in", "length", "a whole number and a fraction", '"-1.125 in"'),
        ("3/0 in", "length", "divides by zero", '"4.030 in"'),
        ("4 kg", "length", "is a mass, not a length", '"4.030 in"'),
        ("4 mm", "mass", "is a length, not a mass", '"642 g"'),
        ("4 in^2", "length", "is an area", '"4.030 in"'),
        ("45 lb", "torque", "is a mass, not a torque", '"45 lbf*ft"'),
        ("45 lb/ft", "torque", "is not a torque", '"45 lbf*ft"'),
        ("0.010 th", "length", "not a unit known here", 'write "0.010 in"'),
        ("18 th", "length", "not a unit known here", 'write "18 thou"'),
        ("120 lb", "force", "is a mass, not a force", 'lb is a mass here; write "120 lbf"'),
        ("4 IN", "length", "not a unit known here", 'write "4 in"'),
        ("4 inchs", "length", "not a unit known here", 'write "4 inch'),
        ("4 ms", "length", "not a unit known here", 'write "4 m'),
        ("4 parsec", "length", "not a unit known here", '"4.030 in"'),
        ("4 in**99", "length", "not a unit known here", '"4.030 in"'),
        ("4 mm; 5 mm", "length", "not a unit known here", '"4.030 in"'),
        ("__import__('os') mm", "length", "does not begin with a number", '"4.030 in"'),
        ("٣ mm", "length", "does not begin with a number", '"4.030 in"'),
        ("9" * 500 + " mm", "length", "does not begin with a number", '"4.030 in"'),
        ("90 deg", "temperature", "is an angle, not a temperature", '"90 degC"'),
    ],
)
def test_refusals_say_what_and_what_instead(text, dimension, what, right):
    with pytest.raises(UnitError) as caught:
        parse(text, dimension)
    assert what in caught.value.what
    assert right in caught.value.right
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "unit",
    ["ft-lb", "ft lb", "ft lbs", "ft-lbs", "lb-ft", "lb ft", "lbft", "ftlb", "ft.lb", "lb.ft", "ft·lb", "lbf ft",
     "ftlbs", "lbs-ft", "ft-lbf", "lbf.ft", "ftlbf"],
)  # fmt: skip
def test_a_torque_as_the_shop_writes_it(unit):
    # NIST SP 811: one pound-force foot is 1.355 817 948 331 400 4 N m; a pound of torque is a pound-force
    assert parse(f"45 {unit}", "torque") == float(45 * Fraction("1.3558179483314004"))
    assert parse(f"45{unit}", "torque") == parse(f"45 {unit}", "torque")


@pytest.mark.parametrize("unit", ["in-lb", "in lb", "in lbs", "lb-in", "inlb", "lbf-in", "lbf in", "in.lb"])
def test_a_small_torque_is_one_of_inches(unit):
    assert parse(f"120 {unit}", "torque") == pytest.approx(10 * 1.3558179483314004, rel=1e-15)


@pytest.mark.parametrize("unit", ["Nm", "N.m", "N-m", "N m", "N*m", "N·m"])
def test_newton_metres_however_they_are_joined(unit):
    assert parse(f"60 {unit}", "torque") == 60.0


@pytest.mark.parametrize("unit", ["ml", "mL", "cm³", "cc", "cm3"])
def test_cubic_centimetres_as_a_burette_has_them(unit):
    assert parse(f"64 {unit}", "volume") == 64.0


def test_a_pound_is_a_mass_but_at_the_end_of_a_lever():
    assert parse("1.4 lb", "mass") == 1.4 * 0.45359237
    for unit in ("ft-lb", "lbft", "lb"):
        with pytest.raises(UnitError):
            parse(f"45 {unit}", "force")
    with pytest.raises(UnitError):
        parse("45 ft-lb", "mass")
    with pytest.raises(UnitError):
        parse("45 Nm", "length")


def read_or_refusal(text, dimension):
    """The value, or the one line that refuses it."""
    try:
        return parse(text, dimension)
    except UnitError as error:
        return str(error)


@given(st.text(max_size=120), st.sampled_from(sorted(DIMENSIONS)))
def test_any_text_is_read_or_refused_in_one_line(text, dimension):
    said = read_or_refusal(text, dimension)
    assert said.isprintable() if isinstance(said, str) else math.isfinite(said)


@given(st.from_regex(r"[0-9.eE+/ -]{1,12} ?[a-zA-Z*/^°µ\"0-9 -]{1,10}", fullmatch=True))
def test_text_that_nearly_is_a_quantity_is_read_or_refused_in_one_line(text):
    for dimension in ("length", "torque", "expansion"):
        said = read_or_refusal(text, dimension)
        assert said.isprintable() if isinstance(said, str) else math.isfinite(said)


_ANY_VALUE = st.floats(-1e7, 1e7, allow_nan=False)


@pytest.mark.parametrize("dimension", sorted(DIMENSIONS))
@given(value=_ANY_VALUE, system=st.sampled_from(["in", "mm"]), fine=st.booleans())
def test_round_trip_is_exact_to_the_last_digit_shown(dimension, value, system, fine):
    shown = show(value, dimension, system, fine=fine)
    assert show(parse(shown, dimension), dimension, system, fine=fine) == shown


@given(value=st.floats(-1e4, 1e4), system=st.sampled_from(["in", "mm"]), digits=st.integers(0, 9))
def test_shown_text_is_within_half_its_last_digit(value, system, digits):
    inches = Fraction(value) / (Fraction("25.4") if system == "in" else 1)
    text = show(value, "length", system, digits=digits)
    assert abs(Fraction(text.split()[0]) - inches) <= Fraction(1, 2 * 10**digits)


@given(st.integers(-(10**6), 10**6), st.integers(0, 5))
def test_inches_become_the_nearest_float(whole, decimals):
    text = f"{whole / 10**decimals:.{decimals}f}"
    assert parse(f"{text} in", "length") == float(Fraction(text) * Fraction("25.4"))
    assert parse(f"{text} thou", "length") == float(Fraction(text) * Fraction("0.0254"))


@pytest.mark.parametrize(
    ("value", "dimension", "system", "options", "text"),
    [
        (102.362, "length", "in", {}, "4.030 in"),
        (102.362, "length", "mm", {}, "102.36 mm"),
        (0.4572, "length", "in", {"fine": True}, "0.0180 in"),
        (0.4572, "length", "mm", {"fine": True}, "0.457 mm"),
        (-0.00001, "length", "mm", {}, "0.00 mm"),
        (-1.27, "length", "mm", {"digits": 0}, "-1 mm"),
        (74.3, "angle", "in", {}, "74.3°"),
        (74.3, "angle", "mm", {"digits": 0}, "74°"),
        (0.642, "mass", "in", {}, "642.0 g"),
        (60.0, "torque", "mm", {}, "60.0 N·m"),
        (6500.0, "rotation", "in", {}, "6500 rpm"),
        (20.0, "temperature", "in", {}, "68.0 °F"),
        (100.0, "temperature_difference", "in", {}, "180.0 °F"),
        (64.0, "volume", "in", {}, "64.0 cc"),
    ],
)
def test_how_it_is_printed(value, dimension, system, options, text):
    assert show(value, dimension, system, **options) == text


def test_thousandths():
    assert show_thou(0.4572) == "18.0 thou"
    assert show_thou(-0.0127, digits=2) == "-0.50 thou"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_never_printed(value):
    with pytest.raises(ValueError, match="not a finite number"):
        show(value, "length", "mm")


@pytest.mark.parametrize("dimension", sorted(DIMENSIONS))
def test_every_published_unit_and_example_is_read(dimension):
    kind = DIMENSIONS[dimension]
    for word in kind.words:
        assert math.isfinite(parse(f"3 {word}", dimension))
    for example in kind.examples:
        assert math.isfinite(parse(example, dimension))


@pytest.mark.parametrize("dimension", sorted(DIMENSIONS))
def test_what_is_kept_of_the_usual_spellings_is_what_the_units_library_says(dimension):
    kind = DIMENSIONS[dimension]
    written = {kind.house, *kind.words, kind.imperial.label, kind.metric.label}
    assert {spelled(word, dimension) for word in written} <= set(RATIOS[dimension])
    for unit in RATIOS[dimension]:
        assert _affine(unit, dimension) == _worked_out(unit, dimension), unit


def test_nothing_is_kept_of_what_is_no_dimension():
    assert set(RATIOS) == set(DIMENSIONS)


@pytest.mark.parametrize(
    ("text", "system"),
    [
        ("4.030 in", "in"), ('4.030"', "in"), ("18 thou", "in"), ("7/16 in", "in"), ("1 ft", "in"),
        ("102 mm", "mm"), ("3 cm", "mm"), ("5 µm", "mm"), ("45 lbf*ft", None), ("3 ft/min", None),
        ("Tern", None), ("", None), ("4.03", None),
    ],
)  # fmt: skip
def test_system_of_a_text(text, system):
    assert units_of(text) == system


def test_the_units_library_is_loaded_for_an_unusual_spelling_only():
    code = (
        "import sys, geometry.units as u; u.parse('4 in', 'length'); u.show(1.0, 'torque', 'in');"
        "assert 'pint' not in sys.modules;"
        "u.parse('1 turn/min', 'rotation'); assert 'pint' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)
