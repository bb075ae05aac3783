"""A window on the single, off the display."""

import pytest

from tests.viewer.window.seen import SIZE, Hands
from viewer.window.loaded import Loaded
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
