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


def test_writes_webp_in_the_order_drawn_and_tells_of_it(tmp_path):
    colours, seen = [(200, 30, 30), (30, 200, 30), (30, 30, 200)], []

    def follow(numbers, count):
        for number in numbers:
            seen.append((number, count))
            yield number

    write_film(
        (np.full((64, 64, 3), colour, np.uint8) for colour in colours), tmp_path / "x.webp", 10, follow
    )
    with Image.open(tmp_path / "x.webp") as made:
        assert (made.n_frames, made.size, made.info["loop"]) == (3, (64, 64), 0)
        for number, colour in enumerate(colours):
            made.seek(number)
            made.load()
            assert made.info["duration"] == 100
            assert np.abs(np.array(made.convert("RGB")).mean(axis=(0, 1)) - colour).max() < 6
    assert seen == [(0, 3), (1, 3), (2, 3)]


def test_writes_mp4_that_can_be_read_back(tmp_path):
    encoder = pytest.importorskip("imageio_ffmpeg")
    path = tmp_path / "x.mp4"
    write_film((np.full((64, 96, 3), shade, np.uint8) for shade in (20, 120, 220) * 4), path, 12)
    words = [encoder.get_ffmpeg_exe(), "-i", str(path), "-f", "rawvideo", "-pix_fmt", "rgb24", "-"]
    read = subprocess.run(words, capture_output=True, check=True, timeout=60)
    assert b"12 fps" in read.stderr
    shades = np.frombuffer(read.stdout, np.uint8).reshape(-1, 64 * 96 * 3).mean(axis=1)
    assert shades == pytest.approx([20, 120, 220] * 4, abs=12)
    assert list(tmp_path.iterdir()) == [path]


def test_a_mistake_is_filmed_right_beside_wrong_as_explain_films_it(tmp_path, monkeypatch):
    from viewer.explained import film as explained

    monkeypatch.setattr(explained, "steps_of", lambda case: [350.0, 360.0])
    path = tmp_path / "x.webp"
    assert run("-o", str(path), "--explain", "wrong_compression_height", "--bore", "1").exit_code == 0
    with Image.open(path) as made:
        assert made.n_frames == 2


@pytest.mark.parametrize(
    "words, said",
    [
        (("--explain", "rod_turned", "--turns", "1"), "--explain and --turns"),
        (("--explain", "rod_turned", "--tour"), "--explain and --tour"),
        (("--tour", "2", "--view", "front"), "--tour and --view"),
        (("--main", "1"), "--main goes with --explain"),
    ],
)
def test_options_that_a_film_has_no_use_for_are_refused(tmp_path, words, said):
    done = run("-o", str(tmp_path / "x.gif"), *words)
    assert done.exit_code == 2
    assert said in done.output
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    "name, words, said",
    [
        ("x.avi", (), "cannot be written as a film"),
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


def test_time_left_goes_by_what_each_takes_and_one_line_is_written_over_on_a_terminal(monkeypatch, capsys):
    seconds = iter([0.0, 1.0, 2.0, 4.0])
    monkeypatch.setattr("time.monotonic", lambda: next(seconds))
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    assert list(followed("abcd", 4, "Filming", "pictures", [5.0, 1.0, 1.0, 2.0])) == list("abcd")
    told = capsys.readouterr().err.split("\r")
    # a second for a share of one, and four shares left of b, c and d; then three, then two
    assert [line.strip() for line in told] == [
        "", "Filming: 4 pictures", "Filming: 1 of 4 pictures, about 4 s left",
        "Filming: 2 of 4 pictures, about 3 s left", "Filming: 3 of 4 pictures, about 2 s left", "", "",
    ]  # fmt: skip
    assert len(told[-2]) == len(told[-3])  # the line is wiped


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
