"""How well each value of an engine file is known: by its own text, by its kind, and by the command line."""

from pathlib import Path

import pytest

from geometry.errors import InputError
from geometry.spec.described import load_described
from geometry.spec.load import load_engine
from tests.geometry import fleet

TERN = "demo_engines/tern.toml"


def value_of(described, key):
    return next(value for value in described.values if value.key == key)


def of_tern(**settings):
    return load_described(TERN, {key.replace("__", "."): text for key, text in settings.items()})


@pytest.mark.parametrize("name", fleet.NAMES)
def test_a_plain_file_is_measured_throughout(name):
    path = fleet.FOLDER / f"{name}.toml"
    described = load_described(path)
    assert described.spec == load_engine(path)
    assert {value.origin for value in described.values} == {"measured"}
    assert described.doubted == described.assumed == ()
    assert all(value.lowest == value.nominal == value.highest for value in described.values)


def test_a_tolerance_is_measured_from_its_lowest_to_its_highest():
    # 3.350 in is 85.09 mm; 2 thou are 0.0508 mm, 3 thou 0.0762 mm
    stroke = value_of(of_tern(crank__stroke="3.350 in +2/-3 thou"), "crank.stroke")
    assert (stroke.nominal, stroke.lowest, stroke.highest) == (85.09, 85.0138, 85.1408)
    assert (stroke.origin, stroke.assumed, stroke.in_doubt) == ("measured", False, True)
    assert stroke.reason == "as far out as it is written"


def test_about_is_out_by_the_share_of_its_kind_and_says_why():
    described = of_tern(rod__length="about 5.85 in", head__chamber="~62 cc")
    rod, chamber = value_of(described, "rod.length"), value_of(described, "head.chamber")
    assert rod.origin == chamber.origin == "about"
    assert rod.assumed
    assert rod.lowest < rod.nominal == 148.59 < rod.highest
    assert (chamber.lowest, chamber.highest) == (58.9, 65.1)  # a twentieth of 62 cc either way
    assert chamber.reason == "5 % of it: a volume without a burette; judgement, no source"
    assert {value.key for value in described.assumed} == {"rod.length", "head.chamber"}


@pytest.mark.parametrize(
    ("key", "text", "lowest_mm", "highest_mm"),
    [
        # 1 % of a ground journal, 5 % of a casting, 25 % of a small depth
        ("crank.pin.diameter", "about 50 mm", 49.5, 50.5),
        ("block.main_cap.height", "about 52 mm", 49.4, 54.6),
        ("rod.chamfer.cheek", "about 3.2 mm", 2.4, 4.0),
    ],
)
def test_the_share_is_that_of_how_the_dimension_comes_to_be(key, text, lowest_mm, highest_mm):
    settings = {key: text}
    if key == "crank.pin.diameter":
        settings |= {"rod.big_end.bore": "53.2 mm"}
    value = value_of(load_described(TERN, settings), key)
    assert (value.lowest, value.highest) == pytest.approx((lowest_mm, highest_mm))


def test_a_part_of_one_bore_is_out_as_those_of_all_are():
    described = load_described(
        TERN, {"bore": '{ 3 = { diameter = "about 4.032 in", rod = { length = "~5.85 in" } } }'}
    )
    bore, rod = described.doubted
    assert (bore.key, rod.key) == ("bore.3.diameter", "bore.3.rod.length")
    assert bore.reason.startswith("1 % of it: journals and housings")
    assert rod.reason.startswith("2 % of it: a machined distance")


def test_about_with_its_own_tolerance_keeps_it():
    rail = value_of(of_tern(block__pan_rail__height="about -2.40 in +- 0.1 in"), "block.pan_rail.height")
    assert (rail.nominal, rail.lowest, rail.highest) == (-60.96, -63.5, -58.42)
    assert (rail.origin, rail.assumed) == ("about", True)


def test_values_in_arrays_are_known_by_their_place():
    described = load_described(TERN, {"piston.pockets[2].forward": "-0.95 in +- 5 thou"})
    (pocket,) = described.doubted
    assert pocket.key == "piston.pockets[2].forward"
    assert (pocket.lowest, pocket.highest) == (-24.257, -24.003)


def test_the_builders_own_share_stands_in_the_file(tmp_path):
    own = tmp_path / "own.toml"
    text = Path(TERN).read_text(encoding="utf-8").replace('"62 cc"', '"about 60 cc"')
    own.write_text(f"{text}\n[doubt]\nvolume = 0.1\n", encoding="utf-8")
    chamber = value_of(load_described(own), "head.chamber")
    assert (chamber.lowest, chamber.highest) == (54.0, 66.0)
    assert "your own share in [doubt]" in chamber.reason


@pytest.mark.parametrize("share", ["0.6", "-0.1", '"5 %"', "nan"])
def test_a_share_beyond_half_is_refused(share):
    with pytest.raises(InputError, match=r"doubt\.cast"):
        load_described(TERN, {"doubt.cast": share})


def test_a_doubt_that_cannot_be_read_names_key_and_way():
    with pytest.raises(InputError) as caught:
        of_tern(crank__stroke="3.350 in +- 2")
    (problem,) = caught.value.problems
    assert (problem.file, problem.key) == ("--set", "crank.stroke")
    assert '"3.350 in +- 2 thou"' in problem.right


def test_the_engine_at_other_values_keeps_the_rest():
    described = of_tern(crank__stroke="about 3.350 in")
    (stroke,) = described.doubted
    moved = described.at({stroke.path: 86.0})
    assert moved.crank.stroke_mm == 86.0
    assert moved.rod == described.spec.rod
