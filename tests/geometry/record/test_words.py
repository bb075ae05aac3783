"""The words of an entry: what a person may type, and what is refused with the key and the remedy."""

from datetime import date

import pytest

from geometry.errors import InputError
from geometry.record.words import read_place, read_words
from tests.geometry.record.bench_fixtures import backwards, tern


def one(place, *words, engine=None, **stamps):
    changes = read_words(engine or tern(), place, words, **stamps)
    assert len(changes) == 1
    return changes[0]


def refusal(place, *words):
    with pytest.raises(InputError) as refused:
        read_words(tern(), place, words)
    return refused.value.problems


@pytest.mark.parametrize(
    "words",
    [
        ("ring.top.gap", "go=18thou", "tight=19thou"),
        ("ring.top.gap", "go=18", "thou", "tight=19", "thou"),
        ("ring.top.gap go=18 thou tight=19 thou",),
        ("ring.top.gap", "go=18 thou", "nogo=19 thou"),
        ("ring.top.gap", "goes = 18 thou", "no-go = 19 thou"),
    ],
)
def test_however_the_shell_cuts_the_words_a_pair_of_blades_is_the_same(words):
    content = one("bore 3", *words).content
    assert {name: text.replace(" ", "") for name, text in content.items()} == {
        "go": "18thou", "tight": "19thou",
    }  # fmt: skip


@pytest.mark.parametrize(
    "typed, value",
    [
        ("turned", "turned"), ("Turned", "turned"), ("reversed", "turned"), ("backwards", "turned"),
        ("back-to-front", "turned"), ("ok", "correct"), ("correct", "correct"),
    ],
)  # fmt: skip
def test_which_way_round_may_be_said_in_several_ways(typed, value):
    assert one("bore 3", "rod.way", typed).content == {"value": value}


@pytest.mark.parametrize(
    "unit", ["ft-lb", "ft lb", "ft lbs", "lb-ft", "ftlb", "ft.lb", "lbf ft", "lbf*ft", "N.m", "Nm"]
)
def test_a_torque_is_typed_as_the_shop_says_it(unit):
    for words in (("45", *unit.split()), (f"45 {unit}",), (f"45{unit}",)):
        (change, after) = read_words(tern(), "bore 3", ["bolt.major.torque", *words, "rod.way", "turned"])
        assert change.path == "bolt.major.torque"
        assert change.content["value"].replace(" ", "") == f"45{unit}".replace(" ", "")
        assert after.content == {"value": "turned"}


def test_a_small_number_without_a_unit_is_one_of_inches():
    (problem,) = refusal("bore 3", "ring.top.gap", "go=0.018", "tight=19thou")
    assert "0.018in" in problem.right
    assert "thou" not in problem.right


def test_a_value_of_two_words_needs_no_quotes():
    assert one("bore 3", "shell.upper.tang", "in", "notch").content == {"value": "in_notch"}


def test_an_equals_sign_behind_the_path_is_the_value():
    assert one("bore 3", "deck=10thou").content == {"value": "10thou"}


def test_several_entries_in_one_go():
    changes = read_words(
        tern(), "bore 3", ["rod.way", "turned", "ring.top.gap", "go=18thou", "piston.number", "3"]
    )
    assert [(change.path, change.content) for change in changes] == [
        ("rod.way", {"value": "turned"}),
        ("ring.top.gap", {"go": "18thou"}),
        ("piston.number", {"value": 3}),
    ]


def test_none_takes_an_entry_out():
    assert one("bore 3", "rod.way", "none").content is None


def test_a_note_keeps_its_equals_signs_and_its_dots():
    content = one("bore 3", "rod.way", "turned", "note=look at rod.way = 2nd time, see p. 4").content
    assert content["note"] == "look at rod.way = 2nd time, see p. 4"


def test_stamps_are_put_on_and_those_of_the_entry_win():
    day = date(2026, 3, 14)
    assert one("bore 3", "rod.way", "turned", by="EH", on=day).content == {
        "value": "turned", "by": "EH", "on": day,
    }  # fmt: skip
    said = one("bore 3", "rod.way", "turned", "initials=MK", "date=2026-03-15", by="EH", on=day).content
    assert (said["by"], said["on"]) == ("MK", date(2026, 3, 15))


