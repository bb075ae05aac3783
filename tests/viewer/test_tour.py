"""The film of the worst places: where the window goes, by the ways that an eye can follow, with words at each."""

from types import SimpleNamespace

import numpy as np
import pytest

from geometry.checks.clearances import judged
from geometry.checks.close_places import listed
from geometry.checks.troubles import troubles_of
from geometry.clearance.full_turn import full_turn
from geometry.errors import InputError
from viewer.job import read_job
from viewer.pictures import tour
from viewer.scene import ViewOptions
from viewer.scene.eye import Eye
from viewer.window.places import in_lines

FAR = Eye((0.0, 0.0, 100.0), 30.0, -20.0, 0.0, 300.0, 0.0)
NEAR = Eye((50.0, 20.0, 0.0), 90.0, 10.0, 0.0, 20.0, 0.0)


@pytest.fixture(scope="module")
def job():
    return read_job("demo_engines/knot.toml")


@pytest.fixture(scope="module")
def found(job):
    """Places of the single, and its clearances."""
    clearances = judged(job.assembly, full_turn(job.assembly))
    return troubles_of(job.assembly, clearances), clearances


def test_it_goes_where_the_window_goes(job, found):
    spots, clearances = found
    lines = in_lines(spots, listed(clearances, None))
    worst = [next(place.spot for place in lines if place.line == line) for line in range(3)]
    assert [stop.spot for stop in tour.tour_of(job, ViewOptions(), spots, 3, 24).stops] == worst


def test_nowhere_to_go_is_refused(job):
    with pytest.raises(InputError, match="nothing comes near"):
        tour.tour_of(job, ViewOptions(), (), 3, 24)


def test_the_crank_takes_the_shorter_way_round_the_cycle():
    assert tour.turned_deg(700.0, 20.0, 720.0) == pytest.approx(40.0)
    assert tour.turned_deg(20.0, 700.0, 720.0) == pytest.approx(-40.0)
    assert tour.turned_deg(0.0, 359.0, 360.0) == pytest.approx(-1.0)


def test_the_eye_begins_and_ends_where_it_should_and_steps_back_between_two_places():
    for start, end in ((FAR, NEAR), (NEAR, NEAR)):
        halves = [tour.drawn_back(start, end, share, 300.0).half_mm for share in np.linspace(0.0, 1.0, 41)]
        assert (halves[0], halves[-1]) == pytest.approx((start.half_mm, end.half_mm))
        assert halves[20] >= tour.BACK_SHARE * 300.0 - 1e-9
        ratios = np.diff(np.log(halves))
        assert np.abs(np.diff(ratios)).max() < 0.12  # no jump in speed


def test_every_picture_is_counted_and_a_place_stands_still_with_its_words(job, found, monkeypatch):
    """Two pictures of a way, and the drawing replaced where it is slow: what is shown, and in which order."""
    shown, size = [], (96, 64)

    def place(scene, asked):
        shown.append((scene.caption, scene.options.crank_deg, scene.callouts))
        return np.full((asked[1], asked[0], 3), 200, dtype=np.uint8)

    monkeypatch.setattr(tour, "draw", place)
    made = tour.tour_of(job, ViewOptions(units="mm"), found[0], 2, 1)
    pictures = list(made.pictures(size))
    assert len(pictures) == len(made.costs)
    assert {picture.shape for picture in pictures} == {(64, 96, 3)}
    assert sum((picture == 200).all() for picture in pictures) == 2 * round(tour.STAND_S)
    for stop, (caption, crank_deg, callouts) in zip(made.stops, shown, strict=True):
        assert f"(place {stop.rank} of {stop.count})" in caption[0]
        if stop.spot.crank_deg is not None:
            assert crank_deg % 720.0 == pytest.approx(stop.spot.crank_deg % 720.0)
        assert any("within" in line or "outside" in line for line in caption)
        assert len(callouts) >= 1
    # it ends where it began, so that it runs round without a jump of the engine; only its words differ
    assert np.abs(pictures[0][20:].astype(int) - pictures[-1][20:]).mean() < 3.0


def test_the_command_films_the_places_of_one_bore(call, monkeypatch, tmp_path):
    asked = {}

    def made(job, options, spots, most, rate):
        asked.update(bore=options.bore, most=most, rate=rate)
        return SimpleNamespace(
            pictures=lambda size: iter([np.zeros((*size[::-1], 3), np.uint8)] * 2), costs=[1, 1]
        )

    monkeypatch.setattr("viewer.pictures.tour.tour_of", made)
    monkeypatch.setattr("viewer.pictures.pointed.job_troubles", lambda job, record: ())
    words = ("--tour", "3", "--bore", "1", "--fps", "10", "--size", "64x64")
    code, _, said = call("film", "demo_engines/knot.toml", "-o", tmp_path / "x.webp", *words)
    assert (code, asked) == (0, {"bore": 1, "most": 3, "rate": 10})
    assert said[0].startswith("Certifying clearances")
