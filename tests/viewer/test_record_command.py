"""`fullturn record` and `fullturn check --built` as a person calls them."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from geometry.errors import InputError
from viewer.commands.check import command as check
from viewer.commands.record import command as record

ROOT = Path(__file__).parents[2]
TERN = ROOT / "demo_engines" / "tern.toml"


@pytest.fixture
def engine(tmp_path):
    return shutil.copy(TERN, tmp_path / "tern.toml")


def run(command, *words):
    done = CliRunner().invoke(command, [str(word) for word in words])
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done


def rows(engine, action, *words):
    done = run(record, engine, action, "--json", *words)
    return json.loads(done.output)[action], done.exit_code


def test_set_saves_beside_the_engine_file_and_show_gives_it_back(engine):
    said = run(record, engine, "set", "bore", "3", "ring.top.gap", "go=18thou", "tight=19thou", "--by", "EH")
    assert said.exit_code == 0
    assert "saved in tern.record.toml" in said.output
    assert (engine.parent / "tern.record.toml").exists()
    (row,), code = rows(engine, "show")
    assert code == 0
    assert (row["place"], row["entry"], row["by"]) == ("bore 3", "ring.top.gap", "EH")
    assert row["reading"] == "18.0 thou goes, 19.0 thou is tight"


def test_a_place_in_quotes_and_the_crank_are_places_too(engine):
    run(record, engine, "set", "bore 3", "rod.way", "turned")
    run(record, engine, "set", "crank", "end_play", "6thou")
    assert [row["place"] for row in rows(engine, "show")[0]] == ["crank", "bore 3"]


def test_another_record_file(engine, tmp_path):
    run(record, engine, "set", "bore", "3", "rod.way", "turned", "--record", tmp_path / "other.toml")
    assert not (tmp_path / "tern.record.toml").exists()
    assert len(rows(engine, "show", "--record", tmp_path / "other.toml")[0]) == 1


def test_todo_gets_shorter(engine):
    before, code = rows(engine, "todo")
    assert code == 0
    run(record, engine, "set", "bore", "3", "rod.way", "correct")
    assert len(rows(engine, "todo")[0]) == len(before) - 1
    assert {row["place"] for row in rows(engine, "todo", "--bore", "3")[0]} == {"bore 3"}


@pytest.mark.parametrize("way, code", [("correct", 0), ("turned", 1)])
def test_the_exit_code_of_verdict_says_whether_the_job_stops(engine, way, code):
    run(record, engine, "set", "bore", "3", "rod.way", way)
    (row,), found = rows(engine, "verdict")
    assert found == code
    assert row["verdict"] == ("outside" if code else "within")


@pytest.mark.parametrize("action", ["show", "todo", "verdict"])
def test_tables_for_people(engine, action):
    run(record, engine, "set", "bore", "3", "ring.top.gap", "go=9thou", "tight=10thou")
    said = run(record, engine, action).output
    assert said.startswith("Tern: tern.record.toml")
    assert "top ring gap" in said


@pytest.mark.parametrize(
    "words, said",
    [
        (("set", "bore", "3", "ring.top.gap", "go=18"), "18 has no unit"),
        (("set", "bore", "3"), "says nothing to enter"),
        (("set", "bore", "9", "rod.way", "turned"), "there is no bore 9"),
        (("show", "bore", "3"), "takes no words"),
        (("todo", "--bore", "9"), "there is no bore 9"),
    ],
)
def test_refusals_save_nothing(engine, words, said):
    with pytest.raises(InputError, match=said):
        run(record, engine, *words)
    assert not (engine.parent / "tern.record.toml").exists()


def test_bad_input_ends_with_code_2_and_one_line(engine):
    words = ["record", str(engine), "set", "bore", "3", "ring.top.gap", "go=18"]
    code = "import sys; from viewer.cli import main; sys.argv[0] = 'fullturn'; sys.exit(main())"
    done = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert [line for line in done.stderr.splitlines() if "18 has no unit" in line]


def test_the_record_that_binds_stops_the_job_and_every_mistake_is_named():
    done = run(check, TERN, "--built", TERN.with_name("tern_binding.record.toml"), "--json")
    assert done.exit_code == 1
    findings = json.loads(done.output)["findings"]
    found = {(finding["id"], finding["bore"]) for finding in findings}
    assert {
        ("fillet_ride", 3), ("record_rod_way", 3), ("record_ring_top_gap", 5), ("record_bolt_minor_stand", 6),
    } <= found  # fmt: skip
    in_line = [f for f in findings if "top ring and second ring are 10 degrees apart" in f["text"]]
    assert [f["bore"] for f in in_line] == [2]  # said once, though ring clock and readings both see it
    assert any(bore == 6 and not name.startswith("record_") for name, bore in found)


def test_the_half_filled_record_does_not_stop_the_job():
    assert run(check, TERN, "--built", TERN.with_name("tern.record.toml")).exit_code == 0
