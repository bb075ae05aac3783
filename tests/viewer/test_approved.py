"""A few pictures that a person has looked at and approved; what is drawn now must come near them.

After a change that is meant to be seen: ``python tests/viewer/test_approved.py`` draws them anew; look at each before
it is kept. They are drawn by the software renderer on Linux, which draws the same everywhere; other renderers differ
in every edge, so there these tests are left out.
"""

import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from geometry.assembly import assemble
from geometry.spec.load import load_engine
from viewer.pictures.media import draw
from viewer.scene import Callout, ViewOptions, build_scene

HERE = Path(__file__).parent
APPROVED = HERE / "approved"
DEMOS = HERE.parents[1] / "demo_engines"
SIZE = (400, 300)

MEAN_STEPS = 0.5
"""Mean difference of a picture, in steps of 255: small against what a few degrees of crank change."""
APART_STEPS, APART_SHARE = 40, 0.004
"""Pixels that differ by more than so many steps, and how many of them there may be."""

PICTURES = {
    "single_free": ("knot", ViewOptions(crank_deg=75.0)),
    "single_cut_open": ("knot", ViewOptions(crank_deg=75.0, view="front", block="cut")),
    "eight_from_the_front": ("tern", ViewOptions(crank_deg=40.0, view="front")),
    "eight_rings": ("tern", ViewOptions(view="rings 3")),
}
DISTANCE = Callout(
    np.array([20.0, -40.0, 60.0]), np.array([20.0, 30.0, 60.0]), "rod to block: 70.0 mm", "close", ("", ""), 70.0, 75.0
)  # fmt: skip


def drawn(assembly, options):
    callouts = (DISTANCE,) if options.view == "iso" else ()
    return draw(build_scene(assembly, options, callouts), SIZE)


def near(picture, approved):
    """Whether two pictures are the same to the eye."""
    apart = np.abs(picture.astype(int) - approved.astype(int))
    return bool(apart.mean() <= MEAN_STEPS and (apart.max(axis=2) > APART_STEPS).mean() <= APART_SHARE)


def approved(name):
    with Image.open(APPROVED / f"{name}.png") as picture:
        return np.asarray(picture)


@pytest.fixture(scope="module")
def software():
    """Skip where something else than the software renderer draws."""
    from viewer.draw.screen import Screen

    if sys.platform != "linux":
        pytest.skip("approved pictures are drawn by the software renderer on Linux")
    screen = Screen((64, 64), off_screen=True)
    screen.window.Render()
    said = screen.window.ReportCapabilities()
    screen.close()
    if "llvmpipe" not in said:
        pytest.skip("a graphics card draws here; approved pictures are drawn by the software renderer")


@pytest.mark.usefixtures("software")
@pytest.mark.parametrize("name", PICTURES)
def test_drawn_as_approved(name, request):
    engine, options = PICTURES[name]
    assert near(drawn(request.getfixturevalue(engine), options), approved(name))


@pytest.mark.usefixtures("software")
def test_another_angle_is_told_from_the_approved_one(knot):
    for by_deg in (-8.0, 8.0):
        assert not near(drawn(knot, ViewOptions(crank_deg=75.0 + by_deg)), approved("single_free"))


@pytest.mark.parametrize("name", PICTURES)
def test_a_mirrored_shifted_or_darker_picture_is_told_from_the_approved_one(name):
    picture = approved(name)
    assert near(picture, picture)
    assert not near(picture[:, ::-1], picture)
    assert not near(np.roll(picture, 2, axis=1), picture)
    assert not near(np.clip(picture.astype(int) - 3, 0, 255), picture)


if __name__ == "__main__":
    for file_name, (engine_name, chosen) in PICTURES.items():
        made = drawn(assemble(load_engine(DEMOS / f"{engine_name}.toml")), chosen)
        Image.fromarray(made).save(APPROVED / f"{file_name}.png", optimize=True)
