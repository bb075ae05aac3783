"""What entries say: intervals honoured, limits with their source, words that a builder can act on."""

import pytest

from geometry.errors import InputError
from geometry.record.load import load_record
from geometry.record.todo import todo
from geometry.record.verdicts import verdicts
from tests.geometry.record.bench_fixtures import tern, typed


def verdict(tmp_path, line):
    found = verdicts(tern(), typed(tmp_path, line), system="in")
    assert len(found) == 1
    return found[0]


@pytest.mark.parametrize(
    "blades, word",
    [
        # 4.030 in bore, everyday use: 14.105 thou (0.0035 in per in) to 20.15 thou (0.0050 in per in), common practice.
        ("go=18thou tight=19thou", "within"),
        ("go=9thou tight=10thou", "outside"),
        ("go=25thou tight=26thou", "outside"),
        ("go=13thou tight=15thou", "cannot tell"),
        ("go=19thou tight=22thou", "cannot tell"),
    ],
)
def test_a_pair_of_blades_is_an_interval(tmp_path, blades, word):
    assert verdict(tmp_path, f"bore 3: ring.top.gap {blades}").verdict == word


def test_a_gap_too_tight_says_how_much_to_file(tmp_path):
    found = verdict(tmp_path, "bore 3: ring.top.gap go=9thou tight=10thou")
    # At least 14.105 - 10 = 4.1 thou can come off at once, 14.105 - 9 = 5.1 at most reaches the least gap.
    # In whole thou: never more at once than is sure to be too much, and enough to reach it.
    assert "file 4 thou off" in found.remedy
    assert "6 thou at most" in found.remedy
    assert found.severity == "stop"


def test_a_turned_rod_is_outside_and_says_what_it_rides_on(tmp_path):
    found = verdict(tmp_path, "bore 3: rod.way turned")
    assert (found.verdict, found.severity) == ("outside", "stop")
    assert "fillet" in found.text


def test_a_torque_is_held_against_the_maker(tmp_path):
    assert verdict(tmp_path, "bore 3: bolt.major.torque 45lbf*ft").verdict == "within"
    assert verdict(tmp_path, "bore 3: bolt.major.torque 30lbf*ft").verdict == "outside"


@pytest.mark.parametrize("line, dimension", [
    ("main 2: bolt.left.torque 60lbf*ft", "torque"),  # nobody gives a limit for it
    ("bore 3: bolt.major.torque 45lbf*ft", "torque"), ("crank: turning 5lbf*ft", "torque"),
    ("bore 3: bolt.minor.stretch 5.5thou", "length"), ("main 2: clearance 2thou", "length"),
])  # fmt: skip
def test_a_reading_has_the_dimension_of_its_instrument(tmp_path, line, dimension):
    assert verdict(tmp_path, line).dimension == dimension


def test_what_was_read_is_named_and_what_is_asked_for_leaves_the_choice(tmp_path):
    assert "stretch" not in verdict(tmp_path, "bore 3: bolt.major.torque 45lbf*ft").what
    asked = todo(tern(), typed(tmp_path), bore=4)
    assert "torque or stretch" in next(item for item in asked if item.entry == "bolt.major.torque").what


def test_the_list_of_what_is_left_runs_in_the_order_of_the_job(tmp_path):
    before = todo(tern(), typed(tmp_path), system="in")
    steps = list(dict.fromkeys(item.step for item in before))
    assert steps == [
        "bores", "ring gaps", "ring grooves", "ring clocking", "bearings", "which way round", "rod bolts",
        "side clearance", "deck", "turning torque",
    ]  # fmt: skip
    assert all(item.source for item in before if item.limit)


def test_what_is_recorded_falls_off_the_list(tmp_path):
    before = {(i.place, i.entry) for i in todo(tern(), typed(tmp_path))}
    after = {
        (i.place, i.entry)
        for i in todo(tern(), typed(tmp_path, "bore 3: ring.top.gap go=18thou tight=19thou"))
    }
    assert before - after == {("bore 3", "ring.top.gap")}