@pytest.mark.parametrize("side, key", [("inboard", "major"), ("outboard", "minor"), ("major", "major")])
def test_a_bolt_is_named_by_its_side_on_the_left_bank(side, key):
    # By the convention the major thrust side of a left bank in normal rotation is the valley side, inboard.
    assert one("bore 3", f"bolt.{side}.stand", "0.1mm").path == f"bolt.{key}.stand"


def test_the_sides_change_over_with_the_bank_and_with_the_rotation():
    assert one("bore 4", "bolt.inboard.stand", "0.1mm").path == "bolt.minor.stand"
    assert one("bore 3", "bolt.inboard.stand", "0.1mm", engine=backwards()).path == "bolt.minor.stand"


@pytest.mark.parametrize(
    "text, kind, number",
    [("bore 3", "bore", 3), (" Bore3 ", "bore", 3), ("main 5", "main", 5), ("crank", "crank", None)],
)
def test_places(text, kind, number):
    place = read_place(tern(), text)
    assert (place.kind, place.number) == (kind, number)


@pytest.mark.parametrize(
    "place, words, key, what, right",
    [
        ("bore 9", ["rod.way", "turned"], "bore 9", "there is no bore 9", "1, 2, 3"),
        ("main 6", ["way", "turned"], "main 6", "there is no main 6", "1, 2, 3, 4, 5"),
        ("bore", ["rod.way", "turned"], "bore", "which bore", "1, 2, 3"),
        ("boer 3", ["rod.way", "turned"], "boer 3", "is not a place", "did you mean bore?"),
        ("bore 3", ["ring.topp.gap", "go=18thou"], "bore 3", "ring.topp is not known", "ring.top.gap"),
        ("bore 3", ["ring.top", "go=18thou"], "bore 3", "is not an entry yet", "ring.top.gap"),
        ("bore 3", ["rod.way.side", "turned"], "bore 3", "goes no deeper", "correct or turned"),
        ("bore 3", ["go=18thou"], "bore 3", "before any entry", "ring.top.gap"),
        ("bore 3", [], "bore 3", "says nothing yet", "ring.top.gap"),
        ("bore 3", ["ring.top.gap"], "bore 3 ring.top.gap", "has no value", "go=18thou tight=19thou"),
        ("bore 3", ["ring.top.gap", "go=18"], "bore 3 ring.top.gap.go", "18 has no unit", "go=18thou"),
        ("bore 3", ["diameter.top", "depth=0.5in", "along=4.03", "across=4.03in"],
         "bore 3 diameter.top.along", "4.03 has no unit", "along=4.03in"),
        ("bore 3", ["bolt.major.torque", "45"], "bore 3 bolt.major.torque.value", "no unit", "lbf*ft"),
        ("bore 3", ["rod.number", "three"], "bore 3 rod.number.value", "not a whole number", "3"),
        ("bore 3", ["rod.way", "turned", "on=14.3.2026"], "bore 3 rod.way.on", "not a day", "year first"),
        ("bore 3", ["rod.way", "sideways"], "bore 3 rod.way.value", "sideways", "turned"),
        ("bore 3", ["rod.way", "none", "by=EH"], "bore 3 rod.way", "taken out", "rod.way none"),
        ("bore 3", ["ring.top.gap", "go=19thou", "tight=18thou"], "bore 3 ring.top.gap.tight", "not thicker",
         "thicker"),
        ("bore 3", ["ring.top.gap", "tight=18thou"], "bore 3 ring.top.gap", "needed", "go"),
        ("bore 3", ["ring.top.gap", "go=18lbf*ft"], "bore 3 ring.top.gap.go", "is a torque, not a length", "a length"),
        ("bore 3", ["rod.number", "12"], "bore 3 rod.number.value", "there is no bore 12", "1, 2, 3"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_named_with_its_key_and_what_would_be_right(place, words, key, what, right):
    (problem,) = refusal(place, *words)
    assert problem.key == key
    assert what in problem.what
    assert right in problem.right
    assert "\n" not in str(problem)


def test_everything_that_is_wrong_is_said_at_once():
    problems = refusal("bore 3", "ring.top.gap", "go=18", "tight=19", "rod.number", "three")
    assert [problem.key for problem in problems] == [
        "bore 3 ring.top.gap.go", "bore 3 ring.top.gap.tight", "bore 3 rod.number.value",
    ]  # fmt: skip
