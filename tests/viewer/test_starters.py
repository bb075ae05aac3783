"""Starters: each loads, fits together at its own numbers, marks what nobody measured, and says how it is measured."""

import itertools
import re
import tomllib

import pytest

from geometry.assembly import assemble
from geometry.checks.clearances import judged
from geometry.checks.section import checks
from geometry.clearance.full_turn import full_turn
from geometry.doubt import read_doubtful
from geometry.spec.base import FROM_FILE
from geometry.spec.engine import Engine
from geometry.spec.proportions.fill import missing_quantities
from geometry.spec.proportions.table import usual
from tests.geometry import fleet
from viewer.starters import names, text

LAYOUTS = {"inline-four": 4, "inline-six": 6, "vee-eight": 8, "vee-six": 6, "flat-four": 4, "single": 1}
FIVE = {
    "block.bore.diameter": "4.030 in +- 1 thou", "crank.stroke": "3.48 in", "rod.length": "5.7 in",
    "piston.compression_height": "1.56 in", "block.deck_height": "9.025 in",
}  # fmt: skip


def engine(name, units="mm", given=None):
    return Engine.model_validate(tomllib.loads(text(name, units, given)), context=FROM_FILE)


def test_there_is_one_for_each_usual_layout():
    assert set(names()) == set(LAYOUTS)


@pytest.mark.parametrize("name", LAYOUTS)
def test_fires_evenly_from_as_many_bores_as_its_name_says(name):
    firing = assemble(engine(name)).layout.firing
    assert len(firing.order) == LAYOUTS[name]
    assert firing.intervals_deg == pytest.approx([720 / LAYOUTS[name]] * LAYOUTS[name], abs=1e-6)


def outside(spec):
    """What the checks find outside its limits, the engine taken as if every number were measured."""
    assembly = assemble(spec)
    others = [check for check in checks() if check.key != "clearances"]
    found = [f.text for check in others for f in check.run(assembly, "mm").findings if f.severity == "stop"]
    near = judged(assembly, full_turn(assembly))
    return found + [(c.near.approach.a, c.near.approach.b) for c in near if c.verdict != "clear"]


@pytest.mark.parametrize(("name", "units"), [*((name, "mm") for name in LAYOUTS), ("single", "in")])
def test_passes_its_own_checks_at_its_own_numbers(name, units):
    assert outside(engine(name, units)) == []


@pytest.mark.parametrize(("name", "given"), [
    ("vee-eight", FIVE),
    ("single", {"block.bore.diameter": "56 mm", "crank.stroke": "60 mm"}),
    ("flat-four", {"rod.length": "132 mm", "block.deck_height": "204.3 mm"}),
])  # fmt: skip
def test_scaled_to_what_is_known_it_still_fits(name, given):
    assert outside(engine(name, "in" if "in" in next(iter(given.values())) else "mm", given)) == []


def quantities(data, path=""):
    if isinstance(data, dict):
        for key, inner in data.items():
            yield from quantities(inner, f"{path}.{key}" if path else key)
    elif isinstance(data, list):
        for place, inner in enumerate(data, start=1):
            yield from quantities(inner, f"{path}[{place}]")
    elif isinstance(data, str) and usual(path) is not None:
        yield path, data


@pytest.mark.parametrize("name", LAYOUTS)
def test_what_nobody_gave_is_about_and_what_was_given_stands_as_it_was_given(name):
    found = dict(quantities(tomllib.loads(text(name, "in", FIVE))))
    plain = {key for key, value in found.items() if not value.startswith("about ")}
    chosen = {"engine.bank_angle", "engine.speed", "crank.throws", "crank.split"}
    assert plain - chosen == set(FIVE)
    assert {key: found[key] for key in FIVE} == FIVE
    assert list(missing_quantities(tomllib.loads(text(name)))) == []


@pytest.mark.parametrize("name", LAYOUTS)
def test_every_assumed_line_says_how_it_is_measured(name):
    lines = text(name).splitlines()
    for number, line in enumerate(lines):
        found = re.match(r'(\w+) = (\[|"about )', line)
        if found and found[1] not in ("numbering", "firing_order", "cheeks", "section"):
            remarks = itertools.takewhile(lambda later: re.match(r" +# ", later), lines[number + 1 :])
            said = " ".join(part.partition("#")[2].strip() for part in (line, *remarks))
            assert re.search(r"to [\d.]+ (mm|cc|deg)|degree|leaf|sheet", said), line


@pytest.mark.parametrize("given", [{}, FIVE], ids=["example", "scaled"])
@pytest.mark.parametrize("name", LAYOUTS)
def test_numbers_have_few_figures(name, given):
    for key, value in quantities(tomllib.loads(text(name, "in", given))):
        if value.startswith("about "):
            figures = re.sub(r"^-?0*\.?0*|\D", "", value.split()[1])
            assert len(figures) <= (5 if key == "rod.big_end.bore" else 4), (key, value)


def test_the_oil_clearance_survives_the_rounding():
    """The middle of 0.00075 to 0.0010 in per inch of journal (`geometry/trade.py`), to a hundredth of a thou."""
    spec = engine("vee-eight", "in", FIVE)
    oil = spec.rod.big_end.bore_mm - 2 * spec.rod.bearing.wall_mm - spec.crank.pin.diameter_mm
    assert oil / 25.4 == pytest.approx(0.000875 * spec.crank.pin.diameter_mm / 25.4, abs=0.0001)


@pytest.mark.parametrize(("option", "text_given", "bore_mm"), [
    ("block.bore.diameter", "100 mm", 100.0),
    ("crank.stroke", "84 mm", 90.0),
    ("rod.length", "144.5 mm", 90.0),
    ("piston.compression_height", "36 mm", 90.0),
    ("block.deck_height", "222.9 mm", 90.0),
])  # fmt: skip
def test_any_one_of_the_five_gives_the_size_of_the_engine(option, text_given, bore_mm):
    """By hand, from 14/15 of the bore for the stroke, 1.72 strokes for the rod, 0.4 of the bore to the crown."""
    spec = engine("inline-four", "mm", {option: text_given})
    assert spec.block.bore.diameter_mm == pytest.approx(bore_mm, abs=0.06)
    assert spec.crank.stroke_mm == pytest.approx(bore_mm * 14 / 15, abs=0.06)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("name", LAYOUTS)
def test_remarks_stand_in_one_column_and_lines_fit_a_screen(name, units):
    lines = text(name, units).splitlines()
    assert not [line for line in lines if '"?"' in line]
    for line in lines:
        assert len(line) <= 140
        found = re.match(r"[^#\s][^#]*(#)", line)
        if found and len(line[: found.start(1)].rstrip()) < 38:
            assert found.start(1) == 38, line
    other = " mm" if units == "in" else " in"
    assert not [line for line in lines if re.search(rf"\d{other}\b", line)]


def test_no_starter_is_a_demo_engine():
    bores = {round(fleet.spec(name).block.bore.diameter_mm, 3) for name in fleet.NAMES if name != "curlew"}
    strokes = {round(fleet.spec(name).crank.stroke_mm, 3) for name in fleet.NAMES}
    for name in names():
        assert engine(name).crank.stroke_mm not in strokes
        assert engine(name).block.bore.diameter_mm not in bores


def test_an_unknown_starter_is_refused():
    with pytest.raises(KeyError):
        text("radial-nine")


def test_about_is_read_as_it_is_written():
    assert read_doubtful(tomllib.loads(text("single"))["rod"]["length"], "length").about