@pytest.mark.parametrize(
    "line, words",
    [
        ("bore 3: ring.top.gap go=18", "no unit"),
        ("bore 9: ring.top.gap go=18thou", "9"),
        ("bore 3: ring.topp.gap go=18thou", "top"),
        ("bore 3: rod.way sideways", "turned"),
        ("bore 3: ring.top.gap go=19thou tight=18thou", "tight"),
        ("bore 3: ring.top.gap", "go"),
    ],
)
def test_what_cannot_be_entered_is_refused_in_one_line(tmp_path, line, words):
    with pytest.raises(InputError) as refused:
        typed(tmp_path, line)
    assert words in str(refused.value)
    assert not (tmp_path / "bench.record.toml").exists()


def test_a_hand_edited_record_with_a_mistake_is_named_by_line_and_left_alone(tmp_path):
    path = tmp_path / "bench.record.toml"
    typed(tmp_path, "bore 3: rod.way turned")
    text = path.read_text() + "\n[bore.4]\nrod.way = { value = 'sideways' }  # typed late at night\n"
    path.write_text(text)
    with pytest.raises(InputError) as refused:
        typed(tmp_path, "bore 5: rod.way correct")
    line = text.splitlines().index("rod.way = { value = 'sideways' }  # typed late at night") + 1
    assert f":{line}:" in str(refused.value)
    assert path.read_text() == text


def test_comments_and_order_of_a_hand_survive(tmp_path):
    path = tmp_path / "bench.record.toml"
    typed(tmp_path, "bore 3: rod.way turned")
    text = "# my own words\n" + path.read_text().replace("[bore.3]", "# the one that binds\n[bore.3]")
    path.write_text(text)
    typed(tmp_path, "bore 1: rod.way correct", "bore 3: piston.way correct")
    after = path.read_text()
    kept = [line for line in text.splitlines() if line.strip()]
    found = [line for line in after.splitlines() if line in kept]
    assert found == kept


@pytest.mark.parametrize(
    "blades, limit, blade",
    # The limits of a 4.030 in bore, as above: 14.1 and 20.15 thou; blades come in whole thou, the safe one is named.
    [("go=13thou tight=16thou", "14.1 thou", "15 thou"), ("go=19thou tight=22thou", "20.1 thou", "20 thou")],
)
def test_a_gap_that_cannot_be_told_names_the_blade_that_settles_it(tmp_path, blades, limit, blade):
    found = verdict(tmp_path, f"bore 3: ring.top.gap {blades}")
    assert limit in found.text
    assert f"a feeler blade of {blade}" in found.remedy
    assert found.severity == "look"


def test_a_limit_between_neighbouring_blades_is_out_of_their_reach(tmp_path):
    path = tmp_path / "bench.record.toml"
    path.write_text('[instruments]\nfeeler = "1 thou"\n\n[bore.3]\nring.top.gap = { go = "14 thou" }\n')
    (found,) = verdicts(tern(), load_record(path, tern()), system="in")
    assert found.verdict == "cannot tell"
    assert "no blade of this set" in found.remedy
    assert "until 15 thou goes" in found.remedy


def test_one_blade_alone_has_an_open_end(tmp_path):
    found = verdict(tmp_path, "bore 3: ring.top.gap go=15thou")
    assert (found.verdict, found.high) == ("cannot tell", None)
    assert verdict(tmp_path, "bore 3: ring.top.gap go=21thou").verdict == "outside"


def test_a_value_counts_with_the_resolution_of_its_instrument(tmp_path):
    # Tern's least gap, 14.1 thou = 0.358 mm: 0.36 mm read to 0.01 mm may be less, read to 0.001 mm it is not.
    assert verdict(tmp_path, "bore 3: ring.top.gap 0.36mm resolution=0.01mm").verdict == "cannot tell"
    assert verdict(tmp_path, "bore 3: ring.top.gap 0.36mm resolution=0.001mm").verdict == "within"


@pytest.mark.parametrize(
    "line, word",
    [
        ("piston.height 1.4500in", "within"),  # the engine file's 1.450 in
        ("piston.height 1.4200in", "outside"),
        ("rod.length 5.8500in", "within"),  # the engine file's 5.850 in
        ("rod.length 5.7000in", "outside"),
        ("ring.upper_rail.gap go=25thou tight=26thou", "within"),  # a piston maker's table: at least 15 thou
        ("ring.upper_rail.gap go=10thou tight=11thou", "outside"),
    ],
)
def test_parts_of_another_size_are_found_out(tmp_path, line, word):
    assert verdict(tmp_path, f"bore 3: {line}").verdict == word
