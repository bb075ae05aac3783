"""Parts files: what is read, in which units, and what is refused at its line."""

import pytest

from geometry.errors import InputError
from geometry.matching.columns import GOALS
from geometry.matching.sheet import read_sheet, sheet_of
from geometry.spec.engine import Engine
from tests.geometry.fleet import raw, spec
from tests.geometry.matching.shelves import INCH, demo


def read(text, engine=None):
    return sheet_of(text, "parts.csv", engine or spec("tern"), "in")


def test_tables_sizes_units_tolerances_and_comments():
    sheet = read(
        "# a comment\n\nPiston, diameter (mm), height, mass g\n"
        "A, 102.286, 1.4500 in, 512 # the first\n"
        "B, 4.0270 in +- 0.1 thou, 1.4500 in, 1.13 lb\n"
        "C, 102.28 +- 0.01, 36.83 mm, 512\n"
        "D, 102.28 +0.02 -0.01 mm, 36.83 mm, 512\n" + "".join(f"{k}, 102.28, 1.45 in, 512\n" for k in "EFGH")
    )  # fmt: skip
    a, b, c, d = sheet.parts["piston"][:4]
    assert a.sizes["diameter"].value == 102.286
    assert a.sizes["height"].value == pytest.approx(1.45 * INCH)
    assert a.sizes["mass"].value == pytest.approx(0.512)
    assert a.line == 4
    assert b.sizes["diameter"].value == pytest.approx(4.0270 * INCH)
    assert (b.sizes["diameter"].minus, b.sizes["diameter"].plus) == (pytest.approx(0.00254),) * 2
    assert b.sizes["mass"].value == pytest.approx(1.13 * 0.45359237)
    assert (c.sizes["diameter"].minus, c.sizes["diameter"].plus) == (0.01, 0.01)
    assert (d.sizes["diameter"].minus, d.sizes["diameter"].plus) == (0.01, 0.02)


def test_a_tolerance_in_thou_beside_a_bare_size_of_an_inch_column():
    sheet = read("shells, wall in, pairs\nred, 0.0620 +- 0.05 thou, 8\n")
    (red,) = sheet.parts["shells"]
    assert (red.sizes["wall"].value, red.sizes["wall"].plus) == (
        pytest.approx(1.5748),
        pytest.approx(0.00127),
    )
    assert red.count == 8


def test_limits_and_goals():
    sheet = read(
        demo(("deck, 8", "deck, 8, -, me"))
        + "goal, weight, one\ndecks level, 4, 0.5 thou\npin in piston, 0,\n"
    )
    assert (sheet.limits["deck"].least_mm, sheet.limits["deck"].most_mm) == (pytest.approx(0.2032), None)
    assert sheet.limits["deck"].source.text == "me"
    assert sheet.goals["decks level"].weight == 4.0
    assert sheet.goals["decks level"].one == pytest.approx(0.0127)
    assert sheet.goals["pin in piston"].weight == 0.0
    assert sheet.goals["weights even"] == GOALS["weights even"]


PISTONS, LIMITS = "piston, diameter", "limit, least"
LIMIT_HEAD = "limit, least thou, most thou, source"


def goal(row):
    """A table of goals before that of limits."""
    return ((LIMITS, f"goal, weight, one\n{row}\n{LIMIT_HEAD}"),)


WRONG = [
    ((("A, 4.0273", "A, 4.0273, 1.45"),), "A", "cells stand under"),
    ((("A, 4.0273", "A, 4.0273, , 0.94045, 511.8"),), "A", "an empty cell"),
    ((("A, 4.0273", "A, 4.0273 mm, 1.45, 0.94045, 511.8"),), "A", "far from the engine file's 4.0270 in"),
    ((("A, 4.0273", "A, about 4.0273 in, 1.45, 0.94045, 511.8"),), "A", "is not a size"),
    ((("A, 4.0273", "A, wide, 1.45, 0.94045, 511.8"),), "A", "does not begin with a number"),
    ((("A, 4.0273", "A, -4.0273, 1.45, 0.94045, 511.8"),), "A", "not above zero"),
    ((("A, 4.0273", "B, 4.0273, 1.45, 0.94045, 511.8"),), "B", "stands in line"),
    ((("A, 4.0273", None),), "B, 4.0268", "7 of them for 8 bores"),
    (((PISTONS, "piston, diameter in, hight in, pin bore in, mass g"),), PISTONS, "did you mean height?"),
    ((("piston, diameter", "piston, diameter in, height in, height in, mass g"),), "piston, diameter", "stands twice"),
    ((("rod, length", "rods, length in, housing in, small mass g, big mass g"),), "rods", "cells stand under"),
    ((("red, 0.06180", "red, 0.06180, four"),), "red", "is not a number of pairs"),
    ((("shells, wall", "shells, pairs"),), "shells", "the column wall is missing"),
    ((("1, 4.0301", "9, 4.0301, 8.985, 2.05"),), "9, 4.0301", "this engine has no bore 9"),
    ((("2, 4.0299", None),), "1, 4.0301", "bore 2 is missing"),
    ((("deck, 8, 12", "deck, 12, 8, me"),), "deck, 12", "the most is not above the least"),
    ((("deck, 8, 12", "decks, 8, 12, me"),), "decks", "did you mean deck?"),
    ((("deck, 8, 12", "deck, -, -, me"),), "deck, -", "neither least nor most"),
    ((("deck, 8, 12", "oil clearance, 8, 12, me"),), "oil clearance, 8", "stands twice"),
    (goal("decks level, -1,"), "decks level", "is not a weight"),
    (goal("oil clearance, 1, 2 thou"), "oil clearance, 1", "the limits say"),
    (goal("level, 1, 2 thou"), "level, 1", 'there is no goal "level"'),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "start", "what"), WRONG)
