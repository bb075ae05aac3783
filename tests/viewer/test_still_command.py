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
KNOT_RECORD = str(DEMOS / "knot.record.toml")
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
    words = ("--view", "front", "--size", "320x200", "--crank", "90", "--no-marks")
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
        (("--hide", "wheels"), "wheels: is not a family of parts"),
        (("--built", "no.toml"), "no.toml: there is no such record"),
        (("--size", "large"), "large: is not a size"),
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
    monkeypatch.setattr("viewer.pictures.media.draw", lambda scene, size: seen.append(scene.options.view))
    monkeypatch.setattr("viewer.pictures.media.write_picture", lambda picture, path: None)
    assert run(still, TERN, "-o", str(tmp_path / "rings.png"), "--no-marks", *words).exit_code == 0
    assert seen == [f"rings {bore}"]


@pytest.fixture
def drawn(monkeypatch):
    """The scenes that the command hands to the renderer."""
    seen = []
    monkeypatch.setattr("viewer.pictures.media.draw", lambda scene, size: seen.append(scene))
    monkeypatch.setattr("viewer.pictures.media.write_picture", lambda picture, path: None)
    return seen


def test_the_worst_places_are_aimed_at_and_other_options_combine(drawn, tmp_path):
    out = ("-o", str(tmp_path / "x.png"))
    tight = ("--set", "limits.piston_to_valve=2.2 mm", "--built", KNOT_RECORD)
    run(still, KNOT, *out, *tight, "--worst", "2")
    run(still, KNOT, *out, *tight, "--crank", "worst", "--view", "front", "--show", "valves")
    # the rod that stands the wrong way round goes before a clearance that is close
    valve, rod = drawn
    assert valve.options.lit == {"piston 1", "intake_valve 1"}
    (mark,) = valve.callouts
    assert np.linalg.norm(mark.a_mm - mark.b_mm) == pytest.approx(mark.value_mm, abs=1e-3)
    assert "at least" in mark.said
    assert "outside" in valve.caption[2]
    assert rod.options.view == "front"
    assert "valves" not in rod.options.hidden
    assert rod.options.crank_deg == pytest.approx(180.0)
    assert "rod turned round" in rod.callouts[0].said


def test_a_place_that_is_not_there_is_refused_in_one_line(call, tmp_path):
    code, _, lines = call("still", KNOT, "-o", tmp_path / "x.png", "--worst", "99")
    assert code == 2
    assert len(lines) == 1
    assert "--worst: 99: there is no such place on this engine; 1 to" in lines[0]
    assert not (tmp_path / "x.png").exists()


def test_without_marks_nothing_is_marked_and_nothing_is_certified(drawn, monkeypatch, tmp_path):
    monkeypatch.setattr("viewer.pictures.pointed.troubles_of", None)
    run(still, KNOT, "-o", str(tmp_path / "x.png"), "--no-marks")
    assert drawn[0].callouts == ()
