"""`fullturn still` and `fullturn view` as a person calls them."""

from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

from geometry.errors import GeometryError, InputError
from viewer.commands.still import command as still
from viewer.commands.view import command as view

KNOT = str(Path(__file__).parents[2] / "demo_engines" / "knot.toml")


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


@pytest.mark.parametrize(
    "words, said",
    [
        (("--view", "sideways"), "there is no view 'sideways'"),
        (("--bore", "7"), "there is no bore 7"),
        (("--hide", "wheels"), "wheels: is no family of parts"),
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
