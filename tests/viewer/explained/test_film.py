"""Films of mistakes: through the angles at which something is met, slowly there, and refused where nothing moves."""

from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from PIL import Image

from geometry.errors import InputError
from geometry.mistakes.mistake import CrankArc
from tests.geometry.mistakes.shop import right
from tests.viewer.explained.bench import case_of
from viewer.explained import film
from viewer.explained.motion import FAST_DEG, SLOW_DEG, crank_said, slow_through
from viewer.explained.pen import WRONG

KNOT = Path(__file__).parents[3] / "demo_engines" / "knot.toml"


@pytest.fixture(scope="module")
def too_high():
    return case_of(right(), "wrong_rod_length", 1)


def red(picture, wrong):
    """Pixels of the colour of what is wrong inside one half."""
    middle = picture.shape[1] // 2
    part = picture[140:570, middle + 25 : -40] if wrong else picture[140:570, 40 : middle - 25]
    return int((np.abs(part.astype(int) - 255 * np.array(to_rgb(WRONG))).max(axis=2) < 12).sum())


def test_steps_are_small_where_something_is_met_and_great_elsewhere():
    steps = np.array(slow_through(CrankArc(350.0, 370.0, 1.0)))
    gaps = np.diff(steps)
    inside = (steps[:-1] >= 350.0) & (steps[1:] <= 370.0)
    assert (gaps > 0.0).all()
    assert gaps[inside].max() < 1.1 * SLOW_DEG
    assert gaps.max() == pytest.approx(FAST_DEG)
    assert steps[0] < 330.0
    assert steps[-1] > 390.0


def test_a_film_shows_the_bite_in_the_wrong_half_where_it_is_met(too_high):
    (arc,) = too_high.study.signature.tight
    middle, before = (arc.start_deg + arc.end_deg) / 2, arc.start_deg - 2.0
    assert crank_said(too_high, middle)[1]
    assert not crank_said(too_high, before)[1]
    met, free = film.pictures(too_high, [middle, before])
    assert met.shape == free.shape
    assert (met.shape[0] % 2, met.shape[1] % 2) == (0, 0)  # films need even sizes
    # The small picture of piston and rod has some red of its own, at every angle.
    assert red(met, True) > red(free, True) + 5000
    assert red(met, False) == red(free, False) == 0


def test_the_rod_goes_sideways_into_the_fillet():
    case = case_of(right(), "rod_turned", 3)
    steps = film.steps_of(case)
    total = 0.012 * 25.4  # 1.872 in of crankpin, two rods of 0.930 in
    assert steps[0] == pytest.approx(total)
    assert min(steps) == 0.0
    moving = film.drawing_of(case).moving
    # Wrong it may come as near as 0.012 - 0.0007 in; the table says what is left of the side clearance.
    left = case.study.signature.side_play_mm[3]
    assert not moving.said(case, total - left + 1e-6)[1]
    assert moving.said(case, total - left - 1e-6)[1]


def test_what_does_not_move_is_refused_in_one_line(call, tmp_path):
    target = tmp_path / "x.gif"
    code, out, (line,) = call("explain", KNOT, "gap_too_tight", "--film", target)
    assert (code, out) == (2, "")
    assert "nothing that moves shows it" in line
    assert not target.exists()
    with pytest.raises(InputError):
        film.steps_of(case_of(right(), "rings_exchanged", 1))


def test_a_film_is_written_and_named(call, tmp_path, monkeypatch):
    monkeypatch.setattr(film, "steps_of", lambda case: [350.0, 360.0])
    target = tmp_path / "x.gif"
    code, out, _ = call("explain", KNOT, "wrong_compression_height", "--film", target)
    assert code == 0
    assert f"Film: {target}" in out
    with Image.open(target) as found:
        assert found.n_frames == 2
