"""`check --against` and `--against-set` as a builder meets them."""

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from geometry.checks.section import Figure, Section
from geometry.spec.described import load_described
from viewer.cli import cli
from viewer.reports.beside import Listed, answer_words, as_answer, print_beside

DEMOS = Path(__file__).parents[2] / "demo_engines"
KNOT, TERN, LONG = (str(DEMOS / f"{name}.toml") for name in ("knot", "tern", "tern_long_stroke"))


@pytest.fixture(scope="module")
def longer():
    """Knot beside itself with 0.4 in more stroke, in JSON."""
    return CliRunner().invoke(cli, ["check", KNOT, "--against-set", "crank.stroke=2.9 in", "--json"])


def test_the_second_list_decides_the_exit_code_and_its_worst_row_comes_first(longer):
    assert longer.exit_code == 1  # the first list, Knot alone, leaves with 0
    told = json.loads(longer.stdout)
    assert told["exit_code_of"] == "second"
    (changed,) = told["differing"]
    assert (changed["key"], changed["second"]["value"]) == ("crank.stroke", pytest.approx(2.9 * 25.4))
    head = next(row for row in told["answers"] if row["name"] == "piston_crown : head_face")
    assert told["answers"][0]["turn"] == head["turn"] == "worse"
    assert head["verdict"] == "was within, is outside"
    # half of 0.4 in more stroke brings the crown 0.2 in nearer the head
    assert head["second"]["value"] - head["first"]["value"] == pytest.approx(-0.2 * 25.4, abs=0.02)


# words


def listed(*figures, name="a list"):
    section = Section("fits", "Fits", (), (), figures=figures)
    return Listed(name, load_described(KNOT), [section])


def gap(value, bore=1, name="gap", **rest):
    return Figure(name, bore, value, 1.0, 2.0, "length", 0, "value_mm", "somebody said so", **rest)


def test_a_turn_is_told_in_words_with_limit_and_source(capsys):
    print_beside(listed(gap(1.5), gap(1.5, name="other")), listed(gap(0.5), gap(1.5, name="other")), "mm")
    out = capsys.readouterr().out
    (row,) = [line for line in out.splitlines() if line.startswith("gap")]
    assert "1.500 mm" in row
    assert "0.500 mm" in row
    assert "at least 1.000 mm, at most 2.000 mm [1]" in row
    assert "was within, is outside" in row
    assert "[1] somebody said so" in out
    assert "1 answer stays as it is." in out
    assert "exit code is that of the second list" in out


def test_what_deserves_no_more_than_a_look_says_so(capsys):
    print_beside(listed(gap(1.5, above="look")), listed(gap(2.5, above="look")), "mm")
    assert "was within, is outside, worth a look" in capsys.readouterr().out


def test_a_change_below_the_last_digit_shown_is_no_row(capsys):
    print_beside(listed(gap(1.5)), listed(gap(1.5001)), "mm")
    out = capsys.readouterr().out
    assert "1 answer stays as it is." in out
    assert "1.500 mm" not in out


def test_a_change_below_the_last_digit_that_turns_the_verdict_is_a_row(capsys):
    print_beside(listed(gap(1.0)), listed(gap(0.9999)), "mm")
    assert "was within, is outside" in capsys.readouterr().out


def test_rows_without_end_are_counted_unless_all_are_asked_for(capsys):
    many = [gap(1.5, name=f"gap {number}") for number in range(40)]
    moved = [gap(1.6, name=f"gap {number}") for number in range(40)]
    print_beside(listed(*many), listed(*moved), "mm")
    assert "16 more change and keep their verdict: --all prints them." in capsys.readouterr().out
    print_beside(listed(*many), listed(*moved), "mm", everything=True)
    assert capsys.readouterr().out.count("1.600 mm") == 40


def test_what_one_list_does_not_have_is_null_for_a_program():
    told = as_answer(listed(gap(1.5)), listed())
    (row,) = told["answers"]
    assert row["second"] is None
    assert row["first"]["state"] == "within"


def test_places_that_do_not_come_near_are_within_without_a_word_more(capsys):
    pair = "rod_bolt : bore_wall"
    print_beside(listed(gap(1.5, name=pair)), listed(), "mm")
    (row,) = [line for line in capsys.readouterr().out.splitlines() if line.startswith("rod bolt")]
    assert row.split()[-1] == "within"
    assert "not near" in row
    print_beside(listed(), listed(gap(0.5, name=pair)), "mm")
    assert "was not near, is outside" in capsys.readouterr().out


def test_a_pair_of_places_is_named_as_a_builder_does():
    assert answer_words("rod_bolt : bore_wall") == "rod bolt to bore wall"
    assert answer_words("gap of top") == "gap of top"


# doubt


def test_a_value_that_is_only_less_well_known_differs_and_opens_a_verdict():
    """Knot's intake valve keeps 0.0817 in over 0.080: the doubt about the gasket reaches beyond that."""
    found = CliRunner().invoke(cli, ["check", KNOT, "--against-set", "gasket.thickness=about 0.045 in"])
    assert found.exit_code == 1
    lines = found.stdout.splitlines()
    assert "assumed" not in lines[0]
    assert re.search(r"; 1 of \d+ values is assumed$", lines[1])
    (differs,) = [line for line in lines if line.startswith("gasket.thickness")]
    assert "0.0450 in  about 0.0450 in (" in differs
    text = " ".join(found.stdout.split())
    assert "The second list has verdicts that are open within the doubt." in text
    (row,) = [line for line in lines if line.startswith("piston to intake valve")]
    assert "open" in row


def test_what_waits_for_keys_is_left_out_and_said(tmp_path):
    """Six values are an engine; how far its pistons stay from the head hangs on a gasket that nobody told of."""
    file = tmp_path / "mine.toml"
    file.write_text(
        '[engine]\nname = "Mine"\nlayout = "inline"\nnumbering = { line = [1, 2, 3, 4] }\n[crank]\nstroke = "80 mm"\n'
        '[rod]\nlength = "130 mm"\n[piston]\ncompression_height = "30 mm"\n[block]\ndeck_height = "200 mm"\n'
        '[block.bore]\ndiameter = "80 mm"\n',
        encoding="utf-8",
    )
    found = CliRunner().invoke(cli, ["check", str(file), "--against-set", "rod.length=135 mm", "--json"])
    told = json.loads(found.stdout)
    names = {row["name"] for row in told["answers"]}
    assert "deck" in names
    assert "to head" not in names
    assert told["assumed"]["second"].endswith("are not in the file")


# refusals


@pytest.mark.parametrize(
    "words, said",
    [
        (
            ["--against-set", "gasket.thicknes=1 mm"],
            "--against-set: gasket.thicknes: thicknes is not a known key",
        ),
        (["--against-set", "gasket.thickness"], "--against-set: gasket.thickness: is not KEY=VALUE"),
        (["--set", "rod.lengt=1 in", "--against-set", "gasket.thickness=1 mm"], "--set: rod.lengt: "),
        (["--against", "none.toml"], "none.toml: there is no such file"),
        (["--against", KNOT, "--limits"], "--against and --limits do not go together"),
        (["--against-set", "a.b=1", "--relief"], "--against-set and --relief do not go together"),
        (["--against", KNOT, "--built", "x.toml"], "a record belongs to one engine"),
    ],
)
def test_what_cannot_be_set_beside_is_one_clear_line(words, said):
    found = CliRunner().invoke(cli, ["check", KNOT, *words], standalone_mode=False)
    assert said in str(found.exception)
    assert found.stdout == ""
