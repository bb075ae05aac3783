"""One place has one name: in the table, over a curve, in a picture's words, in the window's list and in the page."""

from pathlib import Path

import pytest

from geometry.checks.clearances import SHOWN_KINDS, judged, run
from geometry.checks.close_places import listed
from geometry.checks.troubles import troubles_of
from geometry.clearance.full_turn import turn_of
from geometry.clearance.words import ordered, place_words, short_pair_words
from viewer.job import read_job
from viewer.page.places import places_of
from viewer.reports.clearance import give_curve
from viewer.window.closest import callout_at
from viewer.window.pointing import least_of_bodies, part_tag

KNOT = Path(__file__).parents[2] / "demo_engines" / "knot.toml"


@pytest.fixture(scope="module")
def found(knot):
    return judged(knot, turn_of(knot)[0])


def test_table_list_picture_and_page_call_a_place_the_same(knot, found):
    rows = {(row["body_a"], row["body_b"]): row for row in reversed(run(knot, "mm").rows)}
    spots = troubles_of(knot, found)
    paged = {tuple(place["bodies"]): place["words"] for place in places_of(knot, "mm", "", spots, curves=0)}
    assert len(listed(found)) >= min(SHOWN_KINDS, 5)
    for close in listed(found)[:8]:
        row = rows[close.bodies]
        assert close.words == (row["place_a"], row["place_b"])
        short = short_pair_words(close.pair.a, close.pair.b)
        drawn = callout_at(close, close.crank_deg, "mm").text
        assert drawn.startswith(f"{short}: ")
        assert paged.get(close.bodies, short) == short


def test_a_tag_of_the_window_names_the_places_of_the_table(knot, found):
    leasts = least_of_bodies(knot)
    a, b = ordered(leasts["crank"].near.pair)
    named = part_tag("crank", "crank", leasts, "", "mm", "").lines[0]
    assert set(named.split(" to ")) == {place_words(a), place_words(b)}


def test_a_curve_is_asked_for_in_the_words_of_its_own_heading(capsys, knot, found):
    job = read_job(KNOT, None, ())
    first = listed(found)[0].words
    give_curve(job, " : ".join(first).upper(), None)
    assert capsys.readouterr().out.splitlines()[0] == f"# {first[0]} to {first[1]}"


def test_a_bore_that_both_places_share_is_left_to_who_names_it(found):
    said = {short_pair_words(close.pair.a, close.pair.b) for close in listed(found)}
    assert "intake valve to bore wall" in said or "bore wall to intake valve" in said
