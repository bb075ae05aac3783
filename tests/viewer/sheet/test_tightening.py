"""The order of tightening as it is drawn: where each bolt stands on paper, read back from the picture."""

import re
import xml.etree.ElementTree as ElementTree

import pytest

from geometry.checks.bolt_order import tightening_orders
from tests.viewer.sheet.conftest import DEMOS
from viewer.job import read_job
from viewer.sheet.asked import SheetAsked
from viewer.sheet.content import VectorPicture
from viewer.sheet.tightening import tightening


@pytest.fixture(scope="module")
def tern_asked():
    job = read_job(DEMOS / "tern.toml")
    return SheetAsked(job, job, None, None, (), None, "a4")


def places(svg):
    """Words of a picture and where they stand: to the right, and downwards."""
    found = {}
    for text in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text"):
        at = re.search(r"(?:translate|rotate)\(([^)]*)\)", text.get("transform", ""))
        x, y = [float(number) for number in re.split(r"[ ,]+", at[1])][-2:]
        found["".join(text.itertext())] = (x, y)
    return found


def test_main_caps_are_seen_from_below_with_the_front_at_the_left(tern_asked):
    (picture,) = [b for b in tightening(tern_asked, "main") if isinstance(b, VectorPicture)]
    at = places(picture.svg)
    assert at["FRONT"][0] < at["cap 1"][0] < at["cap 3"][0] < at["cap 5"][0]
    # turned upside down about the crank, its front still at the left, the engine's right comes to the near side
    assert at["left"][1] < at["cap 3"][1] < at["right"][1]
    (order,) = tightening_orders(tern_asked.job.assembly, "main")
    for rank, bolt in order.ranked:
        x, y = at[str(rank)]
        assert abs(x - at[f"cap {bolt.cap}"][0]) < 8.0
        assert (y > at["cap 3"][1]) == (bolt.side == "right")


def test_heads_are_seen_from_above(tern_asked):
    orders = tightening_orders(tern_asked.job.assembly, "head")
    pictures = [b for b in tightening(tern_asked, "head") if isinstance(b, VectorPicture)]
    assert len(pictures) == len(orders)
    for picture, order in zip(pictures, orders, strict=True):
        at = places(picture.svg)
        assert at["right"][1] < at["left"][1]
        for rank, bolt in order.ranked:
            if bolt.side != "middle":
                assert (at[str(rank)][1] < at["FRONT"][1]) == (bolt.side == "right")
