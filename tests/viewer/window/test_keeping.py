"""Pictures and films that are kept: under new names, wherever there is room, and said where."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.viewer.window.seen import panel_words
from viewer.output import unused_name
from viewer.window import keeping
from viewer.window.events import key_name
from viewer.window.keeping import keep_film, keep_picture


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


def pictures():
    """Three of a film, each of one colour."""
    yield from (np.full((24, 32, 3), level, dtype=np.uint8) for level in (40, 120, 200))


def test_the_key_for_a_film_is_also_the_one_that_other_programs_print_by():
    assert key_name("p", False, True) == key_name("P", True) == "shift+p"
    assert key_name("c", False, True) == ""  # no other key means anything while control is held


def test_without_an_encoder_the_film_is_a_gif(tmp_path, monkeypatch):
    monkeypatch.setattr("viewer.pictures.media.importlib.util.find_spec", lambda name: None)
    (tmp_path / "knot 1.gif").write_bytes(b"an older one")
    assert keep_film(tmp_path, "Knot", pictures) == f"kept as knot 2.gif\nin {tmp_path.resolve()}"
    with Image.open(tmp_path / "knot 2.gif") as film:
        assert film.n_frames == 3
    assert (tmp_path / "knot 1.gif").read_bytes() == b"an older one"


def test_an_encoder_that_does_not_run_ends_in_a_gif_too(tmp_path, monkeypatch):
    ended = []

    def frames():
        try:
            yield from pictures()
        finally:
            ended.append(1)

    def broken(frames, target, rate):
        next(iter(frames))
        raise RuntimeError("no program to encode with")

    monkeypatch.setattr("viewer.pictures.media._write_mp4", broken)
    monkeypatch.setattr("viewer.pictures.media.importlib.util.find_spec", lambda name: name)
    assert keep_film(tmp_path, "Knot", frames).startswith("kept as knot 1.gif")
    assert [path.name for path in tmp_path.iterdir()] == ["knot 1.gif"]
    assert len(ended) == 2  # the first try gave the window back before the second


def test_where_nothing_can_be_written_it_goes_elsewhere_and_says_so(tmp_path, monkeypatch):
    home, gone = tmp_path / "home", tmp_path / "gone"
    home.mkdir()
    monkeypatch.setattr(Path, "home", lambda: home)
    said = keep_picture(gone, "Knot", lambda: next(pictures()))
    assert said == f"{gone} cannot be written to; kept as knot 1.png\nin {home}"
    assert (home / "knot 1.png").is_file()


def test_where_there_is_no_place_at_all_one_line_says_so_and_nothing_is_drawn(tmp_path, monkeypatch):
    monkeypatch.setattr(keeping, "_spares", lambda: ())
    drawn = []
    said = [
        keep_film(tmp_path / "gone", "Knot", lambda: drawn.append(1) or pictures()),
        keep_picture(tmp_path / "gone", "Knot", lambda: drawn.append(1)),
    ]
    for line in said:
        assert line.startswith(f"nothing was kept: {tmp_path / 'gone'} cannot be written to")
        assert len(line.splitlines()) == 1
    assert drawn == []


def test_what_is_kept_shows_the_crank_bar_and_no_buttons(undrawn, tmp_path, monkeypatch):
    seen = []
    monkeypatch.setattr(
        keeping, "write_picture", lambda picture, path: seen.append(panel_words(undrawn)) or path
    )
    monkeypatch.setattr(undrawn, "picture", lambda: np.zeros((4, 4, 3), dtype=np.uint8))
    undrawn.press("p")
    assert "? keys" in panel_words(undrawn)
    assert "? keys" not in seen[0]
    assert any("after top of bore 1" in text for text in seen[0])
