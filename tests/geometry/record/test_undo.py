"""Taking entries back: step by step, whoever entered them, and nothing that was changed by hand."""

import json
import os

import pytest

from geometry.errors import InputError
from geometry.record import store
from geometry.record.entries import save_entries, set_entries
from geometry.record.exchange import exchange
from geometry.record.history import entries_of
from geometry.record.load import data_of
from geometry.record.place import BenchPlace
from geometry.record.steps import standing, steps_of
from geometry.record.store import history_path, read_history
from geometry.record.undo import undo
from geometry.record.words import read_values
from tests.geometry.record.bench_fixtures import tern


@pytest.fixture
def file(tmp_path):
    return tmp_path / "tern.record.toml"


def deck(file, places, value):
    set_entries(file, tern(), places, ["deck", value])


def held(file):
    """Deck of every bore that has one."""
    return {
        place.number: one["value"] for (place, path), one in entries_of(data_of(file.read_text(), "")).items()
    }


def test_steps_are_taken_back_one_after_another_and_a_set_of_places_is_one(file):
    deck(file, "bore 3", "10thou")
    deck(file, "bore all", "12thou")
    deck(file, "bore 3", "11thou")
    first = undo(file, tern(), system="in")
    assert [(one.place.words, one.was, one.now) for one in first.changes] == [
        ("bore 3", "11.0 thou", "12.0 thou")
    ]
    assert held(file) == dict.fromkeys(range(1, 9), "12thou")
    assert len(undo(file, tern()).changes) == 8
    assert held(file) == {3: "10thou"}
    undo(file, tern())
    assert held(file) == {}
    with pytest.raises(InputError, match="nothing to undo"):
        undo(file, tern())


def test_several_at_once_and_never_more_than_there_are(file):
    for value in ("9thou", "10thou", "11thou"):
        deck(file, "bore 3", value)
    with pytest.raises(InputError, match="only 3 can be undone, not 4; write undo 3"):
        undo(file, tern(), 4)
    assert held(file) == {3: "11thou"}
    undo(file, tern(), 2)
    assert held(file) == {3: "9thou"}
    deck(file, "bore 3", "8thou")
    undo(file, tern())
    assert held(file) == {3: "9thou"}


def test_comments_and_entries_by_hand_stay(file):
    deck(file, "bore 3", "10thou")
    deck(file, "bore 4", "11thou")
    by_hand = file.read_text() + '\n# Measured hot.\n[bore.5]\ndeck = { value = "12 thou" }\n'
    file.write_text(by_hand)
    undo(file, tern())
    assert held(file) == {3: "10thou", 5: "12 thou"}
    assert "# Measured hot." in file.read_text()


def test_an_entry_changed_by_hand_since_is_not_written_over(file):
    deck(file, "bore 3", "10thou")
    deck(file, "bore 3,4", "11thou")
    file.write_text(file.read_text().replace("11thou", "13thou", 1))
    before = file.read_text()
    with pytest.raises(InputError, match="bore 3 deck: was changed by hand since"):
        undo(file, tern())
    assert file.read_text() == before


def test_an_entry_taken_out_comes_back_with_its_day_and_initials(file):
    set_entries(file, tern(), "bore 3", ["deck", "10thou", "by=EH", "on=2026-03-14"])
    text = file.read_text()
    set_entries(file, tern(), "bore 3", ["deck", "none"])
    undo(file, tern())
    assert data_of(file.read_text(), "") == data_of(text, "")


def test_what_the_page_put_back_is_taken_back_for_the_command_line_too(file):
    """The page's undo sends what stood there before, as it was."""
    deck(file, "bore 3", "10thou")
    deck(file, "bore 4", "11thou")
    put_back = read_values(tern(), "bore 4", "deck", None)
    exchange(file, tern(), put_back, {"value": "11thou"}, kind="undo")
    undo(file, tern())
    assert held(file) == {}


def test_another_entry_of_the_page_is_a_step_of_its_own(file):
    deck(file, "bore 4", "11thou")
    exchange(file, tern(), read_values(tern(), "bore 4", "deck", {"value": "12 thou"}), {"value": "11thou"})
    undo(file, tern())
    assert held(file) == {4: "11thou"}


@pytest.mark.parametrize("at", range(1, 10))
def test_a_save_stopped_at_any_step_is_no_step_that_undo_takes_for_the_last(file, monkeypatch, at):
    """What is stopped between history and record was never entered: undo takes back what was before it."""
    deck(file, "bore 3", "10thou")
    deck(file, "bore 4", "11thou")
    left = [at]
    for name in ("fsync", "replace"):
        real = getattr(os, name)

        def counted(*arguments, real=real):
            left[0] -= 1
            if left[0] == 0:
                raise KeyboardInterrupt
            return real(*arguments)

        monkeypatch.setattr(os, name, counted)
    try:
        deck(file, "bore 5", "12thou")
    except KeyboardInterrupt:
        pass
    else:
        assert at > 4
    monkeypatch.undo()
    saved = held(file)
    assert saved in ({3: "10thou", 4: "11thou"}, {3: "10thou", 4: "11thou", 5: "12thou"})
    undo(file, tern())
    assert held(file) == {number: value for number, value in saved.items() if number != max(saved)}


def test_a_history_that_cannot_be_read_stops_no_reading_and_is_refused_in_one_line(file):
    deck(file, "bore 3", "10thou")
    history_path(file).write_text("{}\n")
    with pytest.raises(InputError, match=r"history:1: is not a step of a history"):
        undo(file, tern())
    deck(file, "bore 4", "11thou")
    undo(file, tern())
    assert held(file) == {3: "10thou"}


def test_the_history_does_not_grow_for_ever(file, monkeypatch):
    monkeypatch.setattr("geometry.record.steps.MOST_STEPS", 3)
    for thou in range(1, 6):
        deck(file, "bore 3", f"{thou}thou")
    steps = steps_of(read_history(file))
    assert [step.number for step in steps] == [3, 4, 5]
    assert [step.number for step in standing(steps)] == [5, 4, 3]
    assert all(json.loads(line) for line in history_path(file).read_text().splitlines())


def test_a_save_that_changes_no_entry_is_no_step(file):
    deck(file, "bore 3", "10thou")
    deck(file, "bore 3", "10thou")
    assert len(steps_of(read_history(file))) == 1


def test_an_import_is_one_step(file):
    keys = {("bore", str(number), "deck"): {"value": "10thou"} for number in (1, 2)}
    save_entries(file, tern(), keys, kind="import")
    (step,) = steps_of(read_history(file))
    assert (step.kind, [one.place for one in step.changes]) == (
        "import",
        [BenchPlace("bore", 1), BenchPlace("bore", 2)],
    )
    assert not (file.parent / f".{history_path(file).name}.aside").exists()
    assert store.previous_path(file).name != history_path(file).name
