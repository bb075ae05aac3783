"""A window on the single, off the display."""

import pytest

from tests.viewer.window.seen import SIZE, Hands
from viewer.window.loaded import Loaded
from viewer.window.state import facts_of, first_state
from viewer.window.view import EngineWindow


@pytest.fixture
def view(knot, tmp_path):
    clock = Hands()
    made = EngineWindow(
        Loaded(knot), off_screen=True, size=SIZE, quality="fast", folder=tmp_path, clock=clock
    )
    made.hands = clock
    yield made
    made.close()


@pytest.fixture(scope="session")
def _undrawn(knot):
    made = EngineWindow(Loaded(knot), off_screen=True, size=SIZE, quality="fast", clock=Hands())
    made.hands = made._clock
    made.render = made.redraw = made.smooth = lambda: None
    made._gaze.glide_s = 0.0
    yield made
    made.close()


@pytest.fixture
def undrawn(_undrawn):
    """A window that is laid out and never drawn, as it opens: quick, where no pixel is looked at."""
    _undrawn.apply(first_state(facts_of(_undrawn.assembly)), rebuild=True)
    _undrawn.rest()
    _undrawn.over = False
    return _undrawn