def test_what_is_wrong_is_refused_at_its_line(changes, start, what):
    text = demo(*changes)
    with pytest.raises(InputError) as refused:
        read(text)
    found = [problem for problem in refused.value.problems if what in f"{problem.what}; {problem.right}"]
    assert found, [str(problem) for problem in refused.value.problems]
    lines = [k for k, line in enumerate(text.split("\n"), 1) if line.startswith(start)]
    assert found[0].line in lines
    assert found[0].right
    assert "\n" not in str(found[0])


def test_units_may_stand_in_the_heading_or_in_the_cell_but_must_stand():
    with pytest.raises(InputError, match="has no unit"):
        read("shells, wall, pairs\nred, 0.0620, 8\n")


@pytest.mark.parametrize(
    ("text", "what"),
    [("", "no parts"), ("bore, diameter in\n", "no parts"), ("A, 4\n", "before any heading"),
     ("piston\n", "is missing"), ("piston, diameter in\n, 4.027\n", "no name"), ("goal, weight\n", "no parts")],
)  # fmt: skip
def test_files_that_say_nothing(text, what):
    with pytest.raises(InputError, match=what):
        read(text)


@pytest.mark.parametrize(
    ("content", "what"),
    [(b"rod, length in\nr\xff1, 5.85\n", "is not UTF-8 text"), (b"rod\0, length in\n", "is a binary file")],
)
def test_a_file_that_is_no_text_is_told_to_be_csv(tmp_path, content, what):
    file = tmp_path / "parts.csv"
    file.write_bytes(content)
    with pytest.raises(InputError, match=what) as refused:
        read_sheet(file, spec("tern"), "in")
    (problem,) = refused.value.problems
    assert problem.right.endswith("plain UTF-8 text in CSV" if "UTF-8" in what else "plain text in CSV")


def test_a_file_of_another_kind_is_refused_once():
    with pytest.raises(InputError) as refused:
        read('[engine]\nname = "Knot"\nlayout = "inline"\n')
    assert [problem.line for problem in refused.value.problems if "before any heading" in problem.what] == [1]
    assert len(refused.value.problems) == 1


def test_what_is_longer_than_anybody_would_write():
    for text, what in (("x" * 200_000, "too long"), (f"rod, length in\n{'r' * 41}, 5.85\n", "a name of 41")):
        with pytest.raises(InputError, match=what):
            read(text)


def test_every_problem_is_told_at_once():
    with pytest.raises(InputError) as refused:
        read(demo(("A, 4.0273", "A, 4.0273"), ("red, 0.06180", "red, x, 4"), ("deck, 8", "deck, 8, 7, me")))
    assert len(refused.value.problems) == 3


def test_a_ring_that_the_pistons_do_not_have_is_refused():
    rings = {key: value for key, value in raw("tern")["rings"].items() if key != "second"}
    grooves = [groove for groove in raw("tern")["piston"]["grooves"] if groove["ring"] != "second"]
    piston = {**raw("tern")["piston"], "grooves": grooves}
    engine = Engine.model_validate({**raw("tern"), "rings": rings, "piston": piston})
    rows = "".join(f"{k}, 18\n" for k in range(8))
    with pytest.raises(InputError, match="no such ring"):
        read("second ring, gap thou\n" + rows, engine)


def test_no_more_of_a_kind_than_one_engine_has_use_for():
    rows = "".join(f"p{k}, 4.0270\n" for k in range(70))
    with pytest.raises(InputError, match="more than 64 of a kind"):
        read("piston, diameter in\n" + rows)
