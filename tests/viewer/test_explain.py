"""`explain` and `diagnose` as a person calls them: words, numbers, exit codes, no tracebacks; pictures to scale."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

from geometry.errors import InputError
from viewer.cli import cli

TERN = str(Path(__file__).parents[2] / "demo_engines" / "tern.toml")
KNOT = str(Path(__file__).parents[2] / "demo_engines" / "knot.toml")


def run(*arguments):
    return CliRunner().invoke(cli, list(arguments), catch_exceptions=True)


def refused(*arguments):
    """The message of a refusal, as ``main`` would print it."""
    done = run(*arguments)
    assert isinstance(done.exception, InputError), done.exception
    return str(done.exception)


def test_the_list_names_every_mistake_once():
    from geometry.mistakes.mistake import mistakes

    lines = run("explain", TERN, "--list").output.splitlines()
    assert [line.split()[0] for line in lines] == [m.key for m in mistakes()]
    assert "not in this engine: there is only one rod" in run("explain", KNOT, "--list").output


def test_a_study_in_words_and_in_both_units():
    done = run("explain", TERN, "rod_turned", "--bore", "3")
    assert done.exit_code == 0
    for words in ("Tern: rod turned round, bore 3", "Felt", "Look", "Put right", "digs in", " in"):
        assert words in done.output
    assert " mm" in run("explain", TERN, "rod turned", "--bore", "3", "--units", "mm").output


def test_json_holds_the_same_numbers():
    document = json.loads(run("explain", TERN, "rod_turned", "--bore", "3", "--json").output)
    assert document["mistake"] == "rod_turned"
    assert document["bore"] == 3
    chamfer = next(row for row in document["rows"] if row["what"] == "chamfer at the cheek")
    assert chamfer["wrong"] == pytest.approx(0.254)
    assert document["signature"]["side_play_mm"].keys() == {"3", "4"}


@pytest.mark.parametrize("arguments, said", [
    (("rod_turnd",), 'did you mean "rod_turned"'),
    (("rod_turned", "--bore", "11"), "there is no bore 11; one of 1, 2, 3"),
    (("rod_turned", "--main", "2"), "write --bore 2"),
    (("main_cap_turned", "--bore", "2"), "write --main 2"),
    (("main_cap_turned", "--main", "9"), "there is no main bearing 9"),
    (("rod_turned", "-o", "/nowhere/at/all.png"), "cannot be written"),
    (("rod_turned", "-o", "picture.doc"), "cannot be written as a picture"),
])  # fmt: skip
def test_what_cannot_be_explained_is_refused_in_one_line(arguments, said):
    text = refused("explain", TERN, *arguments)
    assert said in text
    assert len(text.splitlines()) == 1


def test_a_mistake_that_the_engine_cannot_have():
    assert "there is only one rod" in refused("explain", KNOT, "rods_exchanged")


def test_a_picture_of_good_size(tmp_path):
    target = tmp_path / "rod.png"
    done = run("explain", TERN, "rod_turned", "--bore", "3", "-o", str(target))
    assert done.exit_code == 0, done.exception
    with Image.open(target) as picture:
        assert picture.size == (1800, 1140)
        assert len(picture.convert("L").getcolors(256)) > 20


def test_diagnose_in_words_and_json():
    knot = run("diagnose", KNOT, "--felt", "bound; after bore 1")
    assert knot.exit_code == 0, knot.exception
    assert "1." in knot.output
    assert "Look next" in knot.output
    assert "Something not in the catalogue" in knot.output
    document = json.loads(run("diagnose", KNOT, "--bound", "--after-bore", "1", "--json").output)
    assert document["causes"][0]["chance"] > 0.1
    assert document["looks"][0]["bits_per_minute"] >= document["looks"][-1]["bits_per_minute"]
    assert sum(c["chance"] for c in document["causes"]) <= 1.0


def test_diagnose_takes_torque_readings():
    readings = [f"{angle}:{45 if angle in (0, 345) else 12} N*m" for angle in range(0, 360, 15)]
    arguments = [word for reading in readings for word in ("--torque", reading)]
    document = json.loads(run("diagnose", KNOT, *arguments, "--head", "on", "--json").output)
    keys = {part["mistake"] for cause in document["causes"][:2] for part in cause["parts"]}
    assert keys == {"wrong_compression_height", "wrong_rod_length"}


@pytest.mark.parametrize("arguments, said", [
    (("--felt", "tigt at 75"), 'did you mean "tight at 75"'),
    (("--felt", "no side play in 7"), "there is no bore 7"),
    ((), "nothing was said"),
    (("--bound", "--after-main", "7"), "there is no main bearing 7"),
    (("--torque", "10:12 N*m", "--torque", "20:9 lbf*ft"), "two units"),
])  # fmt: skip
def test_what_cannot_be_diagnosed_is_refused(arguments, said):
    assert said in refused("diagnose", KNOT, *arguments)


def test_the_clauses_can_be_listed():
    assert "no side play in 3" in run("diagnose", KNOT, "--words").output
