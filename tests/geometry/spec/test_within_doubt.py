"""Rules that the doubt would break: each one found really is broken there, and none is missed among random corners."""

import random
import re
from pathlib import Path

import pytest
from pydantic import ValidationError

from geometry.spec.base import Refused
from geometry.spec.described import load_described
from geometry.spec.within_doubt import clashes_within_doubt
from tests.geometry import fleet

TERN = "demo_engines/tern.toml"
_PLAIN = re.compile(r'"(-?[\d./]+ (?:in|thou|mm|deg|cc|ksi|MPa|lbf\*ft))"')


def broken_at(described, point):
    """What the whole engine is refused for at a point: the words of its rules, without numbers."""
    paths = {value.key: value.path for value in described.values}
    try:
        described.at({paths[key]: number for key, number in point.items()})
    except ValidationError as error:
        raised = [entry.get("ctx", {}).get("error") for entry in error.errors()]
        return {
            re.sub(r"\d", "", rule.what) for one in raised if isinstance(one, Refused) for rule in one.broken
        }
    return set()


def about(tmp_path, name):
    """A demo engine of which every quantity is about so much."""
    text = Path(f"demo_engines/{name}.toml").read_text(encoding="utf-8")
    file = tmp_path / f"{name}.toml"
    file.write_text(_PLAIN.sub(r'"about \1"', text), encoding="utf-8")
    return load_described(file)


def test_an_engine_that_is_in_no_doubt_breaks_nothing():
    assert clashes_within_doubt(load_described(TERN)) == ()


def test_a_doubt_that_no_rule_minds_breaks_nothing():
    settings = {
        "rod.length": "5.850 in +- 2 thou",
        "head.chamber": "about 62 cc",
        "rod.bolt.torque": "about 45 ft-lb",
    }
    assert clashes_within_doubt(load_described(TERN, settings)) == ()


def test_a_rod_too_short_for_its_stroke_at_the_ends_of_both():
    # stroke / 2 + pin offset + half the pin = 1.675 + 0.040 + 0.470 = 2.185 in; the rod has 5.850 in. Shorter by 2.5 it
    # still clears that, and so it does with a stroke longer by 2.5; both together do not: 3.350 against 3.435
    settings = {"rod.length": "5.850 in +- 2.5 in", "crank.stroke": "3.350 in +- 2.5 in"}
    found = [
        clash for clash in clashes_within_doubt(load_described(TERN, settings)) if "shorter" in clash.what
    ]
    (clash,) = found
    assert clash.key == "rod.length"
    assert dict(clash.at) == pytest.approx({"rod.length": 3.350 * 25.4, "crank.stroke": 5.850 * 25.4})
    assert clash.text == (
        "within the doubt of crank.stroke and rod.length: "
        "the rod is shorter than half the stroke: the crank cannot turn over"
    )


def test_an_oil_clearance_that_only_three_ends_together_use_up():
    # 2.1760 - 2 x 0.0620 - 2.050 = 0.0020 in; 0.8 + 0.8 + 2 x 0.3 thou are 2.2, any two of them less than 2.0
    settings = {
        "rod.big_end.bore": "2.1760 in +- 0.8 thou",
        "crank.pin.diameter": "2.050 in +- 0.8 thou",
        "rod.bearing.wall": "0.0620 in +- 0.3 thou",
    }
    (clash,) = clashes_within_doubt(load_described(TERN, settings))
    assert set(clash.at) == set(settings)
    assert "leaves no clearance on the crankpin" in clash.what
    fewer = {**settings, "rod.bearing.wall": "0.0620 in +- 0.1 thou"}
    assert clashes_within_doubt(load_described(TERN, fewer)) == ()


def test_a_rule_of_one_model_alone_is_asked_too():
    (clash,) = clashes_within_doubt(
        load_described(TERN, {"piston.grooves[2].from_crown": "0.500 in +0 -0.2 in"})
    )
    assert clash.key == "piston.grooves[2].from_crown"
    assert "starts above the end of the one before" in clash.what


@pytest.mark.parametrize("name", fleet.NAMES)
def test_what_is_found_really_is_broken_there(tmp_path, name):
    described = about(tmp_path, name)
    found = clashes_within_doubt(described)
    assert found
    for clash in found:
        # a model that refuses its own sizes is not asked what the whole engine says of them
        assert broken_at(described, clash.at)
        for key in clash.at:
            fewer = {other: number for other, number in clash.at.items() if other != key}
            assert re.sub(r"\d", "", clash.what) not in broken_at(described, fewer)


@pytest.mark.parametrize("name", ["tern", "curlew"])
def test_nothing_is_missed_at_random_corners(tmp_path, name):
    described = about(tmp_path, name)
    told = {re.sub(r"\d", "", clash.what) for clash in clashes_within_doubt(described)}
    draw = random.Random(11)
    seen = set()
    for _ in range(150):
        point = {value.key: draw.choice((value.lowest, value.highest)) for value in described.doubted}
        seen |= broken_at(described, point)
    assert len(seen) >= 3
    assert seen <= told
