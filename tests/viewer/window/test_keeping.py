"""Pictures and films that are kept: under new names, wherever there is room, and said where."""

import pytest

from tests.viewer.window.seen import panel_words
from viewer.output import unused_name


def test_a_picture_is_kept_under_a_new_name(view, tmp_path):
    view.press("p")
    view.press("p")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["knot 1.png", "knot 2.png"]
    assert "kept as knot 2.png" in panel_words(view)
    assert unused_name(tmp_path, "knot", ".png").name == "knot 3.png"


def test_a_film_is_one_working_cycle_of_what_is_on_the_screen(view, tmp_path, monkeypatch):
    monkeypatch.setattr("viewer.window.view.FILM_STEP_DEG", 20.0)
    imageio_ffmpeg = pytest.importorskip("imageio_ffmpeg")
    view.press("3"), view.press("0"), view.press("Return")
    view.press("shift+p")
    frames, seconds = imageio_ffmpeg.count_frames_and_secs(str(tmp_path / "knot 1.mp4"))
    assert frames == round(view.cycle_deg / 20.0)
    assert seconds == pytest.approx(frames / 24, abs=0.1)
    assert view.state.crank_deg == 30.0
