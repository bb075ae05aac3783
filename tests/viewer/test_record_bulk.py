"""Many readings at once, as a person types them: several places, one question after another, tables, steps back."""

import builtins
import csv
import io
import json
import re
import shutil
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from geometry.errors import InputError
from geometry.record.load import load_record
from geometry.record.steps import all_of
from geometry.spec import described
from geometry.spec.load import load_engine
from viewer.commands.record import command as record

DEMOS = Path(__file__).parents[2] / "demo_engines"


load = cache(described.load_described)


@pytest.fixture(autouse=True)
def read_once(monkeypatch):
    """Each engine file is read once for all of these tests: no command here changes one."""
    monkeypatch.setattr(described, "load_described", lambda path: load(DEMOS / path.name))


@pytest.fixture
def knot(tmp_path):
    return shutil.copy(DEMOS / "knot.toml", tmp_path / "knot.toml")


@pytest.fixture
def tern(tmp_path):
    return shutil.copy(DEMOS / "tern.toml", tmp_path / "tern.toml")


def run(engine, *words, typed=None):
    done = CliRunner().invoke(record, [str(engine), *map(str, words)], input=typed)
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done


def told(engine):
    return engine.with_name(f"{engine.stem}.record.toml")


def held(engine):
    """Every entry: its values without initials and day."""
    text = told(engine).read_text() if told(engine).exists() else None
    return {
        f"{place.words} {path}": {name: value for name, value in one.items() if name not in ("by", "on")}
        for (place, path), one in all_of(text).items()
        if place.kind != "record"
    }


# ---- several places


def test_one_line_for_all_bores_names_each(tern):
    said = run(tern, "set", "bore", "1-8", "deck", "10thou").output
    assert said.startswith("bore 1, 2, 3, 4, 5, 6, 7, 8 deck: value = 10thou")
    assert len(held(tern)) == 8
    assert held(tern)["bore 8 deck"] == {"value": "10thou"}


@pytest.mark.parametrize(
    "words", [("bore", "1,3,5"), ("bore 1,3,5",), ("bore", "1", "3", "5"), ("bore", "1,", "3", "and", "5")]
)
def test_a_list_of_bores_however_it_is_cut(tern, words):
    run(tern, "set", *words, "deck", "-5thou", "rod.way", "correct")
    assert [key for key in held(tern) if key.endswith("deck")] == [
        "bore 1 deck",
        "bore 3 deck",
        "bore 5 deck",
    ]
    assert held(tern)["bore 3 deck"] == {"value": "-5thou"}


def test_a_range_with_a_bore_that_is_not_there_saves_nothing(tern):
    with pytest.raises(InputError, match=r"bore 5-9: there is no bore 9; this engine has bore 1, 2"):
        run(tern, "set", "bore", "5-9", "deck", "10thou")
    assert not told(tern).exists()


# ---- steps back


def test_undo_says_what_it_takes_back_and_history_what_it_can(tern):
    run(tern, "set", "bore", "all", "deck", "10thou", "--by", "EH")
    run(tern, "set", "bore", "3", "deck", "11thou")
    assert re.search(
        r"1 +bore 3 deck: 11thou, was 10thou +\n2 +EH +bore 1, 2, 3, 4, 5, 6, 7, 8 deck: 10thou",
        run(tern, "history").output,
    )
    assert [row["entries"] for row in json.loads(run(tern, "history", "--json").output)["history"]] == [1, 8]
    assert (
        "bore 3, crown below deck: back to 10.0 thou, was 11.0 thou\n1 step more can"
        in run(tern, "undo").output
    )
    assert "bore 1, 2, 3, 4, 5, 6, 7, 8, crown below deck: 10.0 thou taken out" in run(tern, "undo").output
    assert held(tern) == {}
    assert "Nothing to undo" in run(tern, "history").output


@pytest.mark.parametrize("words", [("0",), ("-1",), ("two",), ("1", "2")])
def test_undo_of_no_number_is_refused(knot, words):
    with pytest.raises(InputError, match="is not a number of steps; write undo, or undo 2"):
        run(knot, "undo", *words)


# ---- tables


