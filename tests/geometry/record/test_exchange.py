"""One entry in place of another: nothing is written over unseen, nothing is saved twice."""

import tomllib

import pytest

from geometry.errors import InputError
from geometry.record.entries import set_entries
from geometry.record.exchange import EntryChanged, exchange
from geometry.record.history import changes_between, entries_of
from geometry.record.place import BenchPlace
from geometry.record.store import previous_path
from geometry.record.words import read_values
from tests.geometry.record.bench_fixtures import tern

BORE_3 = BenchPlace("bore", 3)
DECK = ("deck", {"value": "10 thou"})


def send(file, path, values, seen, by="EH", on=None):
    return exchange(file, tern(), read_values(tern(), "bore 3", path, values, by=by, on=on), seen)


def held(file):
    return entries_of(tomllib.loads(file.read_text()))


@pytest.fixture
def file(tmp_path):
    return tmp_path / "tern.record.toml"


def test_the_first_entry_starts_the_record(file):
    done = send(file, *DECK, None)
    assert done.before is None
    assert done.after == file.read_text()
    assert held(file) == {(BORE_3, "deck"): {"value": "10 thou", "by": "EH"}}


def test_what_was_seen_is_replaced_and_what_others_wrote_elsewhere_stays(file):
    send(file, *DECK, None)
    set_entries(file, tern(), "bore 4", ["deck", "11thou"], by="JM")
    send(file, "deck", {"value": "12 thou"}, {"value": "10 thou", "by": "EH"}, by="KL")
    assert held(file) == {
        (BORE_3, "deck"): {"value": "12 thou", "by": "KL"},
        (BenchPlace("bore", 4), "deck"): {"value": "11thou", "by": "JM"},
    }


@pytest.mark.parametrize("seen", [None, {"value": "9 thou", "by": "EH"}, {"value": "10 thou", "by": "JM"}])
@pytest.mark.parametrize("values", [{"value": "12 thou"}, None])
def test_what_was_not_seen_is_neither_written_over_nor_taken_out(file, seen, values):
    send(file, *DECK, None)
    before = file.read_bytes()
    with pytest.raises(EntryChanged) as changed:
        send(file, "deck", values, seen)
    assert changed.value.now == {"value": "10 thou", "by": "EH"}
    assert file.read_bytes() == before
    assert not previous_path(file).exists()


def test_an_entry_that_was_taken_out_meanwhile_is_a_change_too(file):
    send(file, *DECK, None)
    send(file, "deck", None, {"value": "10 thou", "by": "EH"})
    with pytest.raises(EntryChanged) as changed:
        send(file, "deck", {"value": "12 thou"}, {"value": "10 thou", "by": "EH"})
    assert changed.value.now is None
    assert held(file) == {}


def test_the_same_sent_again_because_the_answer_was_lost_is_no_conflict_even_a_day_later(file):
    at = {"value": "10 thou", "on": "2026-03-14"}
    send(file, "deck", at, None)
    before = file.read_bytes()
    send(file, "deck", at, None)
    send(file, "deck", {"value": "10 thou", "on": "2026-03-15"}, None)
    assert file.read_bytes() == before
    send(file, "deck", None, {"value": "10 thou", "by": "EH", "on": "2026-03-14"})
    send(file, "deck", None, {"value": "10 thou", "by": "EH", "on": "2026-03-14"})
    with pytest.raises(EntryChanged):
        send(file, "deck", at, {"value": "10 thou", "by": "EH", "on": "2026-03-14"})


def test_the_same_value_by_another_hand_is_a_conflict(file):
    send(file, *DECK, None)
    with pytest.raises(EntryChanged):
        send(file, *DECK, None, by="JM")


def test_taking_back_restores_the_entry_word_by_word_a_stranger_to_the_page_among_them(file):
    text = '[bore.3]\ndeck = { value = "10.0thou", on = 2026-03-14, note = "cold" } # by hand\nrod.number.value = 3\n'
    file.write_text(text)
    was = held(file)[BORE_3, "deck"]
    send(file, "deck", {"value": "12 thou"}, was)
    send(file, "deck", {k: str(v) for k, v in was.items()}, {"value": "12 thou", "by": "EH"}, by=None)
    assert file.read_text() == text
    assert held(file)[BORE_3, "rod.number"] == {"value": 3}


def test_a_spoilt_record_is_left_as_it_is(file):
    for spoilt in ("[bore.3]\ndeck = {", '[bore.3]\ndeck = { value = "10" }\n', "bore = 3\n"):
        file.write_text(spoilt)
        with pytest.raises(InputError, match=r"tern\.record\.toml"):
            send(file, "ring.top.gap", {"go": "17 thou"}, None)
        assert file.read_text() == spoilt


def test_changes_between_two_states_name_every_entry_that_differs_and_no_other():
    before = tomllib.loads(
        '[bore.3]\ndeck.value = "10 thou"\nrod.way.value = "turned"\n[main.2]\nclearance.value = "2 thou"\n'
    )
    after = tomllib.loads(
        '[bore.3]\ndeck.value = "11 thou"\n[main.2]\nclearance.value = "2 thou"\n[crank]\nend_play.value = "5 thou"\n'
    )
    found = changes_between(tern(), before, after, "in")
    assert {(c.place.words, c.path): (c.before, c.after) for c in found} == {
        ("bore 3", "deck"): ({"value": "10 thou"}, {"value": "11 thou"}),
        ("bore 3", "rod.way"): ({"value": "turned"}, None),
        ("crank", "end_play"): (None, {"value": "5 thou"}),
    }
    assert [(c.what, c.was, c.now) for c in found] == [
        ("crown below deck", "10.0 thou", "11.0 thou"),
        ("end play", "", "5.0 thou"),
        ("rod, which way round", "turned", ""),
    ]
    assert changes_between(tern(), after, after) == ()


def test_a_state_that_is_no_record_has_no_entries():
    assert entries_of({"bore": 3, "main": {"x": {}, "2": 5}, "crank": {"end_play": "5 thou"}}) == {}
