"""`check --want --by` as a builder meets it."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from geometry.checks.section import Figure, Section
from geometry.doubts.answers import Doubtful, Leaning
from geometry.doubts.settling import Sized, Solved
from geometry.doubts.wanted import Varied, Want
from geometry.spec.described import load_described
from viewer.cli import cli
from viewer.reports.beside import Listed
from viewer.reports.wanted import print_solved

KNOT = str(Path(__file__).parents[2] / "demo_engines" / "knot.toml")
IN = 25.4


def run(*words):
    return CliRunner().invoke(cli, ["check", KNOT, *words], standalone_mode=False)


def test_a_gasket_that_leaves_too_little_over_the_valves_is_told_with_what_turns():
    """Knot's valves keep 0.0817 in over 0.080: a gasket 5 thou thinner takes that from them."""
    found = CliRunner().invoke(
        cli, ["check", KNOT, "--want", 'to head="0.055 in"', "--by", "gasket.thickness", "--json"]
    )
    assert found.exit_code == 1
    told = json.loads(found.stdout)
    # crown 0.015 in below the deck
    assert told["by"]["solution"] == pytest.approx(0.040 * IN)
    assert told["want"]["now"] == pytest.approx(0.060 * IN)
    turned = {row["name"]: row["verdict"] for row in told["turned"]}
    assert turned == {"piston_crown : intake_valve": "was within, is outside"}


# words

WANT = Want("deck", None, ">=", 1.0, "length", lambda _: 1.0, False)
BY = Varied("block.deck_height", ("block", "deck_height"), "length", 200.0, (0.0, 1000.0))
SIZES = (Sized(200.5, 0.99), Sized(200.51, 1.004))
SOLVED = Solved(200.0, 0.5, 200.506, SIZES, SIZES[1], 200.506, 200.506, None)


def told_of(capsys, solved=SOLVED, want=WANT, second=1.5):
    first, after = (
        Listed("a list", load_described(KNOT), [Section("fits", "Fits", (), (), figures=(figure,))])
        for figure in (Figure("gap", 1, value, 1.0, 2.0, "length", 0, "value_mm") for value in (1.5, second))
    )
    print_solved("Made up", want, BY, solved, (first, after), "mm")
    return capsys.readouterr().out


def test_the_solution_and_the_shops_sizes_are_told(capsys):
    out = told_of(capsys)
    assert "Wanted: deck at least 1.000 mm; it is 0.500 mm." in out
    assert "block.deck_height = 200.506 mm (now 200.000 mm)" in out
    assert "In steps of 0.010 mm: 200.500 mm gives 0.990 mm, 200.510 mm gives 1.004 mm; " in out
    assert "the nearest that keeps it: 200.510 mm." in out
    assert 'With block.deck_height="200.510 mm" no verdict turns.' in out
    assert "doubt" not in out


def test_what_turns_with_it_is_a_row(capsys):
    assert "was within, is outside" in told_of(capsys, second=0.5)


def test_no_size_of_the_shop_that_keeps_it_is_said(capsys):
    assert "none of them keeps it" in told_of(capsys, replace(SOLVED, chosen=Sized(200.506, 1.0)))


DOUBT = Doubtful(
    "", "deck", None, "length", 1.0, 0.9, 1.1, None, None, None,
    tuple(Leaning(key, 1.0, -0.1, 0.1, assumed) for key, assumed in (("rod.length", True), ("crank.stroke", False))),
)  # fmt: skip


def test_the_interval_of_doubt_is_told_with_what_it_rests_on_and_how_it_was_found(capsys):
    out = " ".join(told_of(capsys, replace(SOLVED, lowest=200.4, highest=200.6, told=DOUBT)).split())
    assert "Over the doubt about the other values 200.400 mm to 200.600 mm (solved again at both" in out
    assert "It rests on 2 values in doubt, 1 of them assumed: rod.length, crank.stroke." in out


def test_an_end_that_no_size_reaches_is_open(capsys):
    out = " ".join(told_of(capsys, replace(SOLVED, lowest=None, highest=200.6, told=DOUBT)).split())
    assert "Over the doubt about the other values up to 200.600 mm" in out
    assert "At a corner of the doubt about the other values no size gives it." in out


@pytest.mark.parametrize(
    "words, said",
    [
        (["--want", "compression=10"], "--want and --by belong together"),
        (["--by", "gasket.thickness"], "--want and --by belong together"),
        (["--want", "deck=1 mm", "--by", "gasket.thickness"], "deck does not change with gasket.thickness"),
        # without a gasket: 243.33 cc swept over 33 cc of chamber and 1.46 cc of deck
        (["--want", "compression=40", "--by", "gasket.thickness"], "it goes from 8.061 at"),
        (["--want", "deck=1 mm", "--by", "gasket.thickness", "--sweep", "a=1..2:3"], "do not go together"),
        (["--want", "deck=1 mm", "--by", "gasket.thickness", "--against", KNOT], "do not go together"),
    ],
)
def test_what_cannot_be_solved_is_one_clear_line(words, said):
    found = run(*words)
    assert said in str(found.exception)
    assert len(str(found.exception).splitlines()) == 1
    assert found.stdout == ""


def test_what_waits_for_keys_cannot_be_wanted_yet(tmp_path):
    file = tmp_path / "mine.toml"
    file.write_text(
        '[engine]\nname = "Mine"\nlayout = "inline"\nnumbering = { line = [1, 2] }\n[crank]\nstroke = "80 mm"\n'
        '[block.bore]\ndiameter = "80 mm"\n',
        encoding="utf-8",
    )
    words = ["check", str(file), "--want", "compression=10", "--by", "gasket.thickness"]
    found = CliRunner().invoke(cli, words, standalone_mode=False)
    assert "waits for what is not in the file; write rod.length, " in str(found.exception)
