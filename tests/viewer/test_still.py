"""Pictures drawn off-screen: they show the engine, the right way round, and a fault of the renderer is heard."""

import logging

import numpy as np
import pytest
from PIL import Image

from geometry.errors import InputError
from viewer.looks import LOOKS
from viewer.pictures.media import band, draw, side_by_side, still, write_picture
from viewer.scene import ViewOptions, build_scene

SMALL = (480, 300)


def accented(picture):
    """Pixels of a highlighted part: green and blue alike, and well above red."""
    red, green, blue = np.moveaxis(picture.astype(int), -1, 0)
    return (np.minimum(green, blue) - red > 35) & (np.abs(blue - green) < 30)


def inked(picture):
    """Pixels that differ from the calm backdrop, whose three channels lie near each other and high."""
    p = picture.astype(int)
    return (p.max(axis=2) - p.min(axis=2) > 25) | (p.mean(axis=2) < 180)


@pytest.fixture(scope="module")
def free_view(tern):
    return draw(build_scene(tern, ViewOptions(crank_deg=75.0)), SMALL)


def test_still_writes_a_picture_of_the_asked_size(tern, tmp_path):
    path = still(tern, ViewOptions(view="front"), tmp_path / "tern.png", SMALL)
    with Image.open(path) as picture:
        assert picture.size == SMALL
        assert picture.mode == "RGB"


def test_the_engine_fills_the_picture_and_metal_is_bright(free_view):
    assert free_view.shape == (SMALL[1], SMALL[0], 3)
    assert 0.15 < inked(free_view).mean() < 0.8
    middle = free_view[90:210, 160:320]
    # Physically based metal without light comes out black; burnt-out metal is white.
    assert 90 < middle.mean() < 215
    assert np.ptp(middle.mean(axis=2)) > 120


def test_the_backdrop_is_calm_and_light(free_view):
    corner = free_view[40:60, -20:].astype(int)
    assert corner.min() > 190
    assert np.ptp(corner.reshape(-1, 3), axis=0).max() < 12


@pytest.mark.parametrize("view, side", [("front", "left"), ("rear", "right"), ("top", "right")])
def test_the_right_bank_is_drawn_on_its_side(tern, view, side):
    """Bores 2 and 8 are in the right bank: on the viewer's left from the front, on the right from the rear."""
    options = ViewOptions(view=view, highlight=frozenset({"piston 2", "piston 8"}), block="hidden")
    found = accented(draw(build_scene(tern, options), SMALL))
    assert found.sum() > 150
    across = np.nonzero(found)[1].mean() / SMALL[0]
    assert (across < 0.5) == (side == "left")


def test_turning_the_crank_moves_the_picture(tern, free_view):
    turned = draw(build_scene(tern, ViewOptions(crank_deg=165.0)), SMALL)
    assert (np.abs(turned.astype(int) - free_view.astype(int)).max(axis=2) > 40).mean() > 0.02


def test_pictures_do_not_change_from_run_to_run(tern, free_view):
    again = draw(build_scene(tern, ViewOptions(crank_deg=75.0)), SMALL)
    assert np.abs(again.astype(int) - free_view.astype(int)).max() <= 2


def test_a_cut_shows_its_own_colour(tern):
    picture = draw(build_scene(tern, ViewOptions(view="bore 3")), SMALL).astype(int)
    clay = np.round(np.array(LOOKS["cut_cast_iron"].colour) * 255)
    assert (np.abs(picture - clay).max(axis=2) < 14).sum() > 400


def test_two_scenes_share_one_camera(tern, tmp_path):
    right = build_scene(tern, ViewOptions(view="front"))
    wrong = build_scene(tern, ViewOptions(view="front", highlight=frozenset({"piston 2"})))
    path = side_by_side(right, wrong, ("as it should be", "turned round"), tmp_path / "pair.png", (800, 300))
    with Image.open(path) as picture:
        pair = np.asarray(picture)
    left, right_half = pair[:, :400], pair[:, 400:]
    assert accented(right_half).sum() > 100 > accented(left).sum()
    # Apart from the title and the highlighted piston both halves are the same picture.
    same = np.abs(left.astype(int) - right_half.astype(int)).max(axis=2)[60:] < 12
    assert same.mean() > 0.93


def test_refusals_name_the_file_and_what_would_do(tern, tmp_path):
    picture = np.zeros((4, 4, 3), dtype=np.uint8)
    with pytest.raises(
        InputError, match=r"x\.txt: cannot be written as a picture; a name that ends in \.png"
    ):
        write_picture(picture, tmp_path / "x.txt")
    with pytest.raises(InputError, match="cannot be written"):
        write_picture(picture, tmp_path / "no_such_folder" / "x.png")
    with pytest.raises(InputError, match="size: 10 x 10 cannot be drawn"):
        draw(build_scene(tern), (10, 10))
    with pytest.raises(InputError, match="there is no view"):
        still(tern, ViewOptions(view="upwards"), tmp_path / "x.png")


def test_what_the_renderer_complains_about_is_logged(caplog):
    from vtkmodules.vtkCommonCore import vtkOutputWindow

    from viewer.draw.vtk_log import route_to_logging

    route_to_logging()
    with caplog.at_level(logging.WARNING, logger="fullturn.vtk"):
        vtkOutputWindow.GetInstance().DisplayErrorText("a shader did not compile")
    assert [(r.levelname, "shader" in r.getMessage()) for r in caplog.records] == [("ERROR", True)]
    caplog.clear()


def test_a_longer_caption_keeps_more_of_the_picture_free():
    usual = ("Knot, from the front", "crank 0", "Simplified model")
    assert band(usual, 1.6) == 0.0
    assert band((*usual, "one line more"), 1.6) == pytest.approx(0.036)
    # a line of three hundred letters breaks into two at this width, and into four in half of it
    assert band((*usual, 300 * "x"), 1.6) == pytest.approx(2 * 0.036)
    assert band((*usual, 300 * "x"), 0.8) == pytest.approx(4 * 0.036)
    assert band((*usual, *40 * ["x"]), 1.6) == pytest.approx(0.3)
