"""`fullturn match` as a person calls it: what it prints, what it writes, and how it ends."""

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from geometry.errors import InputError
from geometry.record.load import load_record
from geometry.record.place import BenchPlace
from geometry.spec.load import load_engine
from tests.geometry.matching.shelves import demo
from viewer.commands.match import command as match

DEMOS = Path(__file__).parents[2] / "demo_engines"
SMALL = "piston to wall, on the diameter at the skirt"


@pytest.fixture
def engine(tmp_path):
    return Path(shutil.copy(DEMOS / "tern.toml", tmp_path / "tern.toml"))


@pytest.fixture
def parts(tmp_path):
    def write(*changes):
        path = tmp_path / "parts.csv"
        path.write_text(demo(*changes), encoding="utf-8")
        return path

    return write


def run(*words):
    done = CliRunner().invoke(match, [str(word) for word in words])
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done


def test_the_demo_in_words(engine, parts):
    done = run(engine, parts())
    assert done.exit_code == 0
    lines = done.output.split("\n")
    assert lines[0] == "Tern: parts.csv"
    for words in (
        "What goes where",
        "Clearances",
        "All within limits.",
        "proved the least there is",
        "sheet in the box",
    ):
        assert words in done.output
    row = next(line.split() for line in lines if line.startswith("at least"))
    assert row[2:5] == ["0.00250", "0.00150", "0.00800"]
    assert "As listed, first part in first bore and so on:" in done.output
    assert "in bore" in done.output
    assert "never" not in done.output.split("Simplified")[0]


def test_the_same_numbers_as_json_and_in_millimetres(engine, parts):
    answer = json.loads(run(engine, parts(), "--json").output)
    assert answer["engine"] == "Tern"
    assert (answer["possible"], answer["within"]) == (True, True)
    assert [bore["bore"] for bore in answer["bores"]] == list(range(1, 9))
    fit = answer["bores"][0]["fits"][0]
    assert fit["least_mm"] == pytest.approx(0.0635)
    assert fit["verdict"] == "within"
    shown = run(engine, parts(), "--units", "mm").output
    row = next(line for line in shown.split("\n") if line.startswith("1 ") and "within" in line)
    assert f"{fit['value_mm']:.4f}" in row
    assert answer["as_listed_outside"]


def test_one_that_is_not_possible_says_who_is_to_blame_and_what_would_do(engine, parts):
    sheet = parts(("H, 4.0270", "H, 4.0255, 1.4500, 0.94040, 513.0"))
    done = run(engine, sheet)
    assert done.exit_code == 1
    assert f"To blame: piston H fits no bore: {SMALL}." in done.output
    assert "-> piston H, diameter 4.02550 in: 4.02650 to 4.02750 in would fit bore" in done.output
    done = run(engine, sheet, "--json")
    answer = json.loads(done.output)
    assert done.exit_code == 1
    assert (answer["possible"], answer["cause"], answer["filled"]) == (False, "alone", 7)
    assert answer["blame"] == [{"kind": "piston", "name": "H"}]


def test_what_the_doubt_leaves_open_ends_with_one(engine, parts):
    sheet = parts(("F, 4.0270", "F, 4.0270 +- 0.0008, 1.4495, 0.94040, 512.7"))
    done = run(engine, sheet)
    assert done.exit_code == 1
    assert "1 open: within limits as measured" in done.output
    assert "All within" not in done.output
    assert "to wall open" in done.output


def test_the_engine_fragment_and_the_record_are_written_on_request_and_only_then(engine, parts, tmp_path):
    before = set(tmp_path.iterdir())
    run(engine, sheet := parts())
    assert set(tmp_path.iterdir()) == before | {sheet}
    done = run(
        engine, sheet, "-o", tmp_path / "odd.toml", "--record", tmp_path / "tern.record.toml", "--by", "EH"
    )
    assert "Saved in tern.record.toml." in done.output
    whole = tmp_path / "whole.toml"
    whole.write_text(
        engine.read_text(encoding="utf-8") + (tmp_path / "odd.toml").read_text(encoding="utf-8"), "utf-8"
    )
    assert set(load_engine(whole).bore) == {str(number) for number in range(1, 9)}
    record = load_record(tmp_path / "tern.record.toml", load_engine(engine))
    assert record.entry(BenchPlace("bore", 8), "parts").by == "EH"


def test_nothing_is_written_where_nothing_works(engine, parts, tmp_path):
    sheet = parts(("H, 4.0270", "H, 4.0255, 1.4500, 0.94040, 513.0"))
    before = set(tmp_path.iterdir())
    run(engine, sheet, "-o", tmp_path / "odd.toml", "--record", tmp_path / "tern.record.toml")
    assert set(tmp_path.iterdir()) == before


def test_bad_input_is_refused_with_its_line(engine, parts, tmp_path):
    with pytest.raises(InputError, match=r"parts\.csv:15: piston A diameter: .*far from"):
        run(engine, parts(("A, 4.0273", "A, 40.273, 1.4505, 0.94045, 511.8")))
    with pytest.raises(InputError, match="cannot be written as an engine file"):
        run(engine, parts(), "-o", tmp_path / "odd.png")
    with pytest.raises(InputError, match=r"missing\.csv"):
        run(engine, tmp_path / "missing.csv")


def test_another_value_may_be_tried(engine, parts):
    sheet = parts(("deck, 8, 12", None))
    thick = json.loads(run(engine, sheet, "--json", "--set", "gasket.thickness=0.045 in").output)
    deck = next(fit for fit in thick["bores"][0]["fits"] if fit["name"] == "deck")
    assert deck["least_mm"] == pytest.approx((0.035 - 0.045) * 25.4)
