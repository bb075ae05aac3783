"""Entries into the text of a record: comments and order of a hand survive, and nothing else changes."""

import tomllib
from datetime import date

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from geometry.record.document import CannotPlace, line_for, new_text, with_entries

HAND = """\
# Mine: begun on a wet Monday.
[record]
engine = "Tern"

# The one that binds.
[bore.3]
rod.way = { value = "turned", by = "EH" }   # saw it myself
# gaps, in the evening
ring.top.gap = { go = "18 thou" }

# Not yet looked at.
[bore.5]

[bore.1]
deck = { value = "10 thou" }
"""


def kept(before, after):
    """Lines of a text that stand in another one, in its order."""
    rest = iter(after.splitlines())
    return [line for line in before.splitlines() if line in rest]


@pytest.mark.parametrize(
    "path",
    [
        ("bore", "3", "piston", "way"), ("bore", "5", "rod", "way"), ("bore", "1", "rod", "side"),
        ("bore", "8", "cap", "way"), ("main", "2", "way"), ("crank", "end_play"),
    ],
)  # fmt: skip
def test_a_new_entry_leaves_every_line_that_was_there(path):
    after = with_entries(HAND, {path: {"value": "x"}})
    assert kept(HAND, after) == HAND.splitlines()


def test_a_new_entry_stands_under_its_own_header_before_the_next_comment():
    lines = with_entries(HAND, {("bore", "3", "cap", "way"): {"value": "correct"}}).splitlines()
    new = lines.index('cap.way = { value = "correct" }')
    assert lines[new - 1].startswith("ring.top.gap")
    assert lines[new + 1 : new + 3] == ["", "# Not yet looked at."]


def test_a_changed_entry_keeps_its_place_and_the_comment_behind_it():
    after = with_entries(HAND, {("bore", "3", "rod", "way"): {"value": "correct", "on": date(2026, 3, 16)}})
    changed = 'rod.way = { value = "correct", on = 2026-03-16 }   # saw it myself'
    assert after == HAND.replace('rod.way = { value = "turned", by = "EH" }   # saw it myself', changed)


def test_taking_out_takes_one_line():
    after = with_entries(HAND, {("bore", "3", "ring", "top", "gap"): None})
    assert after == HAND.replace('ring.top.gap = { go = "18 thou" }\n', "")


def test_taking_out_what_is_not_there_changes_nothing():
    assert with_entries(HAND, {("bore", "7", "rod", "way"): None}) == HAND


def test_an_entry_that_a_person_wrote_as_a_table_stays_one():
    text = '[bore.3.rod.way]\nvalue = "turned"  # really\nby = "EH"\n'
    after = with_entries(text, {("bore", "3", "rod", "way"): {"value": "correct"}})
    assert tomllib.loads(after) == {"bore": {"3": {"rod": {"way": {"value": "correct"}}}}}
    assert after.startswith("[bore.3.rod.way]\n")
    assert "# really" in after


def test_line_ends_of_another_system_stay():
    text = HAND.replace("\n", "\r\n")
    after = with_entries(text, {("bore", "5", "rod", "way"): {"value": "correct"}})
    assert after.count("\n") == after.count("\r\n") == text.count("\r\n") + 1


def test_a_layout_without_room_is_left_to_the_hand():
    # TOML closes an inline table at its brace: nothing may be added to bore 3 from outside.
    text = 'bore = { 3 = { rod = { way = { value = "turned" } } } }\n'
    path = ("bore", "3", "cap", "way")
    with pytest.raises(CannotPlace) as refused:
        with_entries(text, {path: {"value": "correct"}})
    assert refused.value.args[0] == path


def test_what_to_write_by_hand_is_itself_right():
    line, _, table = line_for(("bore", "3", "cap", "way"), {"value": "correct"}).partition(" under ")
    assert tomllib.loads(f"{table}\n{line}") == {"bore": {"3": {"cap": {"way": {"value": "correct"}}}}}


@pytest.mark.parametrize("name", ["Tern", 'She who "binds"', "back\\slash", "Skerrin № 2"])
def test_a_new_record_can_be_read_whatever_the_engine_is_called(name):
    assert tomllib.loads(new_text(name, date(2026, 3, 14)))["record"] == {
        "engine": name, "started": date(2026, 3, 14),
    }  # fmt: skip


PATHS = st.sampled_from(
    [
        ("bore", "3", "rod", "way"), ("bore", "3", "rod", "side"), ("bore", "3", "ring", "top", "gap"),
        ("bore", "5", "ring", "second", "gap"), ("bore", "1", "deck"), ("bore", "1", "bolt", "major", "stand"),
        ("main", "2", "way"), ("main", "2", "clearance"), ("crank", "end_play"), ("crank", "turning"),
    ]
)  # fmt: skip
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
CONTENTS = st.none() | st.fixed_dictionaries(
    {"value": TEXTS | st.integers(0, 99)}, optional={"note": TEXTS, "on": st.dates()}
)


def put(data, path, content):
    """The same change made to plain data, tables left empty ignored."""
    for key in path[:-1]:
        data = data.setdefault(key, {})
    data.pop(path[-1], None) if content is None else data.update({path[-1]: content})


def pruned(data):
    """Plain data without its empty tables."""
    if not isinstance(data, dict):
        return data
    inner = {key: pruned(value) for key, value in data.items()}
    return {key: value for key, value in inner.items() if value != {}}


@given(st.sampled_from(["", HAND]), st.lists(st.tuples(PATHS, CONTENTS), max_size=6))
def test_any_run_of_edits_reads_back_as_the_same_edits_of_plain_data(text, edits):
    data = tomllib.loads(text)
    comments = [line for line in text.splitlines() if line.lstrip().startswith("#")]
    for path, content in edits:
        text = with_entries(text, {path: content})
        put(data, path, content)
    assert pruned(tomllib.loads(text)) == pruned(data)
    assert pruned(tomlkit.parse(text).unwrap()) == pruned(data)  # a second reader of TOML agrees
    assert [line for line in text.splitlines() if line in comments] == comments
