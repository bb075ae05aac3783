"""`fullturn record` and `fullturn check --built` as a person calls them."""

import json
import shutil
import subprocess
import sys
from dataclasses import asdict
from pathlib import Path

import pytest
from click.testing import CliRunner

from geometry.errors import InputError
from viewer.commands.check import command as check
from viewer.commands.record import command as record
from viewer.job import read_job
from viewer.reports import answered

ROOT = Path(__file__).parents[2]
DEMOS = ROOT / "demo_engines"
TERN = DEMOS / "tern.toml"


@pytest.fixture
def engine(tmp_path):
    return shutil.copy(TERN, tmp_path / "tern.toml")


@pytest.fixture
def single(tmp_path):
    """Knot without a record: an engine that is soon checked."""
    return shutil.copy(DEMOS / "knot.toml", tmp_path / "knot.toml")


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
def test_the_exit_code_of_verdict_says_whether_the_job_stops(single, way, code):
    run(record, single, "set", "bore", "1", "rod.way", way)
    (row,), found = rows(single, "verdict")
    assert found == code
    assert row["verdict"] == ("outside" if code else "within")


@pytest.mark.parametrize("action", ["show", "todo", "verdict"])
def test_tables_for_people(single, action):
    run(record, single, "set", "bore", "1", "ring.top.gap", "go=6thou", "tight=7thou")
    said = run(record, single, action).output
    assert said.startswith("Knot: knot.record.toml")
    assert "top ring gap" in said or action == "todo"
    assert ("1 outside the limit." in said) == (action == "verdict")


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


FAULT = ("id", "severity", "bore", "main", "text", "remedy", "also")


def as_told(found):
    return [tuple(list(one[key]) if key == "also" else one[key] for key in FAULT) for one in found]


@pytest.mark.parametrize("name, stops", [("tern_binding", 3), ("tern", 0), ("knot", 1)])
def test_check_verdict_and_build_sheet_tell_the_same_faults(monkeypatch, name, stops):
    engine, found = DEMOS / f"{name.partition('_')[0]}.toml", DEMOS / f"{name}.record.toml"
    known, work_out = {}, answered.answered

    def once(job, built, only=None):  # all three ask for the same answers
        assert only is None
        return known.get(built) or known.setdefault(built, work_out(job, built))

    monkeypatch.setattr(answered, "answered", once)
    of_check = run(check, engine, "--built", found, "--json")
    of_verdict = run(record, engine, "verdict", "--record", found, "--json")
    told = as_told(json.loads(of_check.output)["findings"])
    assert as_told(json.loads(of_verdict.output)["findings"]) == told
    of_sheet = answered.faults_of(read_job(engine, None, (), found), found)
    assert as_told([asdict(fault) for fault in of_sheet]) == told
    assert len({(fault.bore, fault.main, fault.group) for fault in of_sheet}) == len(of_sheet)
    assert sum(fault.severity == "stop" for fault in of_sheet) == stops
    assert of_check.exit_code == of_verdict.exit_code == int(stops > 0)
    if name == "tern_binding":
        assert {(fault.group, fault.bore) for fault in of_sheet} == {
            ("ring.top.gap", 5), ("rod.way", 3), ("bolt.minor.stand", 6), ("ring.near.top.second", 2),
            ("ring.thrust_line.top", 2),
        }  # fmt: skip
        (bolt,) = (fault for fault in of_sheet if fault.group == "bolt.minor.stand")
        assert any(also.startswith("rod bolt head, bore 6") for also in bolt.also)  # it strikes the block


def test_where_values_are_in_doubt_verdict_tells_of_readings_and_leaves_the_rest_to_check(single):
    sure = 'thickness = "0.045 in"'
    text = single.read_text()
    assert text.count(sure) == 1
    single.write_text(text.replace(sure, 'thickness = "0.045 +- 0.010 in"'))
    run(record, single, "set", "bore", "1", "rod.way", "turned", "deck", "-20thou")
    done = run(record, single, "verdict", "--json")
    said = json.loads(done.output)
    assert done.exit_code == 1
    assert said["in_doubt"]
    assert [one["fault"] for one in said["findings"]] == ["rod.way", "deck"]
    assert "Readings and ring clock only: values are in doubt" in run(record, single, "verdict").output
