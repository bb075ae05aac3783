"""A record as a table and back: nothing lost, nothing entered by halves, every cell that is wrong named."""

import tomllib
from pathlib import Path

import pytest

from geometry.errors import InputError
from geometry.record.entries import set_entries
from geometry.record.importing import planned, save_import
from geometry.record.steps import all_of, steps_of
from geometry.record.store import read_history
from geometry.record.table import blank_table, full_table
from geometry.record.undo import undo
from geometry.spec.load import load_engine
from tests.geometry.record.bench_fixtures import DEMOS, tern

HEAD = "place,entry,value,go,tight\n"


@pytest.fixture
def file(tmp_path):
    return tmp_path / "tern.record.toml"


def imported(file, table, engine=None, by=None):
    engine = engine or tern()
    text = file.read_text() if file.exists() else None
    seen = planned(engine, text, table, "readings.csv", by)
    if not seen.refused:
        save_import(file, engine, seen)
    return seen


def data(file):
    return tomllib.loads(Path(file).read_text())


def said(file):
    """Everything that a record says; a table without entries says nothing."""
    return all_of(Path(file).read_text())


def as_spreadsheet(table):
    """As one that counts in German writes it: semicolons, a decimal comma, a mark at the start."""
    import csv
    import io

    out = io.StringIO()
    writer = csv.writer(out, delimiter=";")
    for row in csv.reader(io.StringIO(table)):
        writer.writerow(
            [cell.replace(".", ",") if cell[:1].isdigit() and cell[-1:].isalpha() else cell for cell in row]
        )
    return out.getvalue()


@pytest.mark.parametrize(
    "name, written", [("tern", as_spreadsheet), ("tern_binding", str), ("knot", as_spreadsheet)]
)
def test_out_and_in_again_is_the_same_record(file, name, written):
    engine = load_engine(DEMOS / f"{name.partition('_')[0]}.toml")
    record = DEMOS / f"{name}.record.toml"
    seen = imported(file, written(full_table(engine, data(record))), engine)
    assert not seen.refused
    assert said(file) == said(record)
    assert full_table(engine, data(file)) == full_table(engine, data(record))


def test_hard_words_survive(file):
    note = 'filed twice, "file-fit"; said\nEH = 0,5 thou\t'
    set_entries(file, tern(), "bore 3", ["deck", "-5thou", f"note={note}"])
    before = data(file)
    other = file.with_name("other.toml")
    assert not imported(other, full_table(tern(), before)).refused
    assert data(other) == before


def test_the_preview_tells_new_changed_and_what_stands_already(file):
    set_entries(file, tern(), "bore 1,2", ["deck", "10thou"])
    before = file.read_text()
    seen = planned(
        tern(),
        before,
        HEAD + "bore 1,deck,10thou\nbore 2,deck,11 thou\nbore 3,deck,9 thou",
        "a.csv",
        system="in",
    )
    assert file.read_text() == before
    assert [(one.place.words, one.was, one.now) for one in seen.changes] == [
        ("bore 2", "10.0 thou", "11.0 thou"), ("bore 3", "", "9.0 thou"),
    ]  # fmt: skip
    assert seen.same == 1


def test_an_import_is_undone_in_one_step(file):
    table = full_table(tern(), data(DEMOS / "tern_binding.record.toml"))
    set_entries(file, tern(), "bore 8", ["deck", "10thou"])
    before = said(file)
    imported(file, table)
    assert [step.kind for step in steps_of(read_history(file))] == ["set", "import"]
    undo(file, tern())
    assert said(file) == before


