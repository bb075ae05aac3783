"""Films: as many pictures as asked for, turning the right way, closing on themselves; refused before they are drawn."""

import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from geometry.errors import InputError
from viewer.commands.film import command as film
from viewer.pictures.film import filmed, turn_angles
from viewer.pictures.media import draw, write_film
from viewer.scene import ViewOptions, build_scene
from viewer.terminal import followed

KNOT = str(Path(__file__).parents[2] / "demo_engines" / "knot.toml")


def run(*words):
    done = CliRunner().invoke(film, [KNOT, *words])
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done


def test_angles_close_on_themselves():
    assert turn_angles(10.0, 2.0, 4).tolist() == [10.0, 190.0, 370.0, 550.0]


def test_pictures_are_those_of_a_still_at_the_same_angle(knot):
    angles, options = [20.0, 110.0], ViewOptions(view="front", block="hidden", labels=False)
    for angle, picture in zip(angles, filmed(knot, options, angles, (240, 160)), strict=True):
        still, other = (
            draw(build_scene(knot, replace(options, crank_deg=turned)), (240, 160)).astype(int)
            for turned in (angle, angle + 60.0)
        )
        assert picture.shape == (160, 240, 3)
        apart = np.abs(picture - still).mean()
        assert apart < 0.5 * np.abs(picture - other).mean()


def test_writes_a_gif(tmp_path):
    path = tmp_path / "knot.gif"
    words = ("--turns", "1", "--seconds", "0.5", "--fps", "10", "--size", "160x120", "--view", "rings 1")
    assert run("-o", str(path), *words).exit_code == 0
    with Image.open(path) as made:
        assert made.n_frames == 5
        assert made.size == (160, 120)
        assert made.info["duration"] == 100


@pytest.mark.parametrize(
    "name, words, said",
    [
        ("x.avi", (), "is no kind of film"),
        ("no/x.gif", (), "there is no such folder"),
        ("x.gif", ("--size", "161x120"), "is odd"),
        ("x.gif", ("--view", "sideways"), "there is no view"),
    ],
)
def test_refusals(tmp_path, name, words, said):
    with pytest.raises(InputError, match=said):
        run("-o", str(tmp_path / name), *words)


def test_without_the_encoder_it_says_what_to_install(tmp_path, monkeypatch):
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    with pytest.raises(InputError, match=r"fullturn\[film\]"):
        run("-o", str(tmp_path / "x.mp4"))


@pytest.mark.parametrize("view, made", [(" Rings 1", 3), ("front", 1)])
def test_a_view_that_hangs_on_a_piston_is_made_anew_at_each_angle(knot, monkeypatch, view, made):
    angles = []

    def build(assembly, options):
        angles.append(options.crank_deg)
        return build_scene(assembly, options)

    monkeypatch.setattr("viewer.pictures.film.build_scene", build)
    assert len(list(filmed(knot, ViewOptions(view=view), [10.0, 100.0], (80, 64)))) == 2
    assert angles == [10.0, 10.0, 100.0][:made]


def test_progress_is_told_in_plain_lines_where_no_bar_can_be_drawn(monkeypatch, capsys):
    seconds = iter(range(0, 100, 3))
    monkeypatch.setattr("time.monotonic", lambda: next(seconds))
    assert list(followed("abcdef", 6, "Filming", "pictures")) == list("abcdef")
    told = capsys.readouterr()
    # 3 s for each after the first: at 6 s two are done and 12 s are left, at 12 s four and 6 s
    assert told.err.splitlines() == [
        "Filming: 6 pictures",
        "Filming: 2 of 6 pictures, about 12 s left",
        "Filming: 4 of 6 pictures, about 6 s left",
    ]
    assert told.out == ""


@pytest.mark.skipif(not hasattr(signal, "SIGHUP"), reason="signals as of POSIX")
def test_a_film_that_is_broken_off_leaves_nothing_behind(tmp_path):
    program = "import sys; from viewer.cli import main; sys.argv[0] = 'fullturn'; main()"
    words = ("film", KNOT, "-o", str(tmp_path / "x.gif"), "--size", "64x64")
    running = subprocess.Popen(
        [sys.executable, "-c", program, *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    first = running.stderr.readline()
    running.send_signal(signal.SIGINT)
    out, err = running.communicate(timeout=60)
    assert first == "Filming: 192 pictures\n"
    assert (running.returncode, out, err.strip()) == (128 + signal.SIGINT, "", "")
    assert list(tmp_path.iterdir()) == []


def test_the_encoder_lets_go_of_its_file_before_that_is_taken_away(tmp_path, monkeypatch):
    done = []

    def encoder(path, size, **_):
        Path(path).write_bytes(b"half a film")
        try:
            while True:
                yield
        finally:
            done.append(Path(path).exists())

    def frames():
        yield np.zeros((64, 64, 3), dtype=np.uint8)
        raise KeyboardInterrupt

    monkeypatch.setitem(sys.modules, "imageio_ffmpeg", SimpleNamespace(write_frames=encoder))
    monkeypatch.setattr("importlib.util.find_spec", lambda name: True)
    with pytest.raises(KeyboardInterrupt):
        write_film(frames(), tmp_path / "x.mp4")
    assert done == [True]
    assert list(tmp_path.iterdir()) == []
