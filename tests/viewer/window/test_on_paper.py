"""The plane drawing of a mistake laid over both halves: drawn beside the window, swapped by a key, gone with it."""

import numpy as np
import pytest

from tests.viewer.window.seen import words
from viewer.explained.sheet import drawing_of, drawn_half
from viewer.window.hud import unit_of


def put_in(view, key):
    view.apply(view._beside.choose(view.state, view.assembly, "mm", (key, 1)))


def drawn(view):
    """Wait for the drawing that is made beside the window."""
    for thread in view._beside.paper._search._threads:
        thread.join()
    view.tick()


@pytest.fixture
def shells(view):
    """A mistake that no one sees in the solids: both halves of the bearing look alike."""
    put_in(view, "shells_exchanged")
    assert view.state.plane
    assert not view._beside.flat  # the window does not wait for it
    drawn(view)
    return view


def test_where_the_solids_look_alike_the_drawing_of_the_sheet_is_shown(shells):
    view, picture = shells, shells.picture()
    width = picture.shape[1] // 2
    (case, wide), _ = next(iter(view._beside.paper._search._known.items()))
    for wrong in (False, True):
        own, _ = drawn_half(case, wrong, wide)
        half = picture[:, wrong * width : (wrong + 1) * width]
        left, bottom = (width - own.shape[1]) // 2, int((118.0 + 94.0) * unit_of(shells.window.GetSize()))
        seen = half[
            half.shape[0] - bottom - own.shape[0] : half.shape[0] - bottom, left : left + own.shape[1]
        ]
        assert (np.abs(seen.astype(int) - own).max(axis=2) > 8).mean() < 0.01, wrong
    assert "As it should be" in words(view)
    right = " ".join(a.GetInput() for a in view._beside._stage.overlay._texts if a.GetVisibility())
    assert set(drawing_of(case).said(case).split()) <= set(right.split())
    assert not [
        word for word in words(view) if word in ("FRONT", "right", "up")
    ]  # of the solids no word is left


def test_a_key_swaps_drawing_and_solids_and_leaving_leaves_nothing(shells):
    view = shells
    flat = view.picture()
    view.press("shift+s")
    assert not view._beside.flat
    assert np.abs(view.picture().astype(int) - flat).mean() > 5.0
    view.press("shift+s")  # it is known by now, and there at once
    assert view._beside.flat
    assert np.abs(view.picture().astype(int) - flat)[200:300].mean() < 1.0
    assert [button.name for button in view._panels.buttons].count("shift+s") == 1
    view.press("Escape")
    assert (view.state.mistake, view.state.plane, view._beside.flat) == (None, False, False)
    assert view._beside._stage is not None
    assert not view._beside._stage.sheet.shown
    view.press("shift+s")
    assert (view.state.plane, view.state.message) == (False, "put a mistake in first: M")


def test_a_mistake_that_is_seen_in_the_solids_comes_in_them(view):
    put_in(view, "wrong_compression_height")
    assert not view.state.plane


def test_what_lies_behind_a_drawing_is_not_picked(shells):
    shells.click(480, 220)
    assert shells.state.picked == ""


def test_a_drawing_that_fails_says_so_and_the_solids_stay(view, monkeypatch):
    def broken(case, wrong, width_px):
        raise ValueError("no ink")

    monkeypatch.setattr("viewer.window.on_paper.drawn_half", broken)
    put_in(view, "shells_exchanged")
    drawn(view)
    assert not view._beside.flat
    assert (
        view.state.message == "the drawing cannot be worked out: a fault of the program: ValueError, no ink"
    )