@pytest.mark.parametrize(
    "rows, words",
    [
        ("bore 3,deck,18", "readings.csv:2: column value: bore 3 deck: 18 has no unit; write 18thou or 18mm"),
        ("bore 3,deck,10 thou\nbore 3,ring.top.gap,,18", "readings.csv:3: column go: bore 3 ring.top.gap: 18 has no"),
        ("bore 9,deck,10 thou", "readings.csv:2: column place: bore 9: there is no bore 9; this engine has bore 1"),
        ("bore 3,dekc,10 thou", "readings.csv:2: column entry: bore 3 dekc: dekc is not known; did you mean deck?"),
        ("bore 3,,10 thou", "readings.csv:2: column entry: is empty; write deck, for example"),
        (",deck,10 thou", "readings.csv:2: column place: is empty; write bore 3, for example"),
        ("bore 3,rod.way,sideways", "readings.csv:2: column value: bore 3 rod.way:"),
        ("bore 3,deck,10 thou\nbore 3,deck,11 thou", "readings.csv:3: column entry: bore 3 deck stands in line 2"),
        ("bore 3,ring.top.gap,,19 thou,18 thou", "readings.csv:2: column tight: bore 3 ring.top.gap: the tight blade"),
        ("bore 3,deck,10 thou,,,thou", "readings.csv:2: column 6: there are more cells than columns; put a number"),
        ('bore 3,deck,"10 thou', "readings.csv:2: is not a row of a table"),
        ("bore 3,ring.expander.gap,1 thou", "column entry"),
        ("bore 3,deck,,10 thou", "readings.csv:2: column go: bore 3 deck has no go; it has value, resolution"),
        ("record,engine,Knot", 'readings.csv:2: record engine: this is the build record of "Knot", not of "Tern"'),
        ("limits,dekc,1 thou", "readings.csv:2: limits dekc"),
        ("bore 3,shell.upper.seat,rod\nbore 3,shell.lower.seat,rod", "both shells are said to lie in the rod"),
    ],
)  # fmt: skip
def test_one_row_that_is_wrong_keeps_all_of_it_out(file, rows, words):
    try:
        problems = imported(
            file, f"{HEAD}{rows}\nbore 4,deck,10 thou\n" if '"' not in rows else HEAD + rows
        ).refused
    except InputError as bad:
        problems = bad.problems
    assert len(problems) == 1
    assert words in str(problems[0])
    assert not file.exists()


@pytest.mark.parametrize(
    "table, words",
    [
        ("", "readings.csv:1: has no columns place and entry; the first line names the columns"),
        ("bore 3,deck,10 thou", "readings.csv:1: has no columns place and entry"),
        (
            "place,entry,valeu\nbore 3,deck,1 thou",
            "readings.csv:1: column valeu: is not known; did you mean value?",
        ),
        ("place,entry,value,value\n", "readings.csv:1: column value: is there twice"),
    ],
)
def test_what_is_no_table_is_refused(table, words):
    with pytest.raises(InputError) as refusal:
        planned(tern(), None, table, "readings.csv")
    assert words in str(refusal.value)


def test_every_row_that_is_wrong_is_named(file):
    seen = imported(file, HEAD + "bore 3,deck,18\nbore 9,deck,10 thou\nbore 4,dekc,10 thou")
    assert [problem.line for problem in seen.refused] == [2, 3, 4]


def test_what_spreadsheets_make_of_a_table(file):
    table = "sep=;\r\nPlace;Entry;What;Value;By;On;\r\nbore 1-3;deck;;0,25 mm;EH;14.3.2026;\r\n;;;;;;\r\n"
    assert not imported(file, table).refused
    assert data(file)["bore"]["2"]["deck"] == {
        "value": "0.25 mm",
        "by": "EH",
        "on": tomllib.loads("d=2026-03-14")["d"],
    }
    assert set(data(file)["bore"]) == {"1", "2", "3"}


def test_initials_for_rows_that_have_none(file):
    imported(file, "place,entry,value,by\nbore 1,deck,10 thou,MK\nbore 2,deck,10 thou,\n", by="EH")
    assert [data(file)["bore"][n]["deck"]["by"] for n in "12"] == ["MK", "EH"]


def test_a_record_changed_since_the_preview_is_left_alone(file):
    table = HEAD + "bore 3,deck,10 thou\nbore 4,deck,10 thou\n"
    seen = planned(tern(), None, table, "readings.csv")
    set_entries(file, tern(), "bore 4", ["deck", "12thou"])
    with pytest.raises(InputError, match="changed by somebody else since the preview"):
        save_import(file, tern(), seen)
    assert set(data(file)["bore"]) == {"4"}


def test_a_form_holds_what_is_to_do_and_comes_back_empty_or_filled_in(file):
    form = blank_table(tern(), {}, bore=3, system="in")
    lines = form.splitlines()
    assert lines[0].startswith("step,place,entry,what,held against,how to write it,value,go,tight,depth")
    assert any("ring.top.gap,top ring gap" in line and "14.1 thou to 20.1 thou" in line for line in lines)
    assert imported(file, form).is_empty
    filled = "\r\n".join(
        line.replace(",,,,,,,,", ",10 thou,,,,,,,", 1) if ",deck," in line else line for line in lines
    )
    seen = imported(file, filled)
    assert [one.path for one in seen.changes] == ["deck"]
    assert "bore 3,deck" not in blank_table(tern(), data(file), bore=3)
