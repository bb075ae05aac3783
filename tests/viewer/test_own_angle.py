"""Degrees after top dead centre are those of the bore that is named beside them, in picture and window."""

import re
from dataclasses import replace

import numpy as np
import pytest

from viewer.scene import ViewOptions, build_scene
from viewer.window import hud
from viewer.window.actions import press
from viewer.window.state import facts_of, first_state

CRANK_DEG = 37.0


@pytest.fixture(scope="module")
def top_deg(tern):
    """Independent: where each piston stands highest over the crank axis, looked for every 0.05 degrees."""
    turn = np.arange(0.0, 360.0, 0.05)
    found = {}
    for site in tern.layout.bores:
        bank = np.radians(site.bank_deg)
        up = np.array([0.0, -np.sin(bank), np.cos(bank)])
        found[site.bore] = float(turn[np.argmax(tern.pose(f"piston {site.bore}", turn)[:, :3, 3] @ up)])
    return found


def agrees(said_deg, bore, top_deg, crank_deg=CRANK_DEG):
    return abs((crank_deg - top_deg[bore] - said_deg + 180.0) % 360.0 - 180.0) < 0.11


def test_the_caption_of_a_picture(tern, top_deg):
    asked = [(bore, ViewOptions(view="front", bore=bore)) for bore in top_deg]
    asked += [(bore, ViewOptions(view=f"bore {bore}")) for bore in (4, 7)]
    for bore, options in asked:
        line = build_scene(tern, replace(options, crank_deg=CRANK_DEG, block="hidden")).caption[1]
        after, named = re.search(r", ([\d.]+)° after top dead centre of bore (\d+)", line).groups()
        assert int(named) == bore
        assert agrees(float(after), bore, top_deg), line


def test_the_bar_of_the_window(tern, top_deg):
    facts = facts_of(tern)
    state = replace(first_state(facts), crank_deg=CRANK_DEG)
    for bore in top_deg:
        panel = hud.knob(replace(state, bore=bore), facts, 720.0, (1280, 800), lambda *_: (100.0, 20.0))
        said = " ".join(words.text for words in panel.words)
        after, named = re.search(r"([\d.]+)° after top of bore (\d+)", said).groups()
        assert int(named) == bore
        assert agrees(float(after), bore, top_deg), said


def test_keys_that_count_from_the_chosen_bore(tern, top_deg):
    facts = facts_of(tern)
    for bore, top in top_deg.items():
        state = replace(first_state(facts), bore=bore)
        assert agrees(0.0, bore, top_deg, press(state, facts, "t").crank_deg)
        for key in ("1", "5", "a", "Return"):
            state = press(state, facts, key)
        assert agrees(15.0, bore, top_deg, state.crank_deg), top