def test_a_table_out_and_in_again(tern, tmp_path):
    shutil.copy(DEMOS / "tern.record.toml", told(tern))
    table = tmp_path / "readings.csv"
    assert "readings.csv: 1" in run(tern, "export", "-o", table).output
    assert table.read_bytes().startswith(b"\xef\xbb\xbf")
    before = held(tern)
    told(tern).unlink()
    assert run(tern, "import", table, "--yes").exit_code == 0
    assert held(tern) == before
    spec = load_engine(tern)
    assert load_record(told(tern), spec).limits == load_record(DEMOS / "tern.record.toml", spec).limits
    assert "0 new, 0 changed" in run(tern, "import", table).output  # and nothing to agree to


@pytest.mark.parametrize(
    "more, typed, code, saved",
    [
        ((), "y\n", 0, True), ((), "n\n", 1, False), ((), "", 1, False), (("--yes",), None, 0, True),
        (("--preview",), None, 0, False),
    ],
)  # fmt: skip
def test_a_table_is_shown_before_it_is_entered(knot, tmp_path, more, typed, code, saved):
    run(knot, "set", "bore", "1", "deck", "10thou")
    table = tmp_path / "readings.csv"
    table.write_text("place,entry,value\nbore 1,deck,11 thou\nbore 1,rod.way,correct\n")
    done = run(knot, "import", table, *more, typed=typed)
    assert done.exit_code == code
    assert re.search(r"bore 1 +rod, which way round +correct\s", done.output)
    assert re.search(r"bore 1 +crown below deck +11.0 thou +10.0 thou", done.output)
    assert "1 new, 1 changed, 0 as they stand already." in done.output
    assert (held(knot)["bore 1 deck"] == {"value": "11 thou"}) == saved
    if saved:
        run(knot, "undo")
        assert held(knot) == {"bore 1 deck": {"value": "10thou"}}


def test_a_table_with_a_wrong_line_is_shown_and_refused(knot, tmp_path):
    table = tmp_path / "readings.csv"
    table.write_text("place,entry,value\nbore 1,deck,11\nbore 1,rod.way,correct\n")
    done = CliRunner().invoke(record, [str(knot), "import", str(table), "--yes"])
    assert isinstance(done.exception, InputError)
    assert str(done.exception).endswith(
        "readings.csv:2: column value: bore 1 deck: 11 has no unit; write 11thou or 11mm"
    )
    assert "1 new, 0 changed, 0 as they stand already, 1 refused: nothing is entered." in done.output
    assert not told(knot).exists()


def test_a_form_to_fill_in(knot):
    rows = list(csv.DictReader(io.StringIO(run(knot, "export", "--blank").output)))
    assert len(rows) == len(json.loads(run(knot, "todo", "--json").output)["todo"])
    (gap,) = [row for row in rows if row["entry"] == "ring.top.gap"]
    assert (gap["place"], gap["held against"], gap["go"]) == ("bore 1", "9.6 thou to 13.8 thou", "")


@pytest.mark.parametrize(
    "words, said",
    [
        (("show", "--yes"), "--yes: `show` has no use for it; it belongs to `import`"),
        (("set", "bore", "1", "deck", "10thou", "--blank"), "it belongs to `export`"),
        (("export", "--bore", "1"), "a table of one bore only is not a whole record"),
        (("export", "-o", "readings.xls"), "cannot be written as a table"),
        (("import",), "names no table; write import readings.csv"),
        (("import", "there_is_none.csv"), "there is no such file"),
        (("import", "a.csv", "--yes", "--preview"), "does not go with --preview"),
        (("ask", "--step", "rings"), "did you mean ring"),
        (("ask", "--bore", "2"), "there is no bore 2"),
        (("ask", "deck"), "`ask` takes no words"),
    ],
)
def test_one_line_says_what_is_wrong(knot, words, said):
    with pytest.raises(InputError) as refusal:
        run(knot, *words)
    assert said in str(refusal.value)
    assert len(refusal.value.problems) == 1


# ---- one question after another


def ask(engine, *answers, more=("--step", "ring gaps")):
    return run(engine, "ask", *more, typed="".join(f"{answer}\n" for answer in answers)).output


def test_questions_come_in_the_order_of_the_job_with_limit_and_source(knot):
    said = ask(knot, *[""] * 40, more=())
    todo = json.loads(run(knot, "todo", "--json").output)["todo"]
    asked = re.findall(r"(\d+) of \d+  ([a-z ]+), ([a-z0-9 ]+): ", said)
    assert [(step, place) for _, step, place in asked] == [(one["step"], one["place"]) for one in todo]
    assert "wanted 9.6 thou to 13.8 thou (common practice, no source" in said
    assert "write ...thou ...thou   (goes, tight)" in said
    assert f"Nothing entered; {len(todo)} still to do." in said


