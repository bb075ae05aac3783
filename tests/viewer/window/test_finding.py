"""Work beside the window that comes to nothing says so in one line, instead of being waited for."""

import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from geometry.errors import InputError, Problem
from viewer.window.finding import BackgroundSearch, failure
from viewer.window.loaded import Loaded
from viewer.window.view import EngineWindow

SIZE = (640, 420)


class Trouble:
    """Work that fails; counts how often it was begun."""

    def __init__(self, bad, waits_s=0.0):
        self.bad, self.waits_s, self.calls = bad, waits_s, 0

    def __call__(self, *_):
        self.calls += 1
        time.sleep(self.waits_s)
        raise self.bad


@pytest.fixture(scope="module")
def view(knot):
    made = EngineWindow(Loaded(knot), off_screen=True, size=SIZE)
    yield made
    made.close()


@pytest.fixture
def searched(view):
    """The window while a search that will fail is under way."""
    search = Trouble(ValueError("a half-width\n of inf"), 0.05)
    view._places._find = search
    view._places.forget()
    view.press("Home")
    return search


def panel_words(view):
    overlays = (view._panels._still, view._panels._moving)
    return " ".join(a.GetInput() for overlay in overlays for a in overlay._texts if a.GetVisibility())


def let_it_end(view, over):
    for _ in range(500):
        view.tick()
        if over():
            return
        time.sleep(0.01)
    pytest.fail("the work did not end")


@pytest.mark.parametrize("bad, said", [
    (ValueError("a half-width\n of inf"), "a fault of the program: ValueError, a half-width of inf"),
    (MemoryError(), "a fault of the program: MemoryError"),
    (InputError([Problem("x.toml", 3, "crank.stroke", "is too long")]), "x.toml:3: crank.stroke: is too long"),
])  # fmt: skip
def test_a_fault_is_one_line(bad, said):
    assert failure(bad).words == said


LINE = "the clearances cannot be worked out: a fault of the program: ValueError, a half-width of inf"


def test_a_search_for_close_places_that_fails(view, searched):
    view.press("w")
    assert view.state.message == "working out the clearances ..."
    view.press("Home")
    assert "working out the clearances ..." in panel_words(view)
    let_it_end(view, lambda: "working out" not in panel_words(view))
    assert view.places is None
    assert LINE in panel_words(view)
    view.press("w")
    assert view.state.message == LINE
    view.press("Right")
    view.tick()
    assert searched.calls == 1  # what has failed once would fail again


def test_a_failure_is_told_where_the_list_is_away(view, searched):
    view.press("y")
    assert LINE not in panel_words(view)
    let_it_end(view, lambda: LINE in panel_words(view))
    view.press("y")


def test_a_colouring_that_fails(view, knot, monkeypatch):
    work = Trouble(ZeroDivisionError("by nothing"), 0.05)
    monkeypatch.setattr(view, "_heat", BackgroundSearch(work, "the closest approach"))
    view.press("h")
    assert "working out the closest approach ..." in panel_words(view)
    let_it_end(view, lambda: "working out the closest" not in panel_words(view))
    line = "the closest approach cannot be worked out: a fault of the program: ZeroDivisionError, by nothing"
    assert line in panel_words(view)
    assert view.scene.scale is None
    assert work.calls == 1
    view.press("h")


def test_a_fault_while_a_saved_file_is_read_keeps_the_last_good_engine(view, monkeypatch):
    monkeypatch.setattr(view, "_reload", Trouble(RecursionError("too deep")))
    view.read_again()
    assert view.trouble == "a fault of the program: RecursionError, too deep"
    assert view.scene.title == "Knot"


class Slow:
    """Work that tells how far it has come until nobody wants it any more."""

    def __init__(self):
        self.begun, self.ended = threading.Event(), threading.Event()

    def __call__(self, *asked):
        *_, told = asked
        try:
            for hundredth in range(3000):
                told(min(hundredth, 34) / 100)
                if hundredth == 34:
                    self.begun.set()
                time.sleep(0.002)
        finally:
            self.ended.set()


@pytest.mark.parametrize("key", ["h", "Escape"])
def test_colours_tell_how_far_they_are_and_can_be_ended(view, monkeypatch, key):
    work = Slow()
    monkeypatch.setattr(view, "trouble", "")
    monkeypatch.setattr(view, "_heat", BackgroundSearch(work, "the closest approach", "H or esc ends it"))
    view.press("h")
    assert work.begun.wait(20.0)
    monkeypatch.setattr("viewer.window.view.TELL_S", 0.0)
    view.tick()
    assert "34 % done; H or esc ends it" in panel_words(view)
    assert view.busy
    view.press(key)
    assert work.ended.wait(20.0)
    assert not view.state.heat
    assert "closest approach" not in panel_words(view)
    assert not view.over


CLOSED_EARLY = """
import sys
from pathlib import Path
from geometry.assembly import assemble
from geometry.spec.load import load_engine
from viewer.window.loaded import Loaded
from viewer.window.places import find_places
from viewer.window.view import EngineWindow
engine = Loaded(assemble(load_engine(Path(sys.argv[1]))))
view = EngineWindow(engine, off_screen=True, size=(320, 240), find=find_places)
view.press("h")
view.close()
"""


def test_a_window_closed_in_the_middle_of_its_work_prints_nothing():
    knot = Path(__file__).parents[3] / "demo_engines" / "knot.toml"
    done = subprocess.run(
        [sys.executable, "-c", CLOSED_EARLY, str(knot)], capture_output=True, text=True, check=True
    )
    assert (done.stdout, done.stderr) == ("", "")
