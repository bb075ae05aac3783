"""The value most likely at fault: named where a builder slips, and nobody accused where all is usual."""

import random
import time
import tomllib
from copy import deepcopy

import pytest

from geometry.errors import InputError
from geometry.spec.load import load_engine, read_toml
from geometry.spec.plausible import suspect
from geometry.spec.proportions.fill import fill
from tests.geometry.fleet import NAMES, raw
from tests.geometry.random_engines import scaled
from viewer.starters import names, text

TERN = "demo_engines/tern.toml"


def with_value(data, key, value):
    """A raw engine with one value changed; positions from 0."""
    data = deepcopy(data)
    *steps, last = [int(step) if step.isdigit() else step for step in key.split(".")]
    holder = data
    for step in steps:
        holder = holder[step]
    holder[last] = value
    return data


@pytest.mark.parametrize("name", NAMES)
def test_no_demo_engine_is_suspected(name):
    assert suspect(raw(name)) is None


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("name", names())
def test_no_starter_is_suspected(name, units):
    assert suspect(tomllib.loads(text(name, units))) is None


@pytest.mark.parametrize("name", NAMES)
def test_no_model_of_an_engine_is_suspected(name):
    """The same engine half or half as large again; the torque follows the bolt."""
    for factor in (0.6, 1.5):
        data = scaled(raw(name), factor)
        torque = float(raw(name)["rod"]["bolt"]["torque"].split()[0]) * factor**3
        data["rod"]["bolt"]["torque"] = f"{torque} {raw(name)['rod']['bolt']['torque'].split(maxsplit=1)[1]}"
        assert suspect(data) is None


SENSIBLE = {
    # bore, stroke, rod, each in mm: a square one, long strokes, short strokes, and large and small ones
    "square": ("86 mm", "86 mm", "143 mm"),
    "tall": ("73 mm", "95 mm", "150 mm"),
    "old and tall": ("63.5 mm", "101.6 mm", "190 mm"),
    "short": ("96 mm", "66 mm", "130 mm"),
    "very short": ("102 mm", "63 mm", "125 mm"),
    "large": ("130 mm", "150 mm", "260 mm"),
    "small": ("40 mm", "38 mm", "70 mm"),
    "short rod": ("100 mm", "90 mm", "130 mm"),
    "long rod": ("90 mm", "80 mm", "170 mm"),
}


@pytest.mark.parametrize("duty", ["street", "race", "diesel"])
@pytest.mark.parametrize("name", SENSIBLE)
def test_no_sensible_engine_is_suspected(name, duty):
    bore, stroke, rod = SENSIBLE[name]
    data = {
        "engine": {"layout": "inline", "numbering": {"line": [1, 2, 3, 4]}, "duty": duty},
        "block": {"bore": {"diameter": bore}}, "crank": {"stroke": stroke}, "rod": {"length": rod},
    }  # fmt: skip
    assert suspect(data) is None
    assert suspect(fill(data, "mm").data) is None


def test_measures_a_tenth_off_are_nobodys_fault():
    """Every size of an engine a few per cent off by itself, its deck and its pin as they must be."""
    draw = random.Random(4)
    kept = {"deck_height", "compression_height", "bore", "root", "diameter", "wall", "rail_wall", "land_clearance",
            "spacing", "stroke", "chamber"}  # fmt: skip

    def shaken(value, key=""):
        if isinstance(value, dict):
            return {k: shaken(item, k) for k, item in value.items()}
        if isinstance(value, list):
            return [shaken(item, key) for item in value]
        return value if key in kept else scaled(value, 1.0 + draw.uniform(-0.1, 0.1))

    for name in NAMES:
        for _ in range(3):
            data = shaken(raw(name))
            data["rod"]["length"] = raw(name)["rod"]["length"]
            assert suspect(data) is None


@pytest.mark.parametrize(
    ("key", "value", "told", "slip", "usual"),
    [
        # the Tern has 3.350 in of stroke, gaps of 18 thou, 62 cc of chamber, roots of 3.640 in
        ("crank.stroke", "34.8 in", "crank.stroke", 10.0, 88.392),
        ("crank.stroke", "0.348 in", "crank.stroke", 0.1, 88.392),
        ("crank.stroke", "88 in", "crank.stroke", 25.4, 88.0),
        ("crank.stroke", "3.35 mm", "crank.stroke", 1 / 25.4, 85.09),
        ("rod.length", "58.5 in", "rod.length", 10.0, 148.59),
        ("block.bore.diameter", "40.30 in", "block.bore.diameter", 10.0, 102.362),
        ("block.deck_height", "89.85 in", "block.deck_height", 10.0, 228.219),
        ("rings.top.gap", "180 thou", "rings.top.gap", 10.0, 0.4572),
        ("rings.top.gap", "1.8 thou", "rings.top.gap", 0.1, 0.4572),
        ("rings.second.gap", "20 in", "rings.second.gap", 1000.0, 0.508),
        ("head.chamber", "6.2 cc", "head.chamber", 0.1, 62.0),
        ("head.chamber", "620 cc", "head.chamber", 10.0, 62.0),
        ("piston.crown.volume", "79 cc", "piston.crown.volume", 10.0, 7.9),
        ("piston.skirt.clearance", "0.030 in", "piston.skirt.clearance", 10.0, 0.0762),
        ("rod.bolt.torque", "450 lbf*ft", "rod.bolt.torque", 10.0, 61.0118),
        ("gasket.thickness", "0.40 in", "gasket.thickness", 10.0, 1.016),
    ],
)
def test_a_slip_of_the_pen_is_found_and_undone(key, value, told, slip, usual):
    found = suspect(with_value(raw("tern"), key, value))
    assert (found.key, found.alone) == (told, True)
    assert found.slip == pytest.approx(slip)
    assert found.usual == pytest.approx(usual, rel=1e-4)


