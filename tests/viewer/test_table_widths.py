"""Tables in a narrow terminal: no word is broken and no number parted from its unit while there is room."""

import pytest

from viewer.terminal import _BETWEEN, _widths

HEADS = ["bore", "side clearance left", "verdict"]
ROWS = [["1, 3, 5, 7", "0.0120 in", "overlaps"], ["all", "-0.0904 in", "clear"]]


def total(widths):
    return sum(widths) + _BETWEEN * (len(widths) - 1)


def test_with_room_every_cell_stands_on_one_line():
    assert _widths(HEADS, ROWS, 80, ()) == [10, 19, 8]


@pytest.mark.parametrize("room", range(26, 41))
def test_what_has_to_be_narrower_keeps_words_and_quantities_whole(room):
    # By hand: "bore" 4, "-0.0904 in" 10, "overlaps" 8, and two columns between each: 26.
    widths = _widths(HEADS, ROWS, room, ())
    assert total(widths) <= room
    assert widths[0] >= 4
    assert widths[1] >= 10
    assert widths[2] >= 8


def test_a_number_leaves_its_unit_before_a_word_is_broken():
    # "clearance" 9 is the longest word then.
    assert _widths(HEADS, ROWS, 25, ()) == [4, 9, 8]


def test_what_is_to_stay_whole_stays_so_and_nothing_ends_at_no_width():
    assert _widths(HEADS, ROWS, 30, ["bore"])[0] == 10
    assert min(_widths(HEADS, ROWS, 5, ())) >= 1
