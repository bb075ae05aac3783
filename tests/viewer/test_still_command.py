"""`fullturn still` and `fullturn view` as a person calls them."""

from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from geometry.errors import GeometryError, InputError
from viewer.commands.still import command as still
from viewer.commands.view import command as view

DEMOS = Path(__file__).parents[2] / "demo_engines"
KNOT, TERN = str(DEMOS / "knot.toml"), str(DEMOS / "tern.toml")
BINDING = str(DEMOS / "tern_binding.record.toml")


def run(command, *words):
    done = CliRunner().invoke(command, list(words))
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done


def test_a_picture_by_its_options(tmp_path):
    path = tmp_path / "knot.png"
    words = (
        "--crank",
        "75",
        "--view",
        "front",
        "--cut",
        "--hide",
        "gasket",
        "--show",
        "pan",
        "--size",
        "320x200",
    )
    assert run(still, KNOT, "-o", str(path), *words).exit_code == 0
    with Image.open(path) as picture:
        assert picture.size == (320, 200)


def test_a_record_laid_over_the_design_shows_in_the_picture(tmp_path):
    words = ("--view", "front", "--size", "320x200", "--crank", "90")
    run(still, TERN, "-o", str(tmp_path / "designed.png"), *words)
    run(still, TERN, "-o", str(tmp_path / "built.png"), "--built", BINDING, *words)
    designed, built = (
        np.asarray(Image.open(tmp_path / name)).astype(int) for name in ("designed.png", "built.png")
    )
    assert (np.abs(designed - built).max(axis=2) > 40).any()


@pytest.mark.parametrize(
    "words, said",
    [
        (("--view", "sideways"), "there is no view 'sideways'"),
        (("--bore", "7"), "there is no bore 7"),
        (("--hide", "wheels"), "wheels: is no family of parts"),
        (("--built", "no.toml"), "no.toml: there is no such record"),
        (("--size", "large"), "large: is no size"),
        (("--size", "9x9"), "9 x 9 cannot be drawn"),
    ],
)
def test_refusals(tmp_path, words, said):
    with pytest.raises((InputError, GeometryError), match=said):
        run(still, KNOT, "-o", str(tmp_path / "x.png"), *words)


def test_view_without_a_display(monkeypatch):
    from viewer.window.open import has_display

    monkeypatch.delenv("DISPLAY", raising=False)
    if has_display():
        pytest.skip("this system always has a display")
    with pytest.raises(InputError, match="no display"):
        run(view, KNOT)


@pytest.mark.parametrize(("words", "bore"), [
    (("--view", "bore 3", "--rings"), 3), (("--view", "rings 5"), 5), (("--rings", "--bore", "4"), 4),
    (("--rings",), 1),
])  # fmt: skip
def test_rings_are_spread_at_the_bore_that_was_named(monkeypatch, tmp_path, words, bore):
    seen = []
    monkeypatch.setattr(
        "viewer.pictures.media.still", lambda assembly, options, *rest: seen.append(options.view)
    )
    assert run(still, TERN, "-o", str(tmp_path / "rings.png"), *words).exit_code == 0
    assert seen == [f"rings {bore}"]