@pytest.mark.parametrize(
    ("key", "value", "usual"),
    [
        # no slip of the pen, another engine's part: 8.985 - 5.850 - 1.450 in are half a stroke of 3.37 in
        ("crank.stroke", "6.70 in", 2 * (8.985 - 5.850 - 1.450) * 25.4),
        ("crank.stroke", "1.70 in", 2 * (8.985 - 5.850 - 1.450) * 25.4),
        ("rod.length", "2.9 in", 5.850 * 25.4),
        ("block.deck_height", "18.0 in", 8.985 * 25.4),
        ("piston.crown.volume", "39.5 cc", None),
    ],
)
def test_a_part_of_another_engine_is_found(key, value, usual):
    found = suspect(with_value(raw("tern"), key, value))
    assert found.key == key
    assert usual is None or found.usual == pytest.approx(usual, rel=0.01)


def test_a_value_of_zero_is_no_suspect():
    """The flat crown of this engine has no volume at all."""
    assert raw("knot")["piston"]["crown"].get("volume", "0 cc").startswith("0")
    chamber, unit = raw("knot")["head"]["chamber"].split()
    assert (
        suspect(with_value(raw("knot"), "head.chamber", f"{10 * float(chamber):g} {unit}")).key
        == "head.chamber"
    )


def test_a_groove_of_another_engine_is_told_from_its_ring():
    # (4.030 - 0.032 - 3.240) / 2 = 0.379 in deep for a ring of 0.170 in: 0.216 in of room behind it is the slip of
    # somebody who kept a starter's root
    found = suspect(with_value(raw("tern"), "piston.grooves.0.root", "3.24 in"))
    assert (found.key, found.slip, found.alone) == ("piston.grooves[1].root", 0.0, True)
    assert "rings.top.wall" in found.neighbours
    assert found.usual == pytest.approx(3.64 * 25.4, rel=0.01)
    # a ring too thin for a groove that goes with the bore
    found = suspect(with_value(raw("tern"), "rings.top.wall", "0.05 in"))
    assert found.key == "rings.top.wall"


@pytest.mark.parametrize(
    ("key", "value", "line"),
    [
        ("crank.stroke", "34.8 in",
         "34.8 in is ten times what block.bore.diameter, rod.length and block.bore.length suggest; "
         "did you mean 3.48 in?"),
        ("crank.stroke", "0.348 in",
         "0.348 in is a tenth of what block.bore.diameter, rod.length and block.bore.length suggest; "
         "did you mean 3.48 in?"),
        ("crank.stroke", "88 in",
         "88 in is 25.4 times what block.bore.diameter, rod.length and block.bore.length suggest; did you mean 88 mm?"),
        ("rod.length", "about 58.5 in",
         "the rod is more than six times the stroke; right: a rod length of 1.3 to 2.5 times the stroke; "
         "did you mean 5.85 in?"),
    ],
)  # fmt: skip
def test_a_refusal_names_the_value_at_fault_first(key, value, line):
    started = time.process_time()
    with pytest.raises(InputError) as caught:
        load_engine(TERN, {key: value})
    assert time.process_time() - started < 1.0
    first = caught.value.problems[0]
    assert str(first) == f"--set: {key}: {line}"


def test_in_a_file_it_is_found_on_its_line(tmp_path):
    file = tmp_path / "my.toml"
    with open(TERN, encoding="utf-8") as good:
        file.write_text(good.read().replace('stroke = "3.350 in"', 'stroke = "33.50 in"'), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_engine(file)
    first = caught.value.problems[0]
    assert (first.key, first.right) == ("crank.stroke", "did you mean 3.35 in?")
    assert 'stroke = "33.50 in"' in file.read_text(encoding="utf-8").split("\n")[first.line - 1]
    assert len(caught.value.problems) > 1


def test_a_value_that_cannot_be_read_is_refused_for_that_alone():
    with pytest.raises(InputError) as caught:
        load_engine(TERN, {"block.bore.diameter": "4 kg", "crank.stroke": "0.5 in", "rod.length": "1 in"})
    (bore,) = [problem for problem in caught.value.problems if problem.key == "block.bore.diameter"]
    assert "is a mass, not a length" in bore.what
    assert "did you mean" not in bore.right


def test_what_cannot_be_read_accuses_nobody():
    data = read_toml(TERN)
    for broken in (
        {"engine": 3},
        {"head": {"chamber": "x"}},
        {"crank": {"stroke": "3 kg"}},
    ):
        assert suspect({**data, **broken}) is None
