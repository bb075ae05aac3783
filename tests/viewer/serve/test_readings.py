"""Readings over the wire: what is asked, judged, saved; two hands on one record; nothing written that was not seen."""

import threading
import tomllib

import pytest

from geometry.record.entries import set_entries
from geometry.record.history import entries_of
from geometry.record.place import BenchPlace
from geometry.spec.load import load_engine
from tests.viewer.serve.conftest import KNOT
from viewer.serve.readings import Entering, saved

DECK = {"place": "bore 1", "path": "deck", "by": "EH", "page": "p1"}
BORE_1 = BenchPlace("bore", 1)
KNOT_SPEC = load_engine(KNOT)


@pytest.fixture
def record(served):
    path = served.serving.record
    for each in path.parent.glob("*.record.toml*"):
        each.unlink()
    return path


def post(values, seen=None, **more):
    return ("POST", "/api/readings", {"json": {**DECK, "values": values, "seen": seen, **more}})


def field(answer, path="deck"):
    return next(each for each in answer.json()["fields"] if each["path"] == path)


def held(record):
    return entries_of(tomllib.loads(record.read_text()))


def test_a_bench_without_a_record_names_its_places_and_everything_to_enter_and_makes_no_file(ask, record):
    (answer,) = ask(("GET", "/api/readings", {}))
    found = answer.json()
    assert [(at["place"], at["done"]) for at in found["places"]] == [
        ("bore 1", 0), ("main 1", 0), ("main 2", 0), ("crank", 0),
    ]  # fmt: skip
    assert (found["place"], found["version"]) == ("bore 1", "")
    assert field(answer)["state"] == "open"
    assert not record.exists()


def test_a_reading_is_judged_then_saved_then_shown_with_who_and_when(ask, record):
    values = {"value": "40 thou"}
    judged, done, again = ask(
        ("POST", "/api/readings/judge", {"json": {"place": "bore 1", "path": "deck", "values": values}}),
        post(values),
        ("GET", "/api/readings?place=bore%201", {}),
    )
    assert done.status_code == 200
    (verdict,) = judged.json()["verdicts"]
    assert verdict["verdict"] == "outside"
    assert field(done)["verdicts"] == judged.json()["verdicts"]
    assert field(again) == field(done)
    assert field(done)["content"]["by"] == "EH"
    assert held(record)[BORE_1, "deck"]["value"] == "40 thou"
    assert again.json()["places"][0]["done"] == 1


def test_two_hands_on_one_entry_the_second_sees_the_first_and_neither_value_is_lost(ask, record):
    first, second, third = ask(
        post({"value": "10 thou"}), post({"value": "12 thou"}, by="JM", page="p2"),
        post({"value": "10 thou"}),
    )  # fmt: skip
    assert (first.status_code, second.status_code, third.status_code) == (200, 409, 200)
    now = second.json()["conflict"]["field"]
    assert (now["content"]["value"], now["content"]["by"], now["reading"]) == ("10 thou", "EH", "10.0 thou")
    assert held(record)[BORE_1, "deck"]["value"] == "10 thou"
    (mine,) = ask(post({"value": "12 thou"}, now["content"], by="JM", page="p2"))
    assert mine.status_code == 200
    assert held(record)[BORE_1, "deck"]["value"] == "12 thou"


def test_the_history_says_who_changed_what_from_the_page_the_command_line_and_an_editor(ask, served, record):
    ask(("GET", "/api/readings", {}), post({"value": "10 thou"}))
    set_entries(record, KNOT_SPEC, "crank", ["end_play", "5thou"], by="KL")
    ask(("GET", "/api/readings/changes", {}))
    record.write_text(record.read_text().replace("10 thou", "11 thou").replace('by = "EH", ', ""))
    (answer,) = ask(("GET", "/api/readings/changes?since=0", {}))
    told = [
        (c["number"], c["place"], c["path"], c["was"], c["now"], c["by"], c["page"])
        for c in answer.json()["changes"]
    ]
    assert told == [
        (1, "bore 1", "deck", "", "10.0 thou", "EH", "p1"),
        (2, "crank", "end_play", "", "5.0 thou", "KL", ""),
        (3, "bore 1", "deck", "10.0 thou", "11.0 thou", "", ""),
    ]
    (later,) = ask(("GET", "/api/readings/changes?since=2", {}))
    assert [c["number"] for c in later.json()["changes"]] == [3]


def test_what_the_command_line_did_before_a_save_is_not_told_as_the_pages(ask, record):
    ask(("GET", "/api/readings", {}))
    set_entries(record, KNOT_SPEC, "crank", ["end_play", "5thou"], by="KL")
    ask(post({"value": "10 thou"}))
    (answer,) = ask(("GET", "/api/readings/changes", {}))
    assert [(c["path"], c["by"], c["page"]) for c in answer.json()["changes"]] == [
        ("end_play", "KL", ""),
        ("deck", "EH", "p1"),
    ]


