"""Two lists side by side: figures made up by hand, so that what must come first is plain."""

from dataclasses import replace
from pathlib import Path

import pytest

from geometry.checks.section import Figure, Section
from geometry.doubts.answers import Doubtful
from geometry.doubts.beside import beside, differing
from geometry.spec.described import load_described

DEMOS = Path(__file__).parents[3] / "demo_engines"


def figure(name, value, least=None, most=None, bore=None, **rest):
    return Figure(name, bore, value, least, most, "length", 0, "value_mm", **rest)


def section(*figures, key="fits"):
    return Section(key, "Made up", (), (), figures=figures)


def turns(first, second, *doubted):
    return [(c.name, c.bores, c.turn) for c in beside([first], [second], *doubted)]


# the order in which changes are told


def test_what_turns_for_the_worse_comes_first_and_the_worst_of_it_at_the_head():
    first = section(
        figure("moves", 2.0, 1.0), figure("cured", 0.5, 1.0), figure("stays", 0.5, 1.0),
        figure("a little out", 1.5, 1.0), figure("far out", 1.5, 1.0), figure("unlimited", 3.0),
    )  # fmt: skip
    second = section(
        figure("moves", 1.9, 1.0), figure("cured", 1.5, 1.0), figure("stays", 0.4, 1.0),
        figure("a little out", 0.9, 1.0), figure("far out", 0.2, 1.0), figure("unlimited", 4.0),
    )  # fmt: skip
    assert turns(first, second) == [
        ("far out", (), "worse"), ("a little out", (), "worse"), ("stays", (), "stays outside"),
        ("cured", (), "better"), ("moves", (), "moves"), ("unlimited", (), "moves"),
    ]  # fmt: skip


def test_a_graver_side_of_the_limits_is_worse_too():
    """Too wide deserves a look, too tight stops the job: from the one to the other is a turn for the worse."""
    gap = {"least": 1.0, "most": 2.0, "above": "look"}
    wide, tight = section(figure("gap", 3.0, **gap)), section(figure("gap", 0.5, **gap))
    assert turns(wide, tight) == [("gap", (), "worse")]
    assert turns(tight, wide) == [("gap", (), "better")]


def test_shares_of_the_limit_decide_what_is_worst():
    """0.5 below a limit of 10 is less than 0.4 below a limit of 1."""
    first = section(figure("wide", 10.0, 10.0), figure("narrow", 1.0, 1.0))
    second = section(figure("wide", 9.5, 10.0), figure("narrow", 0.6, 1.0))
    assert [name for name, _, _ in turns(first, second)] == ["narrow", "wide"]


def test_the_limit_itself_keeps_it():
    (change,) = beside([section(figure("gap", 2.0, 1.0, 2.0))], [section(figure("gap", 1.0, 1.0, 2.0))])
    assert change.turn == "moves"
    assert (change.first.state, change.second.state) == ("within", "within")


# bores, and rows of one list alone


def test_bores_that_change_alike_stand_together():
    first = section(*(figure("gap", 2.0, 1.0, bore=bore) for bore in (1, 2, 3, 4)))
    values = {1: 0.5, 2: 1.5, 3: 0.5, 4: 2.0}
    second = section(*(figure("gap", value, 1.0, bore=bore) for bore, value in values.items()))
    found = beside([first], [second])
    assert [(c.bores, c.turn) for c in found] == [((1, 3), "worse"), ((2,), "moves"), ((4,), "moves")]
    assert [c.same for c in found] == [False, False, True]


def test_one_name_in_two_sections_is_two_answers():
    first = [section(figure("gap", 2.0), key="rings"), section(figure("gap", 3.0), key="fits")]
    assert {(c.section, c.first.value) for c in beside(first, first)} == {("rings", 2.0), ("fits", 3.0)}


def test_what_only_one_list_has_is_told():
    (gone,) = beside([section(figure("gap", 0.5, 1.0))], [section()])
    (come,) = beside([section()], [section(figure("gap", 0.5, 1.0))])
    assert (gone.second, gone.turn) == (None, "better")
    assert (come.first, come.turn) == (None, "worse")
    assert not gone.same
    assert not come.same


# certified distances


def cleared(*values, within=0.001):
    """A section of distances between bolts of bore 1 and places of the block; the limit is 1 mm."""
    names = [f"bolt {number} : wall" for number in range(len(values))]
    rows = tuple({"a": "rod_bolt", "b": "bore_wall"} for _ in values)
    figures = tuple(
        Figure(name, 1, value, 1.0, None, "length", row, "min_mm", within=within)
        for row, (name, value) in enumerate(zip(names, values, strict=True))
    )
    return Section("clearances", "Made up", (), rows, figures=figures)


