"""The palette of a film: few pixels of a strong colour keep it, slow changes make no steps, what stands still stays."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image
from scipy.ndimage import uniform_filter

from viewer.pictures.media import write_film
from viewer.pictures.palette import COLOURS, Palette, counted, oklab

BLUE, RED = (25, 84, 132), (199, 41, 31)


def sky_with_signs(shift):
    """A grey sky of many shades, some metal noise, and small signs in strong colours, one of them moving."""
    rows = np.linspace(205, 245, 120)[:, None, None] + np.zeros((1, 200, 3)) + [-1.0, 0.0, 2.0]
    metal = np.random.default_rng(5).normal(140, 45, (60, 120, 1)) + [0.0, 2.0, 6.0]
    rows[50:110, 10:130] = np.clip(metal, 0, 255)
    rows[5:9, 150:156] = BLUE
    rows[20:24, 30 + shift : 36 + shift] = RED
    return np.round(rows).astype(np.uint8)


FILM = [sky_with_signs(shift) for shift in (0, 40, 80)]


def test_the_scale_of_colours_is_that_of_its_author():
    # B. Ottosson, "A perceptual color space for image processing": white is L 1 and without colour; from the paper's
    # table, XYZ (0.950, 1.000, 1.089) -> (1.000, 0.000, 0.000). Red of sRGB: L 0.628, a 0.225, b 0.126 (CSS Color 4).
    assert oklab(np.array([[255, 255, 255], [255, 0, 0]])) == pytest.approx(
        np.array([[1.0, 0.0, 0.0], [0.628, 0.225, 0.126]]), abs=0.001
    )


def test_a_colour_of_few_pixels_stays_that_colour(tmp_path):
    path = tmp_path / "x.gif"
    write_film(FILM, path, 10)
    with Image.open(path) as made:
        for number, frame in enumerate(FILM):
            made.seek(number)
            drawn = np.asarray(made.convert("RGB"))
            apart = 100 * np.linalg.norm(
                oklab(drawn.reshape(-1, 3)) - oklab(frame.reshape(-1, 3)), axis=1
            ).reshape(frame.shape[:2])
            for colour in (BLUE, RED):
                # 2 is about the least that an eye sees side by side on this scale of 0 to 100
                assert apart[(frame == colour).all(axis=2)].max() < 2.0
            assert apart.mean() < 1.0


def test_a_slow_change_makes_no_steps_and_what_stands_still_stays_still():
    palette = Palette(sum(counted(frame) for frame in FILM))
    assert len(palette.colours) <= COLOURS
    first, second = (palette.colours[palette.indexed(frame)].astype(float) for frame in FILM[:2])
    still = (FILM[0] == FILM[1]).all(axis=2)
    assert (first[still] == second[still]).all()
    sky = np.s_[:48, :20, 1]
    smooth, true = (uniform_filter(picture[sky], 8) for picture in (first, FILM[0].astype(float)))
    assert np.abs(smooth - true)[8:-8, 8:-8].max() < 0.8  # undotted, colours are 4 apart: 1.1


def test_a_film_of_one_colour_is_no_trouble(tmp_path):
    write_film([np.full((64, 64, 3), 90, dtype=np.uint8)] * 2, tmp_path / "x.gif", 10)
    with Image.open(BytesIO((tmp_path / "x.gif").read_bytes())) as made:
        assert np.abs(np.asarray(made.convert("RGB")).astype(int) - 90).max() <= 4