def test_a_change_is_taken_back_word_by_word_and_only_where_it_still_stands(ask, record):
    text = '[bore.1]\ndeck = { value = "10.0thou", note = "cold" } # by hand\n'
    record.write_text(text)
    (seen,) = ask(("GET", "/api/readings", {}))
    was = field(seen)["content"]
    (done,) = ask(post({"value": "12 thou"}, was))
    now = field(done)["content"]
    back, late = ask(post(was, now, as_is=True, by="JM"), post(was, now | {"value": "13 thou"}, as_is=True))
    assert (back.status_code, late.status_code) == (200, 200)  # it stands as it was already: nothing to do
    assert record.read_text() == text
    ask(post({"value": "14 thou"}, was))
    (gone,) = ask(post(was, now, as_is=True))
    assert gone.status_code == 409
    (answer,) = ask(("GET", "/api/readings/changes", {}))
    assert [(c["was"], c["now"], c["by"]) for c in answer.json()["changes"]] == [
        ("10.0 thou", "12.0 thou", "EH"), ("12.0 thou", "10.0 thou", "JM"), ("10.0 thou", "14.0 thou", "EH"),
    ]  # fmt: skip


def test_a_spoilt_record_is_named_with_its_line_and_neither_read_nor_written(ask, record):
    for spoilt in ("[bore.1]\ndeck = {\n", '[bore.1]\n\ndeck = { value = "10" }\n', "\0"):
        record.write_text(spoilt)
        answers = ask(
            ("GET", "/api/readings", {}), post({"value": "10 thou"}), ("GET", "/api/readings/changes", {}),
            ("POST", "/api/readings/judge", {"json": {**DECK, "values": {"value": "1 mm"}}}),
        )  # fmt: skip
        assert {answer.status_code for answer in answers} == {503}
        assert all("knot.record.toml" in answer.json()["error"]["what"] for answer in answers)
        assert record.read_text() == spoilt
    record.write_text('[bore.1]\n\ndeck = { value = "10" }\n')
    assert (
        "knot.record.toml:3: bore.1.deck.value"
        in ask(("GET", "/api/readings", {}))[0].json()["error"]["what"]
    )


BAD = [
    ({"values": {"value": "10"}}, "has no unit"), ({"values": {"value": "10 kg"}}, "not a length"),
    ({"values": {}}, "has no value"), ({"values": {"width": "1 mm"}}, "has no value"), ({"values": 5}, "not an object"),
    ({"values": {"value": 5}}, "not a text"), ({"values": {"value": "1 mm\n"}}, "not a text"),
    ({"values": {"value": "9" * 900}}, "not a text"), ({"place": "bore 7"}, "no bore 7"), ({"place": 1}, "not a text"),
    ({"place": "../../etc"}, "not a place"), ({"path": "deck.value"}, "goes no deeper"),
    ({"path": "rod.way", "values": {"value": "sideways"}}, "sideways"), ({"by": " "}, "nobody"),
    ({"by": None}, "not a text"),
    ({"seen": "x"}, "not an object"), ({"seen": [1]}, "not an object"), ({"page": None}, "not a text"),
    ({"values": {"value": "1 mm", "on": "soon"}}, "not a day"), ({"values": {"value": "1 mm", "by": "x" * 50}}, "by"),
    ({"path": "ring.top.gap", "values": {"go": "2 thou", "tight": "1 thou"}}, "tight"),
]  # fmt: skip


def test_what_cannot_be_read_is_refused_in_one_line_and_not_written(ask, record):
    requests = [post({"value": "10 thou"}, **change) for change, _ in BAD if "values" not in change]
    requests = [
        ("POST", "/api/readings", {"json": {**DECK, "values": {"value": "10 thou"}, "seen": None, **change}})
        for change, _ in BAD
    ]
    for answer, (change, words) in zip(ask(*requests), BAD, strict=True):
        assert answer.status_code == 422, change
        error = answer.json()["error"]
        assert words in error["what"] + error["right"], (change, error)
        assert "\n" not in error["what"]
    assert not record.exists()


def test_two_shells_in_one_seat_are_refused_as_typed_and_the_record_stays(ask, record):
    ask(post({"value": "rod"}, path="shell.upper.seat"))
    before = record.read_text()
    (answer,) = ask(post({"value": "rod"}, path="shell.lower.seat"))
    assert answer.status_code == 422
    assert "both shells" in answer.json()["error"]["what"]
    assert record.read_text() == before


def test_many_at_once_lose_nothing_and_the_history_is_in_order(served, record):
    numbers = range(1, 13)

    def enter(number):
        values = {"value": "1", "note": f"by {number}"}
        paths = ("piston.number", "rod.number", "cap.number")
        for path in paths[number % 3 :: 3]:
            try:
                saved(served, Entering("bore 1", path, values, None, f"N{number}", "p"))
            except Exception as bad:
                failed.append(bad)

    failed = []
    threads = [threading.Thread(target=enter, args=(number,)) for number in numbers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    found = held(record)
    assert len(found) == 3  # the first of each four is kept, the others were told of a conflict
    noted = served.journal.since(0)
    assert len(noted) == len(found)
    assert all(found[each.change.place, each.change.path] == each.change.after for each in noted)