def test_of_several_places_of_a_bore_the_nearest_speaks():
    (change,) = beside([cleared(3.0, 2.0)], [cleared(0.5, 2.5)])
    assert (change.name, change.bores) == ("rod_bolt : bore_wall", (1,))
    assert (change.first.value, change.second.value, change.turn) == (2.0, 0.5, "worse")


def test_a_distance_is_the_same_as_far_as_it_is_certified():
    one = [cleared(2.0, within=0.002)]
    assert beside(one, [cleared(2.003, within=0.002)])[0].same
    assert not beside(one, [cleared(2.005, within=0.002)])[0].same


def test_over_doubt_the_nearest_of_several_places_is_whichever_it_may_be():
    """Bolt 0 may come to 1.5 .. 3, bolt 1 to 0.8 .. 4: the nearer of the two lies between 0.8 and 3."""
    told = [
        Doubtful(
            "clearances", f"bolt {number} : wall", 1, "length", 2.0, low, high, 1.0, low - 1.0, high - 1.0
        )
        for number, (low, high) in enumerate([(1.5, 3.0), (0.8, 4.0)])
    ]
    (change,) = beside([cleared(2.0, 2.5)], [cleared(2.0, 2.5)], (told, told))
    assert (change.second.lowest, change.second.highest, change.second.settled) == (0.8, 3.0, "open")


def test_a_limit_that_is_only_a_note_decides_nothing():
    squish = {"least": 1.0, "most": 2.0, "above": "note"}
    (change,) = beside(
        [section(figure("to head", 1.5, **squish))], [section(figure("to head", 2.5, **squish))]
    )
    assert (change.turn, change.second.state, change.second.most) == ("moves", "within", None)


# doubt


def doubtful(name, low, high):
    return Doubtful("fits", name, None, "length", 1.5, 1.0 + low, 1.0 + high, 0.5, low, high)


def test_an_open_verdict_is_worse_than_one_within_and_better_than_one_outside():
    first, second = section(figure("gap", 1.5, 1.0)), section(figure("gap", 1.5, 1.0))
    sure, open_, out = (doubtful("gap", *ends) for ends in ((0.1, 0.9), (-0.1, 0.9), (-0.9, -0.1)))
    assert turns(first, second, ([sure], [open_])) == [("gap", (), "worse")]
    assert turns(first, second, ([open_], [out])) == [("gap", (), "worse")]
    assert turns(first, second, ([open_], [sure])) == [("gap", (), "better")]
    (same,) = beside([first], [second], ([open_], [open_]))
    assert same.same
    (wider,) = beside([first], [second], ([open_], [doubtful("gap", -0.1, 1.9)]))
    assert not wider.same


# files


@pytest.fixture(scope="module")
def tern():
    return load_described(DEMOS / "tern.toml")


def test_what_differs_between_the_demo_engines_is_what_their_files_say(tern):
    """By the remarks in the file of the second: ``# Tern: 3.350 in`` and the like."""
    found = differing(tern, load_described(DEMOS / "tern_long_stroke.toml"))
    told = {pair.key: (pair.first.value / 25.4, pair.second.value / 25.4) for pair in found}
    assert told == {
        "crank.stroke": pytest.approx((3.350, 3.750)),
        "rod.length": pytest.approx((5.850, 5.700)),
        "piston.compression_height": pytest.approx((1.450, 1.400)),
    }


def test_the_same_length_in_other_units_is_no_difference(tern):
    assert not differing(tern, load_described(DEMOS / "tern.toml", {"crank.stroke": "85.09 mm"}))


def test_a_list_counts_from_one_and_a_word_is_told_as_it_stands(tern):
    changes = {"piston.grooves[2].root": "3.63 in", "piston.front_mark": "notch"}
    found = {pair.key: pair for pair in differing(tern, load_described(DEMOS / "tern.toml", changes))}
    assert set(found) == set(changes)
    assert (found["piston.front_mark"].first.value, found["piston.front_mark"].second.value) == (
        "arrow",
        "notch",
    )


def test_a_value_that_is_only_better_known_differs(tern):
    values = tuple(
        replace(v, lowest=v.lowest - 1.0, origin="about") if v.key == "rod.length" else v for v in tern.values
    )
    (pair,) = differing(tern, replace(tern, values=values))
    assert (pair.key, pair.first.origin, pair.second.origin) == ("rod.length", "measured", "about")