def test_an_answer_is_judged_at_once_and_saved(knot):
    said = ask(knot, "7thou 8thou", "10thou 11thou")
    assert (
        "outside: 7.0 thou goes, 8.0 thou is tight, wanted 9.6 thou to 13.8 thou; too tight: the ends meet"
        in " ".join(said.split())
    )
    assert re.search(r"-> file [\d.]+ thou off, both ends together", said)
    assert "within: 10.0 thou goes, 11.0 thou is tight" in said
    assert held(knot) == {
        "bore 1 ring.top.gap": {"go": "7thou", "tight": "8thou"},
        "bore 1 ring.second.gap": {"go": "10thou", "tight": "11thou"},
    }
    assert "2 answers saved in knot.record.toml; 2 still to do." in said


def test_a_bad_answer_is_explained_and_asked_again(knot):
    said = ask(knot, "18", "wide", "go=10thou tight=9thou", "10thou 11thou", "q")
    assert "18 has no unit; write 18thou or 18mm" in said
    assert "the tight blade is not thicker than the one that goes" in said
    assert held(knot) == {"bore 1 ring.top.gap": {"go": "10thou", "tight": "11thou"}}


def test_back_shows_what_stands_and_may_change_it(knot):
    said = ask(knot, "b", "9thou", "b", "10thou 11thou", "", "b", "b", "", "", "14thou", "b", "15thou", "q")
    assert "This is the first question." in said
    assert "now 9.0 thou; Enter leaves it so" in said
    assert re.findall(r"(\d) of 4", said) == ["1", "2", "1", "2", "3", "2", "1", "2", "3", "4", "3", "4"]
    assert held(knot) == {
        "bore 1 ring.top.gap": {"go": "10thou", "tight": "11thou"}, "bore 1 ring.upper_rail.gap": {"value": "15thou"},
    }  # fmt: skip


@pytest.mark.parametrize("stop", [EOFError, KeyboardInterrupt])
def test_whatever_was_answered_is_saved_when_somebody_stops(knot, monkeypatch, stop):
    answers = iter(["10thou 11thou"])

    def typed(_prompt):
        for one in answers:
            assert not told(knot).exists()
            return one
        assert "ring.top.gap" in told(knot).read_text()  # saved before the next question
        raise stop

    monkeypatch.setattr(builtins, "input", typed)
    done = run(knot, "ask", "--step", "ring gaps")
    assert done.exit_code == 0
    assert "1 answer saved" in done.output


def test_help_repeats_and_ok_is_as_it_should_be(knot):
    said = ask(knot, "?", "ok", "turned", "q", more=("--step", "which", "--by", "EH"))
    assert "turned: turned by half a turn" in said
    assert held(knot) == {"bore 1 piston.way": {"value": "correct"}, "bore 1 rod.way": {"value": "turned"}}
    assert 'by = "EH"' in told(knot).read_text()


def test_stretch_does_where_torque_is_asked_for(knot):
    said = ask(knot, "5.5thou", "", "5.5thou", "q", more=("--step", "rod bolts"))
    assert "bolt.minor.stretch" in told(knot).read_text()
    assert "within: 5.5 thou" in said


def test_three_sizes_of_a_bore_need_no_names(knot):
    ask(knot, "0.5in 2.7500in 2.7502in", "q", more=("--step", "bores"))
    assert held(knot)["bore 1 diameter.top"] == {"depth": "0.5in", "along": "2.7500in", "across": "2.7502in"}


def test_what_somebody_else_entered_meanwhile_is_not_written_over(knot, monkeypatch):
    answers = iter(["10thou 11thou", "", "q"])

    def typed(_prompt):
        answer = next(answers)
        if answer == "10thou 11thou":
            run(knot, "set", "bore", "1", "ring.top.gap", "12thou")
        return answer

    monkeypatch.setattr(builtins, "input", typed)
    said = run(knot, "ask", "--step", "ring gaps").output
    assert "somebody else has just entered something here" in said
    assert "now 12.0 thou" in said
    assert held(knot) == {"bore 1 ring.top.gap": {"value": "12thou"}}


def test_nothing_left_to_ask(knot):
    run(knot, "set", "bore", "1", "deck", "10thou")
    assert ask(knot, more=("--step", "deck")) == "Everything is recorded.\n"
